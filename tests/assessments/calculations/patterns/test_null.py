import numpy as np
import pytest
from statsmodels.stats.multitest import multipletests

from assessments.calculations.patterns.null import (
    DRAWS,
    compare,
    joint_chances,
    normals,
    orders,
    signs,
)


def joint_spelt_out(observed, draws):
    """Westfall and Young's algorithm 2.8, one probability after the other."""
    pooled = np.vstack([observed, draws])
    rows, kinds = pooled.shape
    p = np.array(
        [[np.mean(pooled[:, k] >= pooled[b, k]) for k in range(kinds)] for b in range(rows)]
    )
    order = np.argsort(p[0])
    adjusted, largest = np.empty(kinds), 0.0
    for i, k in enumerate(order):
        left = order[i:]
        largest = max(largest, np.mean(p[:, left].min(axis=1) <= p[0, k]))
        adjusted[k] = largest
    return p[0], adjusted


def test_joint_chances_are_westfall_and_youngs():
    rng = np.random.default_rng(1)
    draws = np.round(rng.standard_normal((199, 4)) @ rng.standard_normal((4, 4)), 1)
    observed = np.array([3.0, 1.0, 2.5, 0.1])
    tests = [compare(str(k), observed[k], draws[:, k]) for k in range(4)]
    alone, joint = joint_spelt_out(observed, draws)
    result = joint_chances(tests)
    assert [result[str(k)].alone for k in range(4)] == pytest.approx(alone)
    assert [result[str(k)].joint for k in range(4)] == pytest.approx(joint)


def test_independent_tests_come_out_as_sidaks():
    draws = np.random.default_rng(2).standard_normal((DRAWS, 5))
    observed = [2.5, 2.0, 1.5, 1.0, 0.0]
    result = joint_chances([compare(str(k), observed[k], draws[:, k]) for k in range(5)])
    alone = [result[str(k)].alone for k in range(5)]
    expected = multipletests(alone, method="holm-sidak")[1]
    assert [result[str(k)].joint for k in range(5)] == pytest.approx(expected, abs=0.03)


def test_the_same_test_twice_costs_nothing():
    draws = normals(1, 99)[:, 0].astype(float)
    result = joint_chances([compare("a", 2.5, draws), compare("b", 2.5, draws)])
    assert result["a"].joint == result["a"].alone == result["b"].joint


def test_the_level_is_exact():
    """Each of the rows in turn as the batch: at most 5 of 100 are beyond 5 %."""
    draws = np.random.default_rng(3).standard_normal((200, 6))
    draws[:, 5] = draws[:, 4] + 0.1 * draws[:, 3]
    beyond = 0
    for i in range(200):
        others = np.delete(draws, i, axis=0)
        tests = [compare(str(k), draws[i, k], others[:, k]) for k in range(6)]
        beyond += min(chance.joint for chance in joint_chances(tests).values()) <= 0.05
    # A row whose smallest probability ties with others at the edge may leave the level unused.
    assert 4 <= beyond <= 10


def test_ties_and_infinity():
    draws = np.array([1.0, 1.0, 2.0])
    assert joint_chances([compare("a", 1.0, draws)])["a"].alone == 1
    assert joint_chances([compare("a", np.inf, draws)])["a"].alone == 0.25
    assert joint_chances([]) == {}


def test_refuses():
    draws = np.zeros(3)
    with pytest.raises(ValueError, match="own name"):
        joint_chances([compare("a", 1, draws), compare("a", 1, draws)])
    with pytest.raises(ValueError, match="same number"):
        joint_chances([compare("a", 1, draws), compare("b", 1, np.zeros(4))])
    with pytest.raises(ValueError, match="must be a number"):
        compare("a", np.nan, draws)


def test_random_batches_are_the_same_each_time_and_apart_by_stream():
    assert (np.sort(orders(7, 1), axis=1) == np.arange(7)).all()
    assert orders(7, 1).shape == normals(7, 1).shape == signs(7, 1).shape == (DRAWS, 7)
    assert set(np.unique(signs(7, 1))) == {-1, 1}
    assert not np.array_equal(orders(7, 1), orders(7, 2))
    assert abs(np.corrcoef(normals(7, 3)[:, 0], normals(7, 4)[:, 0])[0, 1]) < 0.1
