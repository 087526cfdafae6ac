"""Made-up rows for tests; each factory gives the smallest thing that is valid."""

import io
import uuid
from datetime import date, timedelta
from decimal import Decimal
from unittest import mock

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory
from PIL import Image

from assessments.actions.assessors import make_calibration, open_calibration, put_piece
from assessments.actions.drills import keep_drill
from assessments.actions.evidence import refresh_practices
from assessments.actions.log_batch import finish_batch, record_readings
from assessments.actions.measure_photograph import keep_photograph, measure_photograph
from assessments.actions.trials import add_photograph
from assessments.calculations.measuring.results import CameraReading, PhotoReading, StrandReading
from assessments.calculations.requirements import evidence_points
from assessments.models import (
    Batch,
    BoilTest,
    Instrument,
    Observation,
    Part,
    Practice,
    ReadingSet,
    Score,
    SecondLook,
    Stage,
    Trial,
)
from assessments.models.assessors import CRITERIA
from training.curriculum import MODULES
from training.curriculum_pages import body_of
from training.groups import create_index_page
from training.models import (
    Branch,
    Flour,
    MissedQuestion,
    ModuleIndexPage,
    ModulePage,
    Role,
    Round,
    Season,
    StandardVersion,
    Station,
    Style,
    User,
)

PASSWORD = "flour-water-salt"


class BranchFactory(DjangoModelFactory):
    class Meta:
        model = Branch

    name = factory.Sequence(lambda n: f"Branch {n}")
    slug = factory.Sequence(lambda n: f"branch-{n}")


class StationFactory(DjangoModelFactory):
    class Meta:
        model = Station
        django_get_or_create = ("slug",)

    name = factory.Sequence(lambda n: f"Station {n}")
    slug = factory.Sequence(lambda n: f"station-{n}")
    position = factory.Sequence(lambda n: n)


class StyleFactory(DjangoModelFactory):
    class Meta:
        model = Style
        django_get_or_create = ("slug",)

    name = factory.Sequence(lambda n: f"Style {n}")
    slug = factory.Sequence(lambda n: f"style-{n}")


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    username = factory.Sequence(lambda n: f"person{n}")
    first_name = factory.Sequence(lambda n: f"Person{n}")
    last_name = "Test"
    password = factory.django.Password(PASSWORD)


class RoleFactory(DjangoModelFactory):
    class Meta:
        model = Role

    person = factory.SubFactory(UserFactory)
    kind = Role.Kind.TRAINEE
    branch = factory.SubFactory(BranchFactory)
    since = date(2025, 1, 1)


def person_with_role(kind, branch=None, **person):
    """Return a person who holds one role."""
    user = UserFactory(**person)
    RoleFactory(person=user, kind=kind, branch=branch)
    return user


def trainee(branch, **person):
    return person_with_role(Role.Kind.TRAINEE, branch, **person)


def head_chef(branch, **person):
    return person_with_role(Role.Kind.HEAD_CHEF, branch, **person)


def owner(**person):
    return person_with_role(Role.Kind.OWNER, **person)


def editor(**person):
    return person_with_role(Role.Kind.EDITOR, **person)


class StandardFactory(DjangoModelFactory):
    """A published version: thick wheat, 3.2 ± 0.5 mm wide, 3.0 ± 0.4 mm thick, 46 ± 1 % water."""

    class Meta:
        model = StandardVersion
        skip_postgeneration_save = True

    style = factory.SubFactory(StyleFactory)
    in_force_from = date(2025, 1, 1)
    width_target_mm = Decimal("3.20")
    width_tolerance_minus_mm = Decimal("0.50")
    width_tolerance_plus_mm = Decimal("0.50")
    thickness_target_mm = Decimal("3.00")
    thickness_tolerance_minus_mm = Decimal("0.40")
    thickness_tolerance_plus_mm = Decimal("0.40")
    hydration_tolerance_minus_pp = Decimal("1.00")
    hydration_tolerance_plus_pp = Decimal("1.00")
    portion_g = Decimal(150)
    boil_time_min = Decimal("12.0")

    @factory.post_generation
    def recipe(self, create, extracted, **kwargs):
        """Add one flour, one season for the whole year and two rounds, then publish."""
        Flour.objects.create(standard=self, name="plain wheat flour", percent=100, sort_order=1)
        Season.objects.create(
            standard=self,
            name="all year",
            from_month=1,
            to_month=12,
            hydration_percent=46,
            salt_percent=5,
            sort_order=1,
        )
        for order in (1, 2):
            Round.objects.create(standard=self, tread_min=5, rest_min=30, sort_order=order)
        if extracted is not False:
            StandardVersion.objects.filter(pk=self.pk).update(
                published_at=timezone.now(), published_by=UserFactory()
            )
            self.refresh_from_db()


