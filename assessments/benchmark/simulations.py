"""Simulations of what the site decides and foretells, each with its figures as a table."""

import math
import textwrap
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from assessments.benchmark import agreement, forecasts, monitoring_chart
from assessments.benchmark import operating_characteristic as rule
from assessments.benchmark.measures import table
from assessments.calculations.forecast import ForecastStatus
from assessments.calculations.patterns import simulation

Advance = Callable[[], object]
STRANDS_MEASURED = (20, 40)
EVEN_BATCHES = 5
"""Even batches for each one with a pattern: few of them bring up anything, so it takes more."""


@dataclass(frozen=True, slots=True)
class Simulation:
    """One simulation: the option that sets its size, and how it is run.

    ``steps`` tells how often ``run`` calls the function that it is given beside its size.
    """

    option: str
    size: int
    help: str
    steps: Callable[[int], int]
    run: Callable[[int, Advance], str]


def rule_report(cooks: int, advance: Advance) -> str:
    """Return the operating characteristic beside the expected figures."""
    head = ["true share"]
    for looks in rule.LOOKS:
        head += [f"within {looks}", "expected"]
    lines = [head]
    for row in rule.operating_characteristic(cooks, advance=advance):
        line = [f"{row.true_share:g}"]
        for found, expected in zip(row.found, row.expected, strict=True):
            line += [f"{found:.3f}", f"{expected:.3f}"]
        lines.append(line)
    return told(
        f"Chance that a part is shown within {rule.LOOKS[0]} and {rule.LOOKS[1]} batches, looked "
        f"at after each: {cooks} cooks a line, {rule.STRANDS} strands a batch, widths normal "
        f"around the target with {rule.BETWEEN:g} of their variance between batches, one batch a "
        f"day, seed {rule.SEED}.",
        lines,
    )


def patterns_report(batches: int, advance: Advance) -> str:
    """Return how often each pattern is found, and how often even batches bring up anything."""
    power = {
        (row.part, row.kind, row.strength, row.strands): row
        for row in simulation.power(batches, strands=STRANDS_MEASURED, advance=advance)
    }
    lines = [["pattern", "strength"]]
    for n in STRANDS_MEASURED:
        lines[0] += [f"found of {n}", "first", "others"]
    for part, kind, strength in simulation.POWERS:
        line = [f"{part} {kind}", f"{strength:g}"]
        for n in STRANDS_MEASURED:
            row = power[part, kind, strength, n]
            line += [f"{row.found:.2f}", f"{row.first:.2f}", f"{row.others:.2f}"]
        lines.append(line)
    found = told(
        f"Chance that a pattern is found among {STRANDS_MEASURED[0]} and {STRANDS_MEASURED[1]} "
        "strands and nine points of the sheet, that it is said first, and that anything is found "
        f"which is not there: {batches} made batches a line and number of strands, strengths in "
        f"standard deviations of an even hand, seed {simulation.SEED}.",
        lines,
    )
    return f"{found}\n{_alarms(EVEN_BATCHES * batches, advance)}"


def _alarms(batches: int, advance: Advance) -> str:
    lines = [["scatter", "strands", "any", "most often"]]
    for row in simulation.false_alarms(batches, strands=STRANDS_MEASURED, advance=advance):
        often = sorted(row.by_kind.items(), key=lambda item: -item[1])[:3]
        named = ", ".join(f"{name} {share:.3f}" for name, share in often)
        lines.append([row.scatter, str(row.strands), f"{row.any:.3f}", named])
    return told(
        f"Chance that an even batch brings up anything at all: {batches} made batches a line. 0.05 "
        "at most is meant, for widths that are normal or rounded to 0.1 mm.",
        lines,
    )


