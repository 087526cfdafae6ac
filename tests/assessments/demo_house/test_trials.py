"""The demo house's trials of the photos: finished, plausible, the same on every day."""

import pytest

from assessments.demo_house.trials import CALIPER_MM, PHOTO_MM, try_the_photos
from assessments.models import Event, Trial
from assessments.summaries.trials import trial_page


@pytest.fixture
def pages(bench):
    """The page of each trial, by its kind."""
    Trial.objects.all().delete()
    try_the_photos(bench)
    return {trial.kind: trial_page(trial) for trial in Trial.objects.with_names()}


def test_there_is_one_of_each_kind_and_both_are_good(pages):
    assert {kind: page.verdict.grade for kind, page in pages.items()} == {
        "compare": "good",
        "repeat": "good",
    }
    assert all(page.trial.grade == page.verdict.grade for page in pages.values())
    assert all(page.problems == () for page in pages.values())


def test_the_comparison_finds_what_was_drawn(pages):
    found = pages["compare"].result
    assert len(found.places) == 20
    # 95 % of such estimates from 20 strands lie between 0.76 and 1.46 of the true scatter.
    assert 0.7 * CALIPER_MM < found.caliper.sigma_m < 1.5 * CALIPER_MM
    assert 0.7 * PHOTO_MM < found.photo_sd_mm < 1.5 * PHOTO_MM
    assert found.within_two_u >= 17


def test_the_repeat_finds_what_was_drawn(pages):
    page = pages["repeat"]
    study = page.result.study
    assert (study.parts, study.appraisers, study.trials) == (20, 2, 3)
    assert 0.8 * PHOTO_MM < study.repeatability.sd < 1.25 * PHOTO_MM
    assert len(page.people) == 2


def test_it_happened_in_order_and_in_the_past(pages, bench):
    for page in pages.values():
        trial = page.trial
        photos = [line.photograph.uploaded_at for line in page.photographs]
        opened = Event.objects.get(verb="trial_opened", object_id=trial.pk).at
        assert opened <= photos[0] <= photos[-1] < trial.closed_at < bench.now
        assert trial.made_on < bench.today


def test_the_numbers_are_the_same_whenever_it_is_built(pages, bench):
    before = {kind: page.result for kind, page in pages.items()}
    for trial in Trial.objects.all():
        trial.photographs.all().delete()
        trial.delete()
    try_the_photos(bench)
    again = {trial.kind: trial_page(trial).result for trial in Trial.objects.with_names()}
    assert again["compare"] == before["compare"]
    assert again["repeat"].widths_mm == before["repeat"].widths_mm