class InstrumentFactory(DjangoModelFactory):
    class Meta:
        model = Instrument

    name = factory.Sequence(lambda n: f"caliper {n}")
    repeatability_mm = Decimal("0.07")


class BatchFactory(DjangoModelFactory):
    """An open batch with the stages that every batch has."""

    class Meta:
        model = Batch
        skip_postgeneration_save = True

    cook = factory.SubFactory(UserFactory)
    branch = factory.SubFactory(BranchFactory)
    standard = factory.SubFactory(StandardFactory)
    style = factory.SelfAttribute("standard.style")
    opened_by = factory.SelfAttribute("cook")
    made_on = factory.LazyFunction(timezone.localdate)
    hydration_target_percent = Decimal(46)
    salt_target_percent = Decimal(5)
    season_name = "all year"
    strands_expected = 60
    strand_seed = 1

    @factory.post_generation
    def stages_of_work(self, create, extracted, **kwargs):
        for position, kind in enumerate(Stage.Kind.values, start=1):
            Stage.objects.create(batch=self, kind=kind, position=position)


# Section widths and grid of a good batch of the standard above (invented).
GOOD_WIDTHS_MM = [3.1, 3.3, 3.2, 3.0, 3.4, 3.2, 3.1, 3.3, 3.2, 3.25, 3.15, 3.2, 3.3, 3.1, 3.2]
GOOD_WIDTHS_MM = [*GOOD_WIDTHS_MM, 3.0, 3.35, 3.2, 3.1, 3.3]
GOOD_GRID_MM = [3.0, 3.1, 2.9, 3.0, 3.05, 2.95, 3.0, 3.1, 2.9]


def finished_batch(*, widths_mm=GOOD_WIDTHS_MM, grid_mm=GOOD_GRID_MM, water_g=460, **fields):
    """Return a finished and scored batch with all three parts measured."""
    batch = BatchFactory(**fields)
    quantity = ReadingSet.Quantity
    for name, values in (
        (quantity.FLOUR, [1000]),
        (quantity.WATER, [water_g]),
        (quantity.SALT, [50]),
        (quantity.THICKNESS, grid_mm),
        (quantity.WIDTH, widths_mm),
    ):
        if values:
            record_readings(batch, name, values, by=batch.cook)
    return finish_batch(batch, by=batch.cook)


def drill_done(cook, standard, values_mm=GOOD_WIDTHS_MM, *, kind="strands", **fields):
    """Return a drill of a cook, by default of strands."""
    values = dict(enumerate(values_mm, start=1))
    key = {"client_key": uuid.uuid4(), "by": cook}
    return keep_drill(cook, standard, kind, values, **(key | fields))


class PracticeFactory(DjangoModelFactory):
    class Meta:
        model = Practice

    person = factory.SubFactory(UserFactory)
    branch = factory.SubFactory(BranchFactory)
    style = factory.SubFactory(StyleFactory)
    station = factory.SubFactory(StationFactory)
    started_on = date(2025, 6, 1)


class ObservationFactory(DjangoModelFactory):
    class Meta:
        model = Observation

    practice = factory.SubFactory(PracticeFactory)
    cook = factory.SelfAttribute("practice.person")
    observer = factory.SubFactory(UserFactory)
    observed_on = factory.LazyFunction(timezone.localdate)
    handling = 2
    bench_order = 2
    hygiene = 2
    knife_safety = 2


