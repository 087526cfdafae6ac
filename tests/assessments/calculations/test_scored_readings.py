"""Caliper files whose shares, points, scores and balances were worked out beforehand."""

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from assessments.calculations.requirements import evidence_points, signoff_state
from assessments.calculations.scoring import batch_score, share_in_tolerance

READINGS = Path(__file__).parents[1] / "readings"
LIMITS_MM = {
    "first": {"strand width": (2.7, 3.7), "sheet thickness": (2.6, 3.4)},
    "second": {"strand width": (1.15, 1.65), "sheet thickness": (1.25, 1.75)},
    "third": {"strand width": (2.7, 3.7), "sheet thickness": (2.6, 3.4)},
}


def rows(name):
    with (READINGS / name).open(newline="") as file:
        return list(csv.DictReader(file))


def shares(name):
    values = defaultdict(list)
    for row in rows(f"{name}.csv"):
        values[row["batch"], row["date"], row["quantity"]].append(float(row["value"]))
    result = defaultdict(dict)
    for (batch, day, quantity), readings_mm in values.items():
        share = share_in_tolerance(readings_mm, *LIMITS_MM[name][quantity])
        result[batch, day][quantity] = share
    return result


@pytest.mark.parametrize("expected", rows("expected.csv"), ids=lambda row: row["batch"])
def test_batch_of_caliper_readings(expected):
    batch = shares(expected["batch"].partition("-")[0])[expected["batch"], expected["day"]]
    width, thickness = batch["strand width"], batch["sheet thickness"]
    assert width.share == pytest.approx(float(expected["width_share"]), abs=1e-5)
    assert thickness.share == pytest.approx(float(expected["thickness_share"]), abs=1e-5)
    width_points = evidence_points(width.share, width.n)
    thickness_points = evidence_points(thickness.share, thickness.n)
    assert width_points == pytest.approx(float(expected["width_points"]), abs=1e-3)
    assert thickness_points == pytest.approx(float(expected["thickness_points"]), abs=1e-3)
    score = batch_score(width.share, thickness.share)
    assert score.score == pytest.approx(float(expected["score"]), abs=1e-3)
    assert not score.complete


@pytest.mark.parametrize(
    ("name", "width", "thickness"), [("first", 100, 100), ("second", 20, 55.6), ("third", 100, 100)]
)
def test_balances_after_the_last_batch(name, width, thickness):
    batches = [
        {
            "day": day,
            "points": {
                "width": evidence_points(parts["strand width"].share, parts["strand width"].n),
                "thickness": evidence_points(
                    parts["sheet thickness"].share, parts["sheet thickness"].n
                ),
                "hydration": None,
            },
        }
        for (_, day), parts in sorted(shares(name).items())
    ]
    state = signoff_state(batches)
    assert state.balances["width"] == pytest.approx(width, abs=1e-3)
    assert state.balances["thickness"] == pytest.approx(thickness, abs=1e-3)
    assert state.balances["hydration"] == 0
    assert (state.complete, state.more_like_last) == (False, None)
