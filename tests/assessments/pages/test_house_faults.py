"""The house page of faults: counts by hand, modules before and after, nobody named."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from assessments.calculations.changes import change_beyond, mean_change
from assessments.models import Batch, BatchPatterns, FoundPattern, ReadingSet
from assessments.summaries import house_faults as summary
from assessments.summaries.lessons import lesson_title, mending_step
from tests import factories
from tests.training import module_bodies
from training.models import ModuleProgress

URL = "/faults/"
DRIFT = ("width", "drift", "wider")
TILT = ("thickness", "tilt", "left")
SALT = ("salt", "off_recipe", "above")


def measured(*faults, days=1, **fields):
    """Return a batch of ``days`` ago in which these faults were found."""
    batch = factories.BatchFactory(
        made_on=factories.days_ago(days), **{"state": Batch.State.OPEN} | fields
    )
    BatchPatterns.objects.create(batch=batch, version="1")
    FoundPattern.objects.bulk_create(
        FoundPattern(
            batch=batch,
            place=place,
            branch=batch.branch,
            style=batch.style,
            made_on=batch.made_on,
            part=part,
            kind=kind,
            direction=direction,
            size=0.5,
            unit="mm",
            of_tolerance=1.0,
            part_points=1.0,
            score_points=1.0,
        )
        for place, (part, kind, direction) in enumerate(faults)
    )
    return batch


@pytest.fixture
def here(house):
    """Return what a batch of the cook's branch is made with."""
    return {"cook": house.cook, "branch": house.branch, "standard": house.standard}


@pytest.fixture
def there(house):
    return {"cook": house.other_cook, "branch": house.other_branch, "standard": house.standard}


def visit(client, person, **query):
    client.force_login(person)
    return client.get(URL, query)


def counted(page):
    return {line.title: line.batches for line in page.faults}


def test_faults_are_counted_by_batch_and_shared_over_all_measured(client, house, here, there):
    measured(DRIFT, TILT, **here)
    measured(DRIFT, DRIFT, **here)
    measured(**here)
    measured(TILT, **there)
    page = visit(client, house.owner).context["page"]
    drift, tilt = lesson_title(*DRIFT), lesson_title(*TILT)
    assert counted(page) == {drift: 2, tilt: 2}
    assert (page.measured, page.with_any, page.without) == (4, 3, 1)
    assert [line.share for line in page.faults] == [0.5, 0.5]
    branches = {line.name: (line.measured, line.title, line.share) for line in page.branches}
    assert branches == {
        house.branch.name: (3, drift, pytest.approx(2 / 3)),
        house.other_branch.name: (1, tilt, 1.0),
    }


def test_a_head_chef_sees_their_own_branch_only(client, house, here, there):
    measured(DRIFT, **here)
    measured(TILT, **there)
    response = visit(client, house.chef)
    assert counted(response.context["page"]) == {lesson_title(*DRIFT): 1}
    assert house.other_branch.name not in response.text
    other = visit(client, house.chef, branch=house.other_branch.slug)
    assert "not one of the available choices" in other.text
    assert counted(other.context["page"]) == {lesson_title(*DRIFT): 1}


def test_it_is_narrowed_to_branch_style_and_time(client, house, here, there):
    other_style = factories.StandardFactory()
    measured(DRIFT, days=29, **here)
    measured(TILT, days=30, **here)
    measured(SALT, days=1, **{**here, "standard": other_style})
    measured(DRIFT, days=364, **there)
    drift, tilt, salt = (lesson_title(*name) for name in (DRIFT, TILT, SALT))

    def found(**query):
        return counted(visit(client, house.owner, **query).context["page"])

    assert found() == {drift: 1, tilt: 1, salt: 1}
    assert found(days="30") == {drift: 1, salt: 1}
    assert found(days="365") == {drift: 2, tilt: 1, salt: 1}
    assert found(days="365", branch=house.branch.slug) == {drift: 1, tilt: 1, salt: 1}
    assert found(style=house.style.slug) == {drift: 1, tilt: 1}
    assert "the last 90 days" in visit(client, house.owner).text
    bad = visit(client, house.owner, days="31")
    assert "31 is not one of the available choices" in bad.text


def test_nobody_is_named(client, house, here):
    house.cook.first_name = "Quillon"
    house.cook.save()
    measured(DRIFT, **here)
    text = visit(client, house.owner).text
    assert lesson_title(*DRIFT) in text
    assert "Quillon" not in text
    assert f"/cooks/{house.cook.pk}/" not in text


def test_more_findings_than_are_counted_shorten_the_time(client, house, here, monkeypatch):
    for days in (1, 2, 3):
        measured(DRIFT, days=days, **here)
    monkeypatch.setattr(summary, "MOST_FINDINGS", 2)
    response = visit(client, house.owner)
    page = response.context["page"]
    assert (page.measured, page.since) == (2, factories.days_ago(2))
    assert "these are the newest" in response.text


def test_an_empty_time_says_so(client, house):
    assert "No batch was measured in this time" in visit(client, house.owner).text


def test_measured_without_a_fault_says_so(client, house, here):
    measured(**here)
    assert "No fault beyond chance" in visit(client, house.owner).text


def test_a_real_batch_is_counted(client, house, here):
    """From the readings to the page: each strand a little wider than the one before."""
    factories.finished_batch(widths_mm=[2.6 + 0.06 * n for n in range(20)], **here)
    page = visit(client, house.owner).context["page"]
    assert page.measured == 1
    assert counted(page)[lesson_title(*DRIFT)] == 1


# Modules, before and after


