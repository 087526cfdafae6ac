"""How often the intervals of the assessors' agreement hold the true number: their coverage.

The model: a batch has a quality, each of two assessors sees it with an error of their own (both
normal; their correlation is ``alike``), and gives the rating whose share of all batches it falls
into; the second is stricter by ``shift`` standard deviations. What kappa, mean difference, spread
and intraclass correlation would come to over endlessly many batches follows from the table of
the nine probabilities. Intervals are the site's own functions.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.special import ndtr, ndtri
from scipy.stats import norm

from assessments.calculations.agreement.intraclass import intraclass, intraclass_of_ratings
from assessments.calculations.agreement.kappa import Kappa, fleiss_kappa, kappa_of_table
from assessments.calculations.agreement.reliability import Reliability
from assessments.calculations.agreement.strictness import Rated, rating_difference, strictness
from assessments.calculations.gauge import Estimate

SEED = 1979
SIZES = (10, 20, 40)
# Shares of the ratings 0, 1, 2; how alike; how much stricter the second is.
KITCHENS = {
    "learners": ((0.33, 0.34, 0.33), 0.8, 0.0),
    "usual": ((0.10, 0.20, 0.70), 0.8, 0.0),
    "usual, hardly alike": ((0.10, 0.20, 0.70), 0.4, 0.0),
    "usual, much alike": ((0.10, 0.20, 0.70), 0.95, 0.0),
    "usual, second stricter": ((0.10, 0.20, 0.70), 0.8, 0.6),
    "nearly all met": ((0.03, 0.12, 0.85), 0.8, 0.0),
}


@dataclass(frozen=True, slots=True)
class Coverage:
    """Shares of made-up comparisons, 0..1, in which each interval held the true number.

    ``undefined`` is the share in which linear kappa was not defined and is left out of its
    coverage, ``width`` the median width of its interval. For comparison ``wald`` is the coverage
    of the usual interval from linear kappa's standard error for many pairs, ``normal`` that of
    the intraclass correlation's interval for normal ratings.
    """

    kitchen: str
    n: int
    linear: float
    quadratic: float
    wald: float
    fleiss: float
    icc: float
    normal: float
    mean: float
    spread: float
    undefined: float
    width: float


def table_of(shares: tuple[float, ...], alike: float, shift: float) -> NDArray[np.float64]:
    """Return the probability of each pair of ratings, shape (3, 3); rows: the first assessor."""
    inner = ndtri(np.cumsum(shares)[:-1])
    first = [-9.0, *inner, 9.0]
    second = [-9.0, *(inner + shift), 9.0]
    own = np.sqrt(1 - alike**2)

    def cell(i: int, j: int) -> float:
        def density(x: float) -> float:
            below, above = ((edge - alike * x) / own for edge in (second[j], second[j + 1]))
            return float(norm.pdf(x) * (ndtr(above) - ndtr(below)))

        return float(quad(density, first[i], first[i + 1])[0])

    table = np.array([[cell(i, j) for j in range(3)] for i in range(3)])
    return table / table.sum()


def coverage(runs: int, *, advance: Callable[[], object] | None = None) -> list[Coverage]:
    """Simulate ``runs`` comparisons of each kitchen and size; ``advance`` is called after each."""
    rows = []
    for i, name in enumerate(KITCHENS):
        for n in SIZES:
            rows.append(covered(name, n, runs, np.random.default_rng([SEED, i, n])))
            if advance is not None:
                advance()
    return rows


def covered(kitchen: str, n: int, runs: int, rng: np.random.Generator) -> Coverage:
    """Simulate one kitchen of `KITCHENS` with ``n`` batches that both assessors rate."""
    table = table_of(*KITCHENS[kitchen])
    steps = np.subtract.outer(np.arange(3), np.arange(3)).astype(float)
    mean = float((table * steps).sum())
    truth = {
        "linear": _true_kappa(table, np.abs(steps)),
        "wald": _true_kappa(table, np.abs(steps)),
        "quadratic": _true_kappa(table, steps**2),
        "fleiss": _true_fleiss(table),
        "icc": _true_intraclass(table),
        "normal": _true_intraclass(table),
        "mean": mean,
        "spread": float((table * (steps - mean) ** 2).sum()) ** 0.5,
    }
    held: dict[str, list[bool]] = {name: [] for name in truth}
    widths, undefined = [], 0
    for counts in rng.multinomial(n, table.ravel(), size=runs).reshape(runs, 3, 3):
        a = np.repeat(np.repeat(np.arange(3), 3), counts.ravel())
        b = np.repeat(np.tile(np.arange(3), 3), counts.ravel())
        first, second = a.tolist(), b.tolist()
        linear = kappa_of_table(counts)
        difference = rating_difference(first, second)
        found: dict[str, Reliability | Estimate | None] = {
            "linear": linear,
            "quadratic": kappa_of_table(counts, weights="quadratic"),
            "fleiss": fleiss_kappa(np.eye(3)[a] + np.eye(3)[b]),
            "icc": intraclass_of_ratings(first, second),
            "normal": intraclass(np.column_stack((a, b))).agreement,
            "mean": difference.mean,
            "spread": difference.spread,
            "wald": _usual(linear),
        }
        for name, one in found.items():
            if one is not None and one.low is not None and one.high is not None:
                held[name].append(one.low <= truth[name] <= one.high)
        if linear.low is None or linear.high is None:
            undefined += 1
        else:
            widths.append(linear.high - linear.low)
    shares = {name: float(np.mean(results)) for name, results in held.items()}
    return Coverage(
        kitchen=kitchen,
        n=n,
        undefined=undefined / runs,
        width=float(np.median(widths)),
        **shares,
    )


def called_stricter(n: int, runs: int, shift: float, rng: np.random.Generator) -> float:
    """Return the share of houses in which any of four assessors is called stricter or milder.

    Each of ``n`` batches is rated by two of four; the fourth is stricter by ``shift`` standard
    deviations. Without a shift this is the rate of false alarms.
    """
    shares, alike, _shift = KITCHENS["usual"]
    limits = ndtri(np.cumsum(shares)[:-1])
    called = 0
    for _run in range(runs):
        quality = rng.normal(size=n)
        ratings = []
        for batch in range(n):
            for who in rng.choice(4, 2, replace=False):
                noise = rng.normal() * np.sqrt(1 - alike)
                view = np.sqrt(alike) * quality[batch] + noise - shift * (who == 3)
                ratings.append(Rated(batch, int(who), float((view > limits).sum())))
        called += any(one.verdict in ("stricter", "milder") for one in strictness(ratings))
    return called / runs


def _usual(kappa: Kappa) -> Estimate | None:
    if kappa.value is None or kappa.standard_error is None:
        return None
    half = 1.96 * kappa.standard_error
    return Estimate(kappa.value, kappa.value - half, kappa.value + half)


def _true_kappa(table: NDArray[np.float64], weights: NDArray[np.float64]) -> float:
    expected = np.outer(table.sum(axis=1), table.sum(axis=0))
    return 1 - float((weights * table).sum()) / float((weights * expected).sum())


def _true_fleiss(table: NDArray[np.float64]) -> float:
    margin = (table.sum(axis=0) + table.sum(axis=1)) / 2
    chance = float(margin @ margin)
    return (float(np.trace(table)) - chance) / (1 - chance)


def _true_intraclass(table: NDArray[np.float64]) -> float:
    values = np.arange(3.0)
    rows, columns = table.sum(axis=1), table.sum(axis=0)
    means = rows @ values, columns @ values
    variances = [m @ values**2 - mean**2 for m, mean in zip((rows, columns), means, strict=True)]
    common = float(values @ table @ values - means[0] * means[1])
    # Two people: half the squared distance of their means is the assessors' variance.
    return common / (sum(variances) / 2 + (means[0] - means[1]) ** 2 / 2)
