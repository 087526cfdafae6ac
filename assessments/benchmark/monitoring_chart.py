"""How long the chart after a sign-off runs until its alarm, false ones and true ones.

The model, in tolerances (1 from target to limit): a batch's mean is drawn from a normal
distribution about the target or ``offset`` beside it, its strands from one about that mean; the
variance of both is such that the wanted share of all strands lies within the limits, ``between``
of it between batches. Points are the site's own; the length of the runs follows from them without
another simulation (`run_length`), so that runs of hundreds of batches are not cut off.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq
from scipy.special import ndtr

from assessments.calculations.monitoring import monitor_points, run_length
from assessments.calculations.scoring import share_in_tolerance

SEED = 2032
STRANDS = (10, 20, 40)
SETTINGS = ((0.2, 0.0), (0.35, 0.0), (0.35, 0.35))
"""Share of the variance between batches, and how far the mean is off, in tolerances."""

WITHIN = 30

# Expected figures of the specification: true share -> least and most mean batches to the alarm
# over strands and settings. Runs were cut off there at 400 batches (at 80 below 0.90), which
# shortens the means of 0.95 and 0.97; hence the wide upper ends here.
EXPECTED = {
    0.97: (286, 393),
    0.95: (116, 327),
    0.90: (17, 23),
    0.85: (4, 9),
    0.80: (3, 6),
    0.70: (2, 3),
}


@dataclass(frozen=True, slots=True)
class ChartRow:
    """Mean batches to the alarm and chance of one within ``WITHIN``, least and most, by share."""

    true_share: float
    batches: tuple[float, float]
    chance: tuple[float, float]
    expected: tuple[float, float]


def check_chart(batches: int, *, advance: Callable[[], object] | None = None) -> list[ChartRow]:
    """Return the run lengths from ``batches`` simulated batches for each share and setting."""
    rows = []
    for i, (share, expected) in enumerate(EXPECTED.items()):
        rng = np.random.default_rng([SEED, i])
        runs = []
        for strands in STRANDS:
            for between, offset in SETTINGS:
                points = simulate_points(share, strands, between, offset, batches, rng)
                runs.append(run_length(points, (WITHIN,)))
                if advance is not None:
                    advance()
        means = [run.mean for run in runs]
        chances = [run.chance_within[0] for run in runs]
        rows.append(
            ChartRow(share, (min(means), max(means)), (min(chances), max(chances)), expected)
        )
    return rows


def simulate_points(
    true_share: float,
    strands: int,
    between: float,
    offset: float,
    batches: int,
    rng: np.random.Generator,
) -> list[float]:
    """Return the points of that many batches of a cook who holds the share."""
    # A smaller spread is always the better one as long as the mean lies within the limits.
    spread = brentq(
        lambda sd: ndtr((1 - offset) / sd) - ndtr((-1 - offset) / sd) - true_share, 0.01, 5
    )
    means = rng.normal(offset, spread * between**0.5, batches)
    values = rng.normal(means[:, None], spread * (1 - between) ** 0.5, (batches, strands))
    return [monitor_points(share_in_tolerance(row, -1, 1).share, strands) for row in values]
