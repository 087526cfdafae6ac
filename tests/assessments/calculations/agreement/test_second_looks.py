from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import chisquare

from assessments.calculations.agreement.second_looks import (
    Candidate,
    SecondLook,
    propose_second_looks,
)

ASSESSORS = (101, 102, 103)


def kitchen(cooks=5, each=6):
    """Return invented batches: every cook equally many, assessed in turn by three."""
    return [
        Candidate(cook * each + i, cook, ASSESSORS[(cook + i) % 3], ASSESSORS)
        for cook in range(cooks)
        for i in range(each)
    ]


def spread(counts):
    return max(counts.values()) - min(counts.values())


@pytest.mark.parametrize("seed", range(5))
def test_balanced_over_cooks_and_assessors(seed):
    looks = propose_second_looks(kitchen(), 15, seed=seed)
    assert len({look.batch for look in looks}) == 15
    assert Counter(look.cook for look in looks) == dict.fromkeys(range(5), 3)
    for part in (
        Counter(look.first for look in looks),
        Counter(look.second for look in looks),
        Counter(frozenset((look.first, look.second)) for look in looks),
    ):
        assert len(part) == 3
        assert spread(part) <= 2


def test_the_past_counts():
    past = [SecondLook(1000 + i, 0, 101, 102) for i in range(4)]
    looks = propose_second_looks(kitchen(cooks=2), 4, seed=3, past=past)
    assert {look.cook for look in looks} == {1}
    assert all({look.first, look.second} != {101, 102} for look in looks[:2])


@pytest.mark.parametrize("seed", range(4))
def test_who_was_second_often_is_spared(seed):
    past = [SecondLook(1000, 9, 102, 103)]
    look = propose_second_looks([Candidate(1, 5, 101, (103, 104))], 1, seed=seed, past=past)[0]
    assert look.second == 104


@pytest.mark.parametrize("seed", range(4))
def test_whose_batches_were_looked_at_often_is_spared(seed):
    past = [SecondLook(1000, 9, 101, 103)]
    batches = [Candidate(1, 5, 101, (104,)), Candidate(2, 6, 102, (104,))]
    assert propose_second_looks(batches, 1, seed=seed, past=past)[0].batch == 2


def test_a_batch_that_was_looked_at_is_not_proposed_again():
    batches = kitchen(cooks=1, each=3)
    past = [SecondLook(0, 0, 101, 102)]
    assert {look.batch for look in propose_second_looks(batches, 9, seed=1, past=past)} == {1, 2}


def test_seed_and_order():
    batches = kitchen()
    looks = propose_second_looks(batches, 6, seed=7)
    assert propose_second_looks(batches[::-1], 6, seed=7) == looks
    assert any(propose_second_looks(batches, 6, seed=seed) != looks for seed in range(3))


def test_every_batch_and_second_has_the_same_chance():
    batches = [Candidate(batch, batch, 101, ASSESSORS) for batch in range(6)]
    chosen = [propose_second_looks(batches, 1, seed=seed)[0] for seed in range(1200)]
    assert chisquare(list(Counter(look.batch for look in chosen).values())).pvalue > 0.001
    seconds = Counter(look.second for look in chosen)
    assert set(seconds) == {102, 103}
    assert chisquare(list(seconds.values())).pvalue > 0.001


@given(
    st.lists(
        st.tuples(st.integers(0, 3), st.integers(4, 6), st.lists(st.integers(0, 6))), max_size=20
    ),
    st.integers(0, 25),
)
def test_nobody_looks_twice_or_at_the_own_batch(rows, wanted):
    batches = [Candidate(i, cook, first, tuple(o)) for i, (cook, first, o) in enumerate(rows)]
    looks = propose_second_looks(batches, wanted, seed=0)
    possible = [one for one in batches if set(one.others) - {one.cook, one.first}]
    assert len(looks) == min(wanted, len(possible))
    by_batch = {one.batch: one for one in batches}
    assert len({look.batch for look in looks}) == len(looks)
    for look in looks:
        one = by_batch[look.batch]
        assert (look.cook, look.first) == (one.cook, one.first)
        assert look.second in one.others
        assert look.second not in (one.cook, one.first)


@pytest.mark.parametrize(
    ("batches", "wanted", "seed", "message"),
    [
        ([], -1, 0, "wanted must be 0 or more"),
        ([], 1, -1, "seed must be a whole number"),
        ([], 1, 1.5, "seed must be a whole number"),
        ([], 1, True, "seed must be a whole number"),
        ([Candidate(1, 2, 3, ()), Candidate(1, 2, 3, ())], 1, 0, "Batch 1 comes twice"),
        ([Candidate(1, 2, 2, (3,))], 1, 0, "Batch 1: nobody can assess the own batch"),
    ],
)
def test_refuses(batches, wanted, seed, message):
    with pytest.raises(ValueError, match=message):
        propose_second_looks(batches, wanted, seed=seed)
