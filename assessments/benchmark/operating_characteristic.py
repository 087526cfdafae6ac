"""How often the sign-off rule shows a part of a simulated cook: its operating characteristic.

The model, in tolerances (1 from target to limit): a batch's mean is drawn from a normal
distribution around the target, its strands from a normal distribution around that mean. The
variance of both together is such that the wanted share of all strands lies within the limits;
``BETWEEN`` of it lies between batches. One batch a day, ``STRANDS`` strands of it measured without
error. Shares, points and the rule are the site's own functions.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from scipy.special import ndtri

from assessments.calculations.requirements import EvidenceBatch, evidence_points, signoff_state
from assessments.calculations.scoring import share_in_tolerance

SEED = 2030
BETWEEN = 0.2
STRANDS = 20
LOOKS = (15, 30)
FIRST_DAY = date(2026, 1, 1)

# Expected figures of the specification: true share -> P(shown within 15), P(within 30).
EXPECTED = {
    0.75: (0.000, 0.000),
    0.80: (0.000, 0.000),
    0.85: (0.000, 0.002),
    0.90: (0.136, 0.347),
    0.925: (0.592, 0.901),
    0.95: (0.953, 1.000),
    0.97: (1.000, 1.000),
    0.99: (1.000, 1.000),
}


@dataclass(frozen=True, slots=True)
class Row:
    """Chances that the part is shown within each number of looks, beside the expected ones."""

    true_share: float
    found: tuple[float, ...]
    expected: tuple[float, ...]


def operating_characteristic(
    cooks: int, *, advance: Callable[[], object] | None = None
) -> list[Row]:
    """Simulate ``cooks`` cooks of each true share; ``advance`` is called after each cook."""
    rows = []
    for i, (share, expected) in enumerate(EXPECTED.items()):
        rng = np.random.default_rng([SEED, i])
        shown_at = []
        for _ in range(cooks):
            shown_at.append(batches_until_shown(share, rng))
            if advance is not None:
                advance()
        found = tuple(float(np.mean([at <= looks for at in shown_at])) for looks in LOOKS)
        rows.append(Row(share, found, expected))
    return rows


def batches_until_shown(true_share: float, rng: np.random.Generator) -> int:
    """Return after how many batches the width of one simulated cook is shown.

    One more than the last look when it is not shown by then.
    """
    spread = 1 / float(ndtri((1 + true_share) / 2))
    most = max(LOOKS)
    means = rng.normal(0, spread * BETWEEN**0.5, most)
    batches: list[EvidenceBatch] = []
    for number, mean in enumerate(means, start=1):
        widths = rng.normal(mean, spread * (1 - BETWEEN) ** 0.5, STRANDS)
        result = share_in_tolerance(widths, -1, 1)
        points = evidence_points(result.share, result.n)
        day = FIRST_DAY + timedelta(days=number)
        batches.append(EvidenceBatch(day, {"width": points}))
        # A part comes to be shown only by a batch that earns.
        if points > 0 and signoff_state(batches).shown["width"]:
            return number
    return most + 1
