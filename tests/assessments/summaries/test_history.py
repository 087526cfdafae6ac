import pytest

from assessments.actions.evidence import evidence_state
from assessments.actions.log_batch import abandon_batch
from assessments.summaries.history import batch_history
from tests import factories

pytestmark = pytest.mark.django_db


def batch(house, days_ago, **fields):
    return factories.finished_batch(
        cook=house.cook,
        branch=house.branch,
        standard=house.standard,
        made_on=factories.days_ago(days_ago),
        **fields,
    )


def test_points_are_oldest_first_with_what_they_left_behind(house):
    first, second = batch(house, 5), batch(house, 3, water_g=475)
    points = batch_history(house.cook.pk, house.style.pk)
    assert [point.batch_id for point in points] == [first.pk, second.pk]
    assert points[0].score == pytest.approx(first.score.score)
    assert points[1].limiting == "hydration"
    assert points[1].intervals["width"] == (second.score.width_low, second.score.width_high)
    assert points[0].balances["hydration"] > 0
    assert points[1].balances["hydration"] == 0
    assert points[-1].balances == evidence_state(house.cook.pk, house.style.pk).balances


def test_a_batch_given_up_costs_and_has_no_score(house):
    batch(house, 5)
    given_up = factories.BatchFactory(
        cook=house.cook,
        branch=house.branch,
        standard=house.standard,
        made_on=factories.days_ago(2),
    )
    abandon_batch(given_up, by=house.cook)
    before, after = batch_history(house.cook.pk, house.style.pk)
    assert after.abandoned
    assert after.score is None
    assert set(after.shares.values()) == {None}
    assert after.balances["thickness"] == max(0, before.balances["thickness"] - 20)


def test_only_the_last_batches_are_returned_but_all_count(house):
    for days_ago in (6, 5, 4):
        batch(house, days_ago)
    points = batch_history(house.cook.pk, house.style.pk, limit=2)
    assert len(points) == 2
    assert points[-1].balances["hydration"] == pytest.approx(60)


def test_other_cooks_and_open_batches_are_left_out(house):
    factories.BatchFactory(cook=house.cook, branch=house.branch, standard=house.standard)
    factories.finished_batch(
        cook=house.other_cook, branch=house.other_branch, standard=house.standard
    )
    assert batch_history(house.cook.pk, house.style.pk) == ()


@pytest.mark.parametrize("n", [1, 10])
def test_two_queries_however_many_batches(house, n, django_assert_num_queries):
    for days_ago in range(n):
        batch(house, days_ago)
    with django_assert_num_queries(2):
        assert len(batch_history(house.cook.pk, house.style.pk)) == n