def days_ago(days):
    """Return the local date ``days`` before today."""
    return timezone.localdate() - timedelta(days=days)


def counted_batch(*, days=0, points=20.0, state=Batch.State.FINISHED, **fields):
    """Return a batch of ``days`` ago as it is after scoring, with equal points on every part."""
    at = timezone.now() - timedelta(days=days)
    end = "abandoned_at" if state == Batch.State.ABANDONED else "finished_at"
    batch = BatchFactory(
        made_on=timezone.localdate(at), opened_at=at, state=state, **{end: at}, **fields
    )
    if state == Batch.State.FINISHED:
        Score.objects.create(
            batch=batch,
            score=96,
            limiting=Part.WIDTH,
            complete=True,
            width_share=0.96,
            width_n=20,
            width_n_in=19,
            width_points=points,
            thickness_share=0.99,
            thickness_n=9,
            thickness_n_in=9,
            thickness_points=points,
            hydration_percent=46.1,
            hydration_share=0.98,
            hydration_points=points,
            scored_at=at,
        )
    return batch


def with_shares(batch, *, width, thickness=0.99):
    """Give a ``counted_batch`` these shares within tolerance, with the points that they earn."""
    Score.objects.filter(batch=batch).update(
        width_share=width,
        width_points=evidence_points(width, 20),
        thickness_share=thickness,
        thickness_points=evidence_points(thickness, 9),
    )
    return batch


def complete_evidence(practice, observer, *, standard=None, latest=1):
    """Give ``practice`` all that a sign-off needs: five good batches and two observations."""
    made = {"cook": practice.person, "branch": practice.branch}
    if standard is not None:
        for day in range(5):
            counted_batch(days=latest + day, standard=standard, **made)
    for _n in range(2):
        ObservationFactory(practice=practice, observer=observer, observed_on=days_ago(latest))
    refresh_practices(practice.person)
    practice.refresh_from_db()


def photo_bytes(size_px=(1200, 900), *, kind="JPEG", exif=None, colour=(28, 63, 148)):
    """Return a picture file of one colour, as `exif` tags say where and with what it was taken."""
    file = io.BytesIO()
    Image.new("RGB", size_px, colour).save(file, kind, **({} if exif is None else {"exif": exif}))
    return file.getvalue()


def photo_reading(
    widths_mm=GOOD_WIDTHS_MM, *, u_mm=0.03, random_mm=0.02, flags=None, **fields
) -> PhotoReading:
    """Return what measuring a photo gives: strands from left to right, one below the other.

    A width of None is a strand that was found and not measured; ``flags`` are by number.
    """
    flags = flags or {}

    def strand(number, width_mm):
        y_mm, half = 44 + 5.5 * number, (width_mm or 3) / 2
        corners_mm = [(60, y_mm - half), (230, y_mm - half), (230, y_mm + half), (60, y_mm + half)]
        measured = width_mm is not None
        return StrandReading(
            number=number,
            centre_mm=(145.0, y_mm),
            direction_deg=0.0,
            length_mm=170.0,
            width_mm=width_mm,
            u_mm=u_mm if measured else None,
            random_mm=random_mm if measured else None,
            profile_mm=((10.0, width_mm), (160.0, width_mm)) if measured else (),
            taper_mm=0.0 if measured else None,
            spread_mm=0.01 if measured else None,
            flags=tuple(flags.get(number, () if measured else ("touching",))),
            outline_px=tuple((4 * x, 4 * y) for x, y in corners_mm),
        )

    usual = {
        "card": "A4",
        "markers": (0, 1, 2, 3),
        "size_px": (1200, 900),
        "camera": CameraReading(
            height_mm=350.0,
            tilt_deg=4.0,
            focal_px=960.0,
            focal_from="exif",
            distortion=0.0,
            px_per_mm=4.0,
            reprojection_px=0.2,
            blur_px=0.7,
        ),
        "thickness_mm": 3.0,
        "thickness_u_mm": 0.1,
        "strands": tuple(strand(n, width_mm) for n, width_mm in enumerate(widths_mm, start=1)),
        "verdict": "good",
        "remarks": (),
    }
    return PhotoReading(**(usual | fields))


