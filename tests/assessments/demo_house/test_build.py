"""The demo house shows everything there is to see, and agrees with the site's own rules."""

from collections import Counter
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from assessments.actions.evidence import WRITTEN_FIELDS, refresh_practices
from assessments.actions.log_batch import finish_batch
from assessments.actions.score_batch import compute_score
from assessments.actions.sign_off import fingerprint
from assessments.calculations.instruments import choose_strands
from assessments.calculations.standing import State
from assessments.demo_house import batches, names
from assessments.demo_house.histories import HISTORIES, Practise
from assessments.models import (
    Batch,
    Event,
    Instrument,
    Practice,
    ReadingSet,
    Review,
    Score,
    SignOff,
)
from training.models import (
    Branch,
    HousePolicy,
    ModulePage,
    ModuleProgress,
    Role,
    StandardVersion,
    Station,
    User,
    check_recipe,
)


def test_every_state_is_there(bench):
    practices = Practice.objects.select_related("station", "sign_off")
    states = Counter(
        practice.standing(today=bench.today, policy=bench.policy).state for practice in practices
    )
    assert set(states) == set(State)


def test_places_and_people(bench):
    assert Branch.objects.filter(opens_on=None).count() == 4
    assert Branch.objects.get(slug="low-harkle").opens_on > bench.today
    assert list(Station.objects.values_list("slug", "measured")) == [
        ("mixing-and-treading", True),
        ("rolling", True),
        ("cutting", True),
        ("boiling", False),
        ("stock", False),
        ("serving", False),
        ("head-chef", False),
    ]
    assert {branch.slug for branch in Branch.objects.filter(roles__kind="head_chef")} == {
        branch.slug for branch in names.BRANCHES
    }
    assert set(Role.objects.values_list("kind", flat=True)) == set(Role.Kind.values)
    assert set(User.objects.values_list("username", flat=True)) == names.USERNAMES
    isbel = User.objects.get(username="isbel")
    assert isbel.is_head_chef
    assert isbel.is_editor


def test_everybody_signs_in_with_the_printed_password(bench):
    assert len(set(User.objects.values_list("password", flat=True))) == 1
    assert User.objects.first().check_password(names.PASSWORD)


def test_no_tool_takes_the_name_that_imported_files_use(bench):
    assert not Instrument.objects.filter(name__iexact="caliper").exists()


def test_standards_of_the_imported_files_are_in_force(bench):
    """The limits that the example files in ``tests/assessments/readings`` are made for."""
    in_force = {
        version.style.slug: version
        for version in StandardVersion.objects.in_force(date(2026, 3, 1))
    }
    wheat, buckwheat = in_force["thick-wheat"], in_force["thin-buckwheat"]
    assert wheat.width_limits_mm == pytest.approx((2.7, 3.7))
    assert wheat.thickness_limits_mm == pytest.approx((2.6, 3.4))
    assert buckwheat.width_limits_mm == pytest.approx((1.15, 1.65))
    assert buckwheat.thickness_limits_mm == pytest.approx((1.25, 1.75))


def test_every_recipe_can_be_weighed(bench):
    for version in StandardVersion.objects.with_recipe():
        check_recipe([flour.percent for flour in version.flours.all()], list(version.seasons.all()))
        assert all(season.hydration_percent > Decimal(30) for season in version.seasons.all())
        assert version.rounds.all()


def test_allergens_are_named(bench):
    for version in StandardVersion.objects.with_recipe().select_related("style"):
        parts = [*version.flours.all(), *version.others.all()]
        for part in parts:
            for allergen in ("wheat", "buckwheat", "egg"):
                if allergen in part.name.split():
                    assert allergen in part.allergens, part


def test_one_style_has_two_versions_and_one_a_draft(bench):
    versions = StandardVersion.objects.values_list("style__slug", "published_at")
    published = Counter(slug for slug, published_at in versions if published_at)
    assert published == {
        "thick-wheat": 1,
        "thin-buckwheat": 1,
        "flat-ribbon": 2,
        "thin-alkaline": 1,
    }
    assert [slug for slug, published_at in versions if published_at is None] == ["thick-wheat"]
    used = Batch.objects.filter(style__slug="flat-ribbon").values_list(
        "standard__number", flat=True
    )
    assert set(used) == {1, 2}


def test_batches_of_every_kind(bench):
    states = Counter(Batch.objects.values_list("state", flat=True))
    assert 350 <= states["finished"] <= 410
    assert states["abandoned"] >= 3
    assert Review.objects.filter(decision="excused").count() == 1
    assert Review.objects.filter(decision="another").exists()
    for chef in User.objects.filter(roles__kind="head_chef"):
        assert Batch.objects.waiting_for(chef).exists(), chef


def test_an_open_batch_has_its_timer_running(bench):
    batch = Batch.objects.get(state="open", photographs=None)
    running = batch.stages.get(timer_started_at__isnull=False, done_at=None)
    ends_at = running.timer_started_at + timedelta(minutes=float(running.planned_min))
    assert running.timer_started_at < bench.now < ends_at
    assert batch.stages.filter(position__lt=running.position, done_at=None).count() == 0


