"""Builds the demo house: through the site's own actions where a decision is recorded."""

import uuid
from datetime import timedelta
from decimal import Decimal
from functools import singledispatch

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.utils import timezone

from assessments.actions.evidence import refresh_practices
from assessments.actions.sign_off import observe, review_batch, write_sign_off, write_withdrawal
from assessments.demo_house import batches, names
from assessments.demo_house.faults import FAULTY_HISTORIES
from assessments.demo_house.histories import (
    HISTORIES,
    GiveUp,
    History,
    KeepOpen,
    LayOnCard,
    Practise,
    Read,
    Seen,
    Sign,
    Withdraw,
)
from assessments.demo_house.judging import judge
from assessments.demo_house.reading import read_modules
from assessments.demo_house.recipes import OLDEST_DAYS, RECIPES
from assessments.demo_house.trials import try_the_photos
from assessments.models import Batch, Instrument, Practice, Review
from training.curriculum_pages import load_curriculum, load_stations
from training.groups import create_groups
from training.models import (
    Branch,
    Flour,
    HousePolicy,
    OtherIngredient,
    Role,
    Round,
    Season,
    StandardVersion,
    Station,
    Style,
    User,
    publish_version,
)


@transaction.atomic
def build_house(*, now=None, languages=()):
    """Build the whole demo house as of ``now`` on a database without people.

    Its modules are in English and in ``languages`` (codes). Returns the ``Bench`` by which more
    practice can be written.
    """
    now = now or timezone.now()
    build_places(now)
    create_groups()
    people = build_people(now)
    build_standards(now, by=people["isbel"])
    load_curriculum(languages=languages)
    bench = read_bench(now)
    for history in (*HISTORIES, *FAULTY_HISTORIES):
        live(bench, history, people[history.username])
    try_the_photos(bench)
    judge(bench, people)
    return bench


def build_places(now):
    """Write branches, stations, styles and instruments."""
    today = timezone.localdate(now)
    for branch in names.BRANCHES:
        opens_on = None
        if branch.opens_in_days is not None:
            opens_on = today + timedelta(days=branch.opens_in_days)
        Branch.objects.create(slug=branch.slug, name=branch.name, opens_on=opens_on)
    load_stations()
    for position, (slug, name) in enumerate(names.STYLES, start=1):
        Style.objects.create(slug=slug, name=name, position=position)
    for name, kind, repeatability_mm in names.INSTRUMENTS:
        Instrument.objects.create(
            name=name,
            kind=kind,
            repeatability_mm=None if repeatability_mm is None else Decimal(repeatability_mm),
        )


def build_people(now, *, only=None, suffix=""):
    """Write people with their roles; return them by the name they have in ``names``."""
    since = {history.username: history.since_days for history in (*HISTORIES, *FAULTY_HISTORIES)}
    # One hash for all: the password is printed anyway, and hashing is slow on purpose.
    password = make_password(names.PASSWORD)
    branches = {branch.slug: branch for branch in Branch.objects.all()}
    people = {}
    for person in names.PEOPLE:
        if only is not None and person.username not in only:
            continue
        joined = now - timedelta(days=since.get(person.username, OLDEST_DAYS))
        user = User.objects.create(
            username=person.username + suffix,
            first_name=person.first_name,
            last_name=person.last_name,
            password=password,
            date_joined=joined,
        )
        held = [(kind, None) for kind in person.house_roles]
        held += [("head_chef", branches[slug]) for slug in person.heads]
        if person.trains_in:
            held.append(("trainee", branches[person.trains_in]))
        for kind, branch in held:
            Role.objects.create(
                person=user, kind=kind, branch=branch, since=timezone.localdate(joined)
            )
        people[person.username] = user
    return people


def build_standards(now, *, by):
    """Write the versions of the house standards, published as of their day, and the draft."""
    today = timezone.localdate(now)
    for recipe in RECIPES:
        in_force_from = None
        if recipe.in_force_days_ago is not None:
            in_force_from = today - timedelta(days=recipe.in_force_days_ago)
        version = StandardVersion.objects.create(
            style=Style.objects.get(slug=recipe.style),
            in_force_from=in_force_from,
            **recipe.fields,
        )
        write_recipe(version, recipe)
        if in_force_from is not None:
            published_at = now - timedelta(days=recipe.in_force_days_ago + 3)
            publish_version(version, by=by, at=published_at)