def photographed(batch, widths_mm=GOOD_WIDTHS_MM, **reading):
    """Return a photograph of ``batch`` that was measured, as if it had shown these widths."""
    measured = photo_reading(widths_mm, **reading)
    with mock.patch(
        "assessments.calculations.measuring.measure.measure_strands", return_value=measured
    ):
        photograph = keep_photograph(batch, photo_bytes(), client_key=uuid.uuid4(), by=batch.cook)
        measure_photograph.call(photograph.pk)
    photograph.refresh_from_db()
    return photograph


class TrialFactory(DjangoModelFactory):
    """An open comparison of 20 strands of thick wheat with the caliper."""

    class Meta:
        model = Trial

    kind = Trial.Kind.COMPARE
    name = factory.Sequence(lambda n: f"trial {n}")
    branch = factory.SubFactory(BranchFactory)
    standard = factory.SubFactory(StandardFactory)
    made_by = factory.SubFactory(UserFactory)
    strands = 20
    thickness_mm = Decimal("3.00")


def tried(trial, widths_mm=GOOD_WIDTHS_MM, *, by=None, **reading):
    """Return a photograph of ``trial`` that was measured, as if it had shown these widths."""
    measured = photo_reading(widths_mm, **reading)
    with mock.patch(
        "assessments.calculations.measuring.measure.measure_strands", return_value=measured
    ):
        photograph = add_photograph(
            trial, photo_bytes(), taken_by=by or trial.made_by, client_key=uuid.uuid4()
        )
        measure_photograph.call(photograph.pk)
    photograph.refresh_from_db()
    return photograph


def calibration_set(maker, batches, *, is_open=False, **ratings):
    """Return a calibration set of batches with photos, each met in all, or as ``ratings`` say."""
    made = make_calibration(title=f"Set of {maker}", by=maker)
    reference = dict.fromkeys(CRITERIA, 2) | ratings
    for batch in batches:
        put_piece(made, batch, seen="The board was wiped twice.", **reference)
    return open_calibration(made, by=maker) if is_open else made


def seen_by_two(practice, batch, ratings, *, rated=()):
    """Have a batch seen by two, ``ratings`` by head chef, those of ``rated`` alone written down.

    By default both have written; a rating holds for all criteria.
    """
    first, second = ratings
    look = SecondLook.objects.create(batch=batch, first=first, second=second)
    for chef in rated or ratings:
        seen = dict.fromkeys(Observation.CRITERIA, ratings[chef])
        ObservationFactory(practice=practice, batch=batch, observer=chef, **seen)
    return look


def curriculum_page(slug):
    """Return the published page of one module that comes with the site."""
    [module] = [module for module in MODULES if module.slug == slug]
    page = ModulePage(
        title=module.title,
        slug=slug,
        station=StationFactory(),
        summary=module.summary,
        source_note=module.source_note,
        body=body_of(module),
    )
    ModuleIndexPage.objects.get(pk=create_index_page().pk).add_child(instance=page)
    page.save_revision().publish()
    return page


def missed_question(person, module, question, **fields):
    """Return a check question that ``person`` missed yesterday and that comes back today."""
    usual = {"due_on": timezone.localdate(), "missed_on": days_ago(1), "times_missed": 1}
    return MissedQuestion.objects.create(
        person=person, module=module, question_id=question, **(usual | fields)
    )


class BoilTestFactory(DjangoModelFactory):
    """A strand of the standard's section, done at the house's boil time."""

    class Meta:
        model = BoilTest

    style = factory.SubFactory(StyleFactory)
    width_mm = Decimal("3.20")
    thickness_mm = Decimal("3.00")
    done_at_min = Decimal("12.00")
    tested_on = factory.LazyFunction(timezone.localdate)
    recorded_by = factory.SubFactory(UserFactory)