def test_an_open_batch_waits_with_its_strands_measured_from_a_photo(bench):
    batch = Batch.objects.get(state="open", photographs__state="measured")
    widths = batch.reading_sets.current().get(quantity="width")
    assert widths.n == 20
    assert widths.instrument.kind == "photo"
    assert batch.stages.filter(kind="cut", done_at=None).exists()
    assert batch.opened_at < batch.stages.get(kind="roll").done_at < bench.now
    finish_batch(batch, by=batch.cook)
    assert batch.score.width_points is not None


def test_one_sign_off_stands_without_the_full_evidence_and_says_why(bench):
    override = SignOff.objects.get(is_override=True)
    assert override.override_reason
    assert override.missing


def test_evidence_of_sign_offs_is_as_it_was_signed(bench):
    decisions = list(SignOff.objects.all())
    assert len(decisions) > 10
    for decision in decisions:
        assert fingerprint(decision.evidence) == decision.evidence_sha256
        assert decision.evidence["day"] == timezone.localdate(decision.decided_at).isoformat()
        days = [batch["day"] for batch in decision.evidence["batches"]]
        assert max(days, default="") <= decision.evidence["day"]


def test_one_cook_is_signed_off_for_one_style_and_practises_another(bench):
    edda = Practice.objects.filter(person__username="edda").select_related("station", "sign_off")
    states = {
        (practice.style.slug, practice.standing(today=bench.today, policy=bench.policy).state)
        for practice in edda.select_related("style", "station", "sign_off")
    }
    assert ("thick-wheat", State.SIGNED_OFF) in states
    assert ("thin-buckwheat", State.PRACTISING) in states


def test_stored_scores_are_what_the_site_computes(bench):
    policy = HousePolicy.load()
    for batch in Batch.objects.finished().select_related("standard", "score")[:60]:
        readings = {row.quantity: row for row in batch.reading_sets.current()}
        fresh = compute_score(batch, readings, batch.standard, policy=policy)
        for name in ("score", "limiting", "width_points", "thickness_points", "hydration_points"):
            assert getattr(batch.score, name) == getattr(fresh, name)
    assert Score.objects.count() == Batch.objects.finished().count()


def test_practices_are_what_the_site_would_write(bench):
    before = list(Practice.objects.order_by("pk").values(*WRITTEN_FIELDS))
    for person in User.objects.filter(practices__isnull=False).distinct():
        refresh_practices(person)
    assert list(Practice.objects.order_by("pk").values(*WRITTEN_FIELDS)) == before


def test_strands_are_those_that_the_seed_chooses(bench):
    # A photo may have to leave a strand out, and it shows twenty.
    widths = ReadingSet.objects.filter(quantity="width", batch__photographs=None)
    for row in widths.select_related("batch__standard")[:20]:
        batch = row.batch
        chosen = choose_strands(
            batch.strands_expected, batch.standard.strands_to_measure, batch.strand_seed
        )
        assert row.places.tolist() == chosen


def test_some_widths_were_read_with_a_tool_that_is_too_coarse(bench):
    assert Score.objects.filter(width_not_counted="too_coarse").exists()


def test_nothing_lies_in_the_future_and_all_is_in_order(bench):
    assert not Event.objects.filter(at__gt=timezone.now()).exists()
    for batch in Batch.objects.finished().select_related("review").prefetch_related("photographs"):
        assert timezone.localdate(batch.opened_at) == batch.made_on
        assert batch.opened_at < batch.finished_at <= timezone.now()
        if batch.photographs.all():
            # Measured and finished while the house is built; its cook has not looked yet.
            assert batch.score_seen_at is None
        else:
            assert batch.finished_at <= batch.score_seen_at <= bench.now
        if batch.reviewed_at:
            assert batch.review.decided_at == batch.reviewed_at >= batch.finished_at
    for stage_end, finished in Batch.objects.finished().values_list(
        "stages__done_at", "finished_at"
    ):
        assert stage_end <= finished


def test_modules_are_read_and_answered_by_several(bench):
    done = ModuleProgress.objects.filter(answered_at__isnull=False)
    assert done.values("person").distinct().count() >= 5
    assert done.filter(questions_missed__gt=0).exists()
    begun = ModuleProgress.objects.get(person__username="tamsa")
    assert 0 < begun.steps_read < len(begun.module.block_ids("step"))
    assert begun.read_at is None
    assert ModulePage.objects.live().count() >= 4


def test_batches_cost_less_than_one_query_each(bench):
    history = next(history for history in HISTORIES if history.username == "lune")
    person = User.objects.get(username="lune")
    maker = batches.Maker(
        person,
        Branch.objects.get(slug="ilvenbridge"),
        (User.objects.get(username="isbel"),),
        history.hand,
        draws_as="lune",
    )
    counts = []
    for number in (3, 33):
        with CaptureQueriesContext(
            connection,
        ) as queries:
            batches.practise(bench, maker, Practise("thick-wheat", number, 60, 30))
        counts.append(len(queries))
    assert counts[1] - counts[0] < 30