def forecasts_report(learners: int, advance: Advance) -> str:
    """Return how well the forecast foretells simulated learners, and whom it calls stuck."""
    made = forecasts.simulate_learners(learners, advance=advance)
    head = ["batches so far", "learners", *(status.value for status in ForecastStatus)]
    lines = [[*head, "covered", "kept", "by median", "error", "Brier"]]
    for row in forecasts.check_forecasts(made):
        shares = (*row.told.values(), row.covered, row.kept, row.by_median)
        lines.append(
            [
                *(str(row.look), str(row.learners)),
                *(_figure(share) for share in shares),
                *(_figure(row.error_batches, 1), _figure(row.brier, 3)),
            ]
        )
        advance()
    foretold = told(
        f"What is foretold to {learners} simulated learners who are not complete yet: share told "
        "each answer; of the intervals, share that hold the number of batches it took (0.80 is "
        "meant); share not complete before the first of them (0.90), and by the median (0.50); "
        f"median error in batches; Brier score. Seed {forecasts.SEED}.",
        lines,
    )
    lines = [["batches so far", "standing still", "called stuck", "still learning", "called stuck"]]
    for stuck in forecasts.check_stuck(made):
        figures = (str(stuck.standing), _figure(stuck.found), str(stuck.learning))
        lines.append([str(stuck.look), *figures, _figure(stuck.wrong)])
    return f"{foretold}\n{told('Open parts of the same learners that are called stuck.', lines)}"


def chart_report(batches: int, advance: Advance) -> str:
    """Return after how many batches the chart after a sign-off sounds its alarm."""
    within = monitoring_chart.WITHIN
    lines = [["true share", "batches to the alarm", "expected", f"chance within {within}"]]
    for row in monitoring_chart.check_chart(batches, advance=advance):
        lines.append(
            [
                f"{row.true_share:g}",
                f"{row.batches[0]:.0f} to {row.batches[1]:.0f}",
                f"{row.expected[0]} to {row.expected[1]}",
                f"{row.chance[0]:.3f} to {row.chance[1]:.3f}",
            ]
        )
    return told(
        "Mean number of batches after a sign-off until the alarm, least and most over "
        f"{', '.join(map(str, monitoring_chart.STRANDS))} strands and "
        f"{len(monitoring_chart.SETTINGS)} kinds of unsteadiness: {batches} made batches each, "
        f"seed {monitoring_chart.SEED}. The expected figures are of runs cut off at 400 batches, "
        "which makes them shorter for 0.97 and 0.95.",
        lines,
    )


def agreement_report(comparisons: int, advance: Advance) -> str:
    """Return how often the intervals of the assessors' agreement hold the true number."""
    names = ("linear", "quadratic", "wald", "fleiss", "icc", "normal", "mean", "spread")
    lines = [["assessors", "batches", *names, "width", "undefined"]]
    for row in agreement.coverage(comparisons, advance=advance):
        shares = [_figure(getattr(row, name)) for name in (*names, "width", "undefined")]
        lines.append([row.kitchen, str(row.n), *shares])
    return told(
        "Share of the 95 % intervals that hold the true agreement of two assessors: kappa with "
        "linear and quadratic weights (and, to compare, its usual interval), Fleiss' kappa, "
        "intraclass correlation (and its interval for normal ratings), mean and spread of the "
        "differences; median width of linear kappa's interval, and how often it is undefined: "
        f"{comparisons} comparisons a line, seed {agreement.SEED}.",
        lines,
    )


def told(about: str, lines: Iterable[list[str]]) -> str:
    """Return what a table shows, in lines of 88 letters, and the table."""
    return "\n".join([textwrap.fill(about, 88), "", table(list(lines)), "\n"])


def _figure(value: float, decimals: int = 2) -> str:
    return "-" if math.isnan(value) else f"{value:.{decimals}f}"


SIMULATIONS = (
    Simulation(
        "cooks",
        2000,
        "Simulated cooks for each share, for the sign-off rule.",
        lambda cooks: cooks * len(rule.EXPECTED),
        rule_report,
    ),
    Simulation(
        "made-batches",
        100,
        "Made batches for each pattern that is to be found.",
        lambda _batches: (
            (len(simulation.POWERS) + len(simulation.SCATTERS)) * len(STRANDS_MEASURED)
        ),
        patterns_report,
    ),
    Simulation(
        "learners",
        1000,
        "Simulated learners, for the forecast.",
        lambda learners: learners + len(forecasts.LOOKS),
        forecasts_report,
    ),
    Simulation(
        "chart-batches",
        2000,
        "Made batches for each share and setting, for the chart after a sign-off.",
        lambda _batches: (
            len(monitoring_chart.EXPECTED)
            * len(monitoring_chart.STRANDS)
            * len(monitoring_chart.SETTINGS)
        ),
        chart_report,
    ),
    Simulation(
        "comparisons",
        300,
        "Comparisons of two assessors, for each house and number of batches.",
        lambda _comparisons: len(agreement.KITCHENS) * len(agreement.SIZES),
        agreement_report,
    ),
)
"""In the order of the report."""