@pytest.fixture
def module(house):
    slug, drawing = mending_step(*DRIFT)
    step = module_bodies.step(title="Hold it upright", drawing=drawing)
    return module_bodies.write_module(house.cutting, slug=slug, title="Cutting", body=[step])


def reading(cook, house, sd, *, days, standard=None):
    """Return the widths of a finished batch of ``days`` ago with this spread."""
    at = timezone.now() - timedelta(days=days)
    batch = factories.BatchFactory(
        cook=cook,
        branch=house.branch,
        standard=standard or house.standard,
        made_on=timezone.localdate(at),
        opened_at=at,
        finished_at=at,
        state=Batch.State.FINISHED,
    )
    return ReadingSet.objects.create(
        batch=batch,
        quantity=ReadingSet.Quantity.WIDTH,
        unit="mm",
        read_by=cook,
        positions=b"",
        values=b"",
        n=20,
        mean=3.2,
        sd=sd,
        minimum=3.0,
        maximum=3.4,
    )


def finish(cook, module, *, days):
    at = timezone.now() - timedelta(days=days)
    ModuleProgress.objects.create(person=cook, module=module, read_at=at, answered_at=at)


def five_cooks(house, module):
    """Five cooks whose spread falls by 0.1, 0.12 … 0.18 mm after the module."""
    falls = [0.10, 0.12, 0.14, 0.16, 0.18]
    for fall in falls:
        cook = factories.trainee(house.branch)
        finish(cook, module, days=20)
        # The sixth before and the sixth after do not count.
        for days in (26, 8):
            reading(cook, house, 9.0, days=days)
        for n in range(5):
            reading(cook, house, 0.4, days=25 - n)
            reading(cook, house, 0.4 - fall, days=19 - n * 2)
    return falls


def mending(client, house, **query):
    return visit(client, house.owner, **query).context["page"].mending


def test_fewer_than_five_cooks_are_too_few(client, house, here, module):
    measured(DRIFT, **here)
    cook = factories.trainee(house.branch)
    finish(cook, module, days=10)
    reading(cook, house, 0.4, days=12)
    reading(cook, house, 0.3, days=8)
    response = visit(client, house.owner)
    (line,) = response.context["page"].mending
    assert (line.title, line.finished.cooks, line.finished.change) == ("Cutting", 1, None)
    assert "too few to tell" in response.text
    assert reverse("module", args=[module.slug]) in response.text


def test_spread_before_and_after_in_halves_of_the_tolerance(client, house, here, module):
    measured(DRIFT, **here)
    falls = five_cooks(house, module)
    (line,) = mending(client, house)
    # Half the tolerance of the width is 0.5 mm.
    assert line.finished.cooks == 5
    assert line.finished.before == pytest.approx(0.4 / 0.5)
    assert line.finished.after == pytest.approx((0.4 - sum(falls) / 5) / 0.5)
    expected = mean_change([-fall / 0.5 for fall in falls])
    change = line.finished.change
    assert (change.mean, change.low, change.high) == pytest.approx(
        (expected.mean, expected.low, expected.high)
    )
    assert (line.without.change, line.beyond) == (None, None)


def test_cooks_without_the_module_stand_beside(client, house, here, module):
    measured(DRIFT, **here)
    falls = five_cooks(house, module)
    drops = [0.0, 0.02, 0.04, 0.02, 0.0]
    for drop in drops:
        cook = factories.trainee(house.branch)
        for n in range(5):
            reading(cook, house, 0.4, days=25 - n)
            reading(cook, house, 0.4 - drop, days=19 - n)
    response = visit(client, house.owner)
    (line,) = response.context["page"].mending
    assert line.without.cooks == 5
    assert line.without.after == pytest.approx((0.4 - sum(drops) / 5) / 0.5)
    expected = change_beyond([-fall / 0.5 for fall in falls], [-drop / 0.5 for drop in drops])
    assert line.beyond.mean == pytest.approx(expected.mean)
    assert "gained more than by practice alone" in response.text


def test_only_who_finished_in_the_time_and_in_one_style(client, house, here, module):
    measured(DRIFT, **here)
    other = factories.StandardFactory()
    five_cooks(house, module)
    elsewhere = factories.trainee(house.branch)
    finish(elsewhere, module, days=10)
    reading(elsewhere, house, 0.4, days=12)
    reading(elsewhere, house, 0.1, days=8, standard=other)
    early = factories.trainee(house.branch)
    finish(early, module, days=100)
    reading(early, house, 0.4, days=101)
    reading(early, house, 0.1, days=99)
    assert [line.finished.cooks for line in mending(client, house)] == [5]
    assert [line.finished.cooks for line in mending(client, house, days="365")] == [6]


def test_the_step_that_mends_is_linked(client, house, here, module):
    measured(DRIFT, **here)
    response = visit(client, house.owner)
    (fault,) = response.context["page"].faults
    assert (fault.module_title, fault.step_title) == ("Cutting", "Hold it upright")
    assert f'href="{fault.step_url}"' in response.text


@pytest.mark.parametrize("rows", [1, 10])
def test_the_page_costs_the_same_for_many(
    client, house, here, module, rows, django_assert_max_num_queries
):
    for _row in range(rows):
        measured(DRIFT, TILT, SALT, **here)
        cook = factories.trainee(factories.BranchFactory())
        finish(cook, module, days=10)
        reading(cook, house, 0.4, days=12)
        reading(cook, house, 0.3, days=8)
    client.force_login(house.owner)
    with django_assert_max_num_queries(12):
        assert client.get(URL).status_code == 200
