"""Small runs of what the benchmark does at length: limits are four standard errors away."""

import pytest

from assessments.calculations.patterns import simulation


def test_even_batches_bring_up_little():
    (row,) = simulation.false_alarms(300, strands=(20,), scatters=("rounded",))
    # 5 of 100, and four standard errors.
    assert row.any <= 0.05 + 4 * (0.05 * 0.95 / 300) ** 0.5


@pytest.mark.parametrize(
    ("part", "kind", "strength", "least"),
    [
        ("width", "alternation", 3.0, 0.9),
        ("width", "drift", 5.0, 0.8),
        ("width", "outliers", 8.0, 0.8),
        ("thickness", "ridge_along_rows", 8.0, 0.7),
        ("taper", "wedge", 2.0, 0.9),
    ],
)
def test_plain_patterns_are_found(monkeypatch, part, kind, strength, least):
    monkeypatch.setattr(simulation, "POWERS", ((part, kind, strength),))
    counted = []
    (row,) = simulation.power(30, strands=(20,), advance=lambda: counted.append(1))
    assert row.found >= least
    assert row.first >= least - 0.2
    assert counted == [1]


def test_unchanged_hands_are_seldom_told_better():
    gone, better, worse, cannot_tell = simulation.changes(40, drift=3.0)
    assert gone + better <= 0.05 + 4 * (0.05 * 0.95 / 40) ** 0.5
    assert gone + better + worse + cannot_tell == pytest.approx(1)


def test_even_cooks_have_few_habits():
    assert simulation.false_habits(40) <= 0.05 + 4 * (0.05 * 0.95 / 40) ** 0.5
