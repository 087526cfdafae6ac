import uuid
from decimal import Decimal
from unittest import mock

import pytest
from django.core.exceptions import ValidationError

from assessments.actions import trials as actions
from assessments.actions.measure_photograph import leave_out, take_back, thickness_of
from assessments.calculations.instruments import repeatability
from assessments.calculations.measuring.refusals import Reason, RefusedError
from assessments.models import Event, Photograph, Trial
from tests import factories
from tests.addresses import compared

WIDTHS_MM = factories.GOOD_WIDTHS_MM


@pytest.fixture
def trial(house):
    return factories.TrialFactory(branch=house.branch, standard=house.standard, made_by=house.chef)


def opened(house, **fields):
    usual = {
        "client_key": uuid.uuid4(),
        "by": house.chef,
        "kind": "compare",
        "name": "New phone",
        "branch": house.branch,
        "standard": house.standard,
        "strands": 20,
    }
    return actions.open_trial(**(usual | fields))


# --- Open ---


def test_a_trial_opened_twice_is_one(house):
    key = uuid.uuid4()
    first, second = (opened(house, client_key=key) for _time in range(2))
    assert first == second
    assert Event.objects.filter(verb="trial_opened", object_id=first.pk).count() == 1


def test_the_key_of_another_persons_trial_opens_nothing(house, trial):
    with pytest.raises(ValidationError, match="Load it again"):
        opened(house, client_key=trial.client_key, by=house.owner)
    assert Trial.objects.get() == trial


@pytest.mark.parametrize(
    ("fields", "at"),
    [
        ({"strands": 1}, "strands"),
        ({"strands": 101}, "strands"),
        ({"name": ""}, "name"),
        ({"thickness_mm": Decimal(-1)}, "thickness_mm"),
        ({"kind": "guess"}, "kind"),
    ],
)
def test_a_trial_that_cannot_be(house, fields, at):
    with pytest.raises(ValidationError) as refused:
        opened(house, **fields)
    assert at in refused.value.error_dict


# --- Caliper ---


def test_readings_come_back_as_they_were_typed(house, trial):
    caliper = factories.InstrumentFactory()
    first = [None, *WIDTHS_MM[1:]]
    actions.read_caliper(trial, 1, first, caliper=caliper, by=house.chef)
    actions.read_caliper(trial, 2, WIDTHS_MM, caliper=caliper, by=house.chef)
    trial.refresh_from_db()
    assert trial.first_mm.tolist()[1:] == WIDTHS_MM[1:]
    assert trial.first_mm[0] != trial.first_mm[0]
    assert trial.second_mm.tolist() == WIDTHS_MM
    assert (trial.caliper, trial.caliper_read_by) == (caliper, house.chef)


@pytest.mark.parametrize(
    ("kind", "widths_mm", "code"),
    [
        ("repeat", WIDTHS_MM, "kind"),
        ("compare", WIDTHS_MM[1:], "count"),
        ("compare", [None] * 20, "empty"),
    ],
)
def test_readings_that_are_refused(house, trial, kind, widths_mm, code):
    trial.kind = kind
    trial.save()
    with pytest.raises(ValidationError) as refused:
        actions.read_caliper(trial, 1, widths_mm, caliper=None, by=house.chef)
    assert refused.value.code == code
    assert not Trial.objects.get().first_mm.size


# --- Photos ---


def test_a_photo_belongs_to_the_one_who_took_it(house, trial):
    photograph = factories.tried(trial, by=house.cook)
    assert (photograph.trial, photograph.batch) == (trial, None)
    assert photograph.taken_by == house.cook
    assert photograph.state == "measured"
    assert photograph.readings is None


@pytest.mark.parametrize(
    ("typed", "expected"), [(Decimal("2.80"), (2.8, False)), (None, (3.0, True))]
)
def test_the_photo_reckons_with_the_thickness_of_the_trial(trial, typed, expected):
    trial.thickness_mm = typed
    trial.save()
    photograph = factories.tried(trial)
    mm, u_mm, assumed = thickness_of(photograph)
    assert (mm, assumed) == expected
    assert u_mm > 0
    assert (photograph.thickness_mm, photograph.thickness_assumed) == expected


def test_a_photo_sent_twice_is_kept_once(house, trial):
    key = uuid.uuid4()
    for _time in range(2):
        actions.add_photograph(
            trial, factories.photo_bytes(), taken_by=house.chef, client_key=key, bar_mm=99.5
        )
    assert trial.photographs.get().bar_mm == 99.5


def test_a_file_that_is_no_picture(house, trial):
    with pytest.raises(RefusedError) as refused:
        actions.add_photograph(
            trial, b"not a picture", taken_by=house.chef, client_key=uuid.uuid4()
        )
    assert refused.value.reason == Reason.NOT_A_PICTURE
    assert not Photograph.objects.exists()