def write_recipe(version, recipe):
    """Write flours, seasons, rounds and other ingredients of a draft."""
    for order, (name, kind, percent, allergens) in enumerate(recipe.flours):
        Flour.objects.create(
            standard=version,
            name=name,
            kind=kind,
            percent=Decimal(percent),
            allergens=allergens,
            sort_order=order,
        )
    for order, (name, first, last, room_c, water, salt) in enumerate(recipe.seasons):
        Season.objects.create(
            standard=version,
            name=name,
            from_month=first,
            to_month=last,
            room_from_c=Decimal(room_c),
            hydration_percent=Decimal(water),
            salt_percent=Decimal(salt),
            sort_order=order,
        )
    for order, (tread_min, rest_min) in enumerate(recipe.rounds):
        Round.objects.create(
            standard=version, tread_min=tread_min, rest_min=rest_min, sort_order=order
        )
    for order, (name, percent, allergens) in enumerate(recipe.others):
        OtherIngredient.objects.create(
            standard=version,
            name=name,
            percent=Decimal(percent),
            allergens=allergens,
            sort_order=order,
        )


def read_bench(now):
    """Return what every batch needs of the house."""
    standards = {}
    for version in (
        StandardVersion.objects.published()
        .with_recipe()
        .select_related("style")
        .order_by("-in_force_from")
    ):
        standards.setdefault(version.style.slug, []).append(version)
    return batches.Bench(
        now=now,
        policy=HousePolicy.load(),
        styles={style.slug: style for style in Style.objects.all()},
        standards=standards,
        strands={recipe.style: recipe.strands for recipe in RECIPES},
        instruments={tool.name: tool for tool in Instrument.objects.all()},
    )


def live(bench, history: History, person):
    """Write one cook's practices and let what happened happen, in order."""
    branch = Branch.objects.get(roles__person=person, roles__kind=Role.Kind.TRAINEE)
    chefs = User.objects.filter(roles__kind=Role.Kind.HEAD_CHEF, roles__branch=branch)
    maker = batches.Maker(
        person, branch, tuple(chefs.order_by("pk")), history.hand, draws_as=history.username
    )
    started_on = bench.today - timedelta(days=history.since_days)
    Practice.objects.bulk_create(
        Practice(
            person=person,
            branch=branch,
            style=bench.styles[style],
            station=station,
            started_on=started_on,
        )
        for style, slugs in history.stations
        for station in Station.objects.filter(slug__in=slugs)
    )
    for happening in history.story:
        happen(happening, bench, maker)
    refresh_practices(person)


def practice_of(maker, style, station):
    """Return one practice of the cook."""
    return Practice.objects.select_related("person", "style", "station", "sign_off").get(
        person=maker.person, style__slug=style, station__slug=station
    )


def last_batch(maker, style):
    """Return the batch that the cook finished last before the photos of today."""
    batches_of_style = Batch.objects.finished().filter(cook=maker.person, style__slug=style)
    return batches_of_style.filter(photographs=None).newest_first().first()


@singledispatch
def happen(happening, bench, maker):
    """Write one happening of a cook's story."""
    raise TypeError(f"Nothing is known of {happening!r}.")


@happen.register
def _(happening: Read, bench, maker):
    read_modules(bench, maker.person, happening)


@happen.register
def _(happening: Practise, bench, maker):
    batches.practise(bench, maker, happening)


@happen.register
def _(happening: GiveUp, bench, maker):
    batch = batches.give_up(bench, maker, happening)
    if happening.word:
        decision = Review.Decision.EXCUSED if happening.excused else Review.Decision.ANOTHER
        review_batch(
            batch,
            by=maker.chef,
            decision=decision,
            note=happening.word,
            at=batch.abandoned_at + timedelta(hours=3),
        )


@happen.register
def _(happening: KeepOpen, bench, maker):
    batches.keep_open(bench, maker, happening)


@happen.register
def _(happening: LayOnCard, bench, maker):
    batches.lay_on_card(bench, maker, happening)


@happen.register
def _(happening: Seen, bench, maker):
    at = bench.moment(happening.days_ago, 16, 20)
    observe(
        practice_of(maker, happening.style, happening.station),
        by=maker.chefs[happening.observer],
        batch=last_batch(maker, happening.style) if happening.of_last_batch else None,
        request_key=uuid.uuid4(),
        observed_on=timezone.localdate(at),
        recorded_at=at,
        handling=happening.handling,
        bench_order=happening.bench_order,
        hygiene=happening.hygiene,
        knife_safety=happening.knife_safety,
        note=happening.note,
    )


@happen.register
def _(happening: Sign, bench, maker):
    for i, station in enumerate(happening.stations):
        practice = practice_of(maker, happening.style, station)
        at = bench.moment(happening.days_ago, 18, 5 * i)
        seen = practice.standing(today=timezone.localdate(at), policy=bench.policy).missing
        write_sign_off(
            practice,
            by=maker.chef,
            request_key=uuid.uuid4(),
            override_reason=happening.override,
            seen_missing=seen,
            at=at,
        )


@happen.register
def _(happening: Withdraw, bench, maker):
    practice = practice_of(maker, happening.style, happening.station)
    write_withdrawal(
        practice.sign_off,
        by=maker.chef,
        reason=happening.reason,
        at=bench.moment(happening.days_ago, 17),
    )
