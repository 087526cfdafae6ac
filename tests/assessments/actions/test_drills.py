"""Keeping a drill: counted as a batch is, once, and without any weight."""

from uuid import uuid4

import numpy as np
import pytest
from django.core.exceptions import ValidationError

from assessments.actions.drills import keep_drill
from assessments.calculations.scoring import share_in_tolerance
from assessments.models import Batch, Drill, Event
from tests import factories


def keep(house, values_mm, *, kind="strands", client_key=None, **fields):
    return keep_drill(
        house.cook,
        house.standard,
        kind,
        dict(enumerate(values_mm, start=1)),
        client_key=client_key or uuid4(),
        by=house.cook,
        **fields,
    )


def test_strands_are_counted_as_in_a_batch(house):
    widths_mm = [*factories.GOOD_WIDTHS_MM[:18], 2.5, 4.0]
    drill = keep(house, widths_mm, note="Guide held lower.")
    drill.refresh_from_db()
    assert drill.array.tolist() == widths_mm
    assert drill.places.tolist() == list(range(1, 21))
    # 2.5 and 4.0 are the only ones beyond 2.7 to 3.7 mm.
    assert (drill.n, drill.n_in) == (20, 18)
    assert drill.mean == pytest.approx(np.mean(widths_mm))
    assert drill.sd == pytest.approx(np.std(widths_mm, ddof=1))
    assert drill.share == pytest.approx(share_in_tolerance(widths_mm, 2.7, 3.7).share)
    assert (drill.branch, drill.style) == (house.branch, house.style)


def test_a_sheet_has_the_limits_of_its_thickness(house):
    drill = keep(house, [3.0, 3.1, 2.9, 3.5, 2.5], kind="sheet")
    assert (drill.n, drill.n_in) == (5, 3)


def test_it_is_no_batch_and_changes_no_evidence(house):
    before = type(house.practice).objects.filter(pk=house.practice.pk).values().get()
    drill = keep(house, factories.GOOD_WIDTHS_MM)
    assert not Batch.objects.exists()
    assert type(house.practice).objects.filter(pk=house.practice.pk).values().get() == before
    event = Event.objects.get(verb=Event.Verb.DRILL_DONE)
    assert (event.actor, event.subject, event.object_id) == (house.cook, house.cook, drill.pk)


def test_a_coarse_instrument_leaves_no_share(house):
    ruler = factories.InstrumentFactory(name="ruler", repeatability_mm="0.3")
    drill = keep(house, factories.GOOD_WIDTHS_MM, instrument=ruler)
    assert drill.share is None
    assert drill.repeatability_mm == 0.3
    caliper = factories.InstrumentFactory(repeatability_mm="0.05")
    drill = keep(house, factories.GOOD_WIDTHS_MM, instrument=caliper)
    assert drill.share == pytest.approx(
        share_in_tolerance(factories.GOOD_WIDTHS_MM, 2.7, 3.7, 0.05).share
    )


def test_sent_twice_is_kept_once(house):
    key = uuid4()
    first = keep(house, factories.GOOD_WIDTHS_MM, client_key=key)
    again = keep(house, factories.GOOD_WIDTHS_MM, client_key=key)
    assert again == first
    assert Drill.objects.count() == Event.objects.filter(verb="drill_done").count() == 1
    with pytest.raises(ValidationError, match="saved a drill already"):
        keep(house, [3.1] * 20, client_key=key)
    # Other places with the same values are another drill too.
    with pytest.raises(ValidationError, match="saved a drill already"):
        keep_drill(
            house.cook,
            house.standard,
            "strands",
            dict(enumerate(factories.GOOD_WIDTHS_MM, start=2)),
            client_key=key,
            by=house.cook,
        )


def test_too_few_values_and_styles_not_practised_are_refused(house):
    with pytest.raises(ValidationError, match="5 values or more"):
        keep(house, [3.1, 3.2, 3.3, 3.2])
    with pytest.raises(ValidationError, match="do not practise"):
        keep_drill(
            house.other_cook,
            house.standard,
            "strands",
            dict(enumerate(factories.GOOD_WIDTHS_MM, start=1)),
            client_key=uuid4(),
            by=house.other_cook,
        )
    assert not Drill.objects.exists()