def test_a_trial_takes_so_many_photos(house, trial):
    with mock.patch.object(actions, "MOST_PHOTOGRAPHS", 1):
        first = factories.tried(trial)
        with pytest.raises(ValidationError, match="takes 1 photos"):
            factories.tried(trial)
        # The same photo again is no further one.
        again = actions.add_photograph(trial, b"", taken_by=house.chef, client_key=first.client_key)
    assert again == first


def test_strands_left_out_keep_their_place_unless_they_are_none_of_those_laid(house, trial):
    actions.read_caliper(trial, 1, WIDTHS_MM, caliper=None, by=house.chef)
    crumb = [*WIDTHS_MM[:4], 0.9, *WIDTHS_MM[4:]]
    photograph = factories.tried(trial, crumb)

    def outcome():
        return trial.outcome(trial.photographs.measured().with_left_out())

    trial.refresh_from_db()
    assert [problem.code for problem in outcome()[1]] == ["strands"]
    leave_out(photograph, 5, "not_chosen", by=house.chef)
    leave_out(photograph, 1, "torn", by=house.chef)
    result, problems = outcome()
    assert problems == ()
    assert result.places == tuple(range(2, 21))
    assert result.photo_mm == tuple(WIDTHS_MM[1:])
    take_back(photograph, 1, by=house.chef)
    assert outcome()[0].places == tuple(range(1, 21))


# --- Close and discard ---


def test_a_closed_trial_keeps_its_verdict_and_is_not_changed(house):
    trial = compared(house)
    assert trial.closed_at
    # Every strand a hundredth of a millimetre too wide on the photo.
    assert trial.grade == "biased"
    assert Event.objects.filter(verb="trial_closed", object_id=trial.pk).exists()
    photograph = trial.photographs.get()
    for change in (
        lambda: actions.read_caliper(trial, 1, WIDTHS_MM, caliper=None, by=house.chef),
        lambda: factories.tried(trial),
        lambda: actions.close_trial(trial, by=house.chef),
        lambda: actions.discard_trial(trial, by=house.chef),
        lambda: leave_out(photograph, 1, "torn", by=house.chef),
    ):
        with pytest.raises(ValidationError) as refused:
            change()
        assert refused.value.code == "closed"


def test_a_trial_without_a_result_stays_open(house, trial):
    with pytest.raises(ValidationError, match="no result"):
        actions.close_trial(trial, by=house.chef)
    actions.read_caliper(trial, 1, WIDTHS_MM, caliper=None, by=house.chef)
    photograph = factories.tried(trial)
    Photograph.objects.filter(pk=photograph.pk).update(state="waiting")
    with pytest.raises(ValidationError, match="still being measured"):
        actions.close_trial(trial, by=house.chef)
    Photograph.objects.filter(pk=photograph.pk).update(state="measured")
    assert actions.close_trial(trial, by=house.chef).closed_at


def test_a_discarded_trial_takes_its_photos_along(house, trial, django_capture_on_commit_callbacks):
    photograph = factories.tried(trial)
    storage = photograph.original.storage
    assert storage.exists(photograph.original.name)
    with django_capture_on_commit_callbacks(execute=True):
        actions.discard_trial(trial, by=house.chef)
    assert not Trial.objects.exists()
    assert not Photograph.objects.exists()
    assert not storage.exists(photograph.original.name)
    event = Event.objects.get(verb="trial_discarded")
    assert event.data == {"name": trial.name}


# --- The caliper's own repeatability ---


def test_the_repeatability_found_is_entered_at_the_caliper(house):
    trial = compared(house)
    caliper = actions.take_over_repeatability(trial, by=house.chef)
    found = repeatability(trial.first_mm.tolist(), trial.second_mm.tolist())
    assert caliper == trial.caliper
    caliper.refresh_from_db()
    assert float(caliper.repeatability_mm) == pytest.approx(found.sigma_m, abs=5e-5)
    event = Event.objects.get(verb="repeatability_set")
    assert (event.actor, event.object_id) == (house.chef, caliper.pk)
    assert event.data == {
        "trial": trial.pk,
        "before": "0.0700",
        "after": str(caliper.repeatability_mm),
    }


@pytest.mark.parametrize("fault", ["one reading", "few strands", "no caliper", "repeats"])
def test_a_repeatability_that_is_not_told_is_not_entered(house, fault):
    trial = factories.TrialFactory(
        kind="repeat" if fault == "repeats" else "compare",
        branch=house.branch,
        standard=house.standard,
        made_by=house.chef,
        strands=19 if fault == "few strands" else 20,
    )
    widths_mm = WIDTHS_MM[: trial.strands]
    caliper = None if fault == "no caliper" else factories.InstrumentFactory()
    if fault != "repeats":
        for number in (1,) if fault == "one reading" else (1, 2):
            actions.read_caliper(trial, number, widths_mm, caliper=caliper, by=house.chef)
    for _time in range(2 if fault == "repeats" else 1):
        factories.tried(trial, widths_mm)
    with pytest.raises(ValidationError, match="20 strands or more twice"):
        actions.take_over_repeatability(trial, by=house.chef)
    assert not Event.objects.filter(verb="repeatability_set").exists()
