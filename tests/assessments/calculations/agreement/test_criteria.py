import numpy as np
import pytest

from assessments.calculations.agreement.criteria import Seen, criteria_agreement
from assessments.calculations.agreement.kappa import fleiss_kappa, weighted_kappa
from assessments.calculations.agreement.strictness import (
    Rated,
    rating_difference,
    strictness,
)

CRITERIA = ("handling", "hygiene")


def house(n=24):
    """Return invented ratings: 1 and 2 see every batch, 3 every third; 2 is stricter in hygiene."""
    rng = np.random.default_rng(11)
    seen = []
    for batch in range(n):
        handling, hygiene = (int(rng.integers(0, 3)) for _criterion in CRITERIA)
        seen.append(Seen(batch, 1, {"handling": handling, "hygiene": hygiene}))
        seen.append(Seen(batch, 2, {"handling": handling, "hygiene": max(0, hygiene - 1)}))
        if batch % 3 == 0:
            seen.append(Seen(batch, 3, {"handling": None, "hygiene": hygiene}))
    return seen


def of(seen, assessor, criterion):
    return [one.ratings[criterion] for one in seen if one.assessor == assessor]


def test_pairs_are_those_of_the_batches_in_common():
    seen = house()
    handling, hygiene = criteria_agreement(seen[::-1], CRITERIA)
    assert [(p.first, p.second, p.linear.n) for p in hygiene.pairs] == [
        (1, 2, 24),
        (1, 3, 8),
        (2, 3, 8),
    ]
    one, two = of(seen, 1, "hygiene"), of(seen, 2, "hygiene")
    pair = hygiene.pairs[0]
    assert pair.linear.value == pytest.approx(weighted_kappa(one, two).value)
    assert pair.quadratic.value == pytest.approx(
        weighted_kappa(one, two, weights="quadratic").value
    )
    assert pair.difference == rating_difference(one, two)
    assert pair.intraclass.value == pytest.approx(pair.quadratic.value, abs=0.03)
    assert pair.p_holm == pytest.approx(4 * pair.difference.p)
    assert [(p.first, p.second) for p in handling.pairs] == [(1, 2)]
    assert handling.pairs[0].linear.value == 1


def test_all_together():
    seen = house()
    handling, hygiene = criteria_agreement(seen, CRITERIA)
    counts = np.zeros((24, 3))
    for one in seen:
        counts[one.batch, one.ratings["hygiene"]] += 1
    assert hygiene.several == fleiss_kappa(counts)
    assert hygiene.assessors == strictness(
        [Rated(one.batch, one.assessor, one.ratings["hygiene"]) for one in seen]
    )
    assert (hygiene.batches, hygiene.several.mean_raters) == (24, pytest.approx(56 / 24))
    assert [(a.assessor, a.verdict) for a in hygiene.assessors] == [
        (1, "milder"),
        (2, "stricter"),
        (3, "cannot tell"),
    ]
    assert [(a.assessor, a.verdict) for a in handling.assessors] == [(1, "alike"), (2, "alike")]


def test_a_batch_that_one_has_seen_tells_nothing():
    seen = [Seen(1, 1, {"hygiene": 2}), Seen(2, 2, {"hygiene": 0})]
    handling, hygiene = criteria_agreement(seen, CRITERIA)
    for one in (handling, hygiene):
        assert (one.batches, one.pairs, one.several) == (0, (), None)
    assert handling.assessors == ()
    assert [a.verdict for a in hygiene.assessors] == ["cannot tell"] * 2


def test_one_batch_in_common():
    seen = [Seen(1, 1, {"hygiene": 2}), Seen(1, 2, {"hygiene": 0})]
    pair = criteria_agreement(seen, ["hygiene"])[0].pairs[0]
    assert (pair.intraclass, pair.linear.low, pair.p_holm) == (None, None, 1)


@pytest.mark.parametrize(
    ("seen", "message"),
    [
        ([Seen(1, 1, {"hygiene": 3})], "hygiene must be whole numbers from 0 to 2"),
        ([Seen(1, 1, {"hygiene": 2})] * 2, "Assessor 1 has rated hygiene of batch 1 twice"),
    ],
)
def test_refuses(seen, message):
    with pytest.raises(ValueError, match=message):
        criteria_agreement(seen, CRITERIA)
