"""What is measured, how often, and against what."""

import statistics
from collections.abc import Callable
from dataclasses import dataclass, field
from time import perf_counter_ns

WARM_UP = 3
NS_IN_MS = 1e6


@dataclass(frozen=True, slots=True)
class Measure:
    """One measure: its time and its floor in ms, and of a page the queries and bytes."""

    name: str
    ms: float
    floor_ms: float
    queries: int | None = None
    gzip_bytes: int | None = None

    @property
    def ratio(self) -> float:
        return self.ms / self.floor_ms


@dataclass(slots=True)
class Run:
    """The measures of one size of the data, in order."""

    label: str
    measures: list[Measure] = field(default_factory=list)


def median_ms(*works: Callable[[], object], repeats: int) -> list[float]:
    """Return the median time in ms of each of ``works``, after a few calls to warm up.

    They take turns, so that whatever else the machine does meanwhile falls on all of them.
    """
    times: list[list[int]] = [[] for _ in works]
    for i in range(WARM_UP + repeats):
        for work, taken in zip(works, times, strict=True):
            start = perf_counter_ns()
            work()
            if i >= WARM_UP:
                taken.append(perf_counter_ns() - start)
    return [statistics.median(taken) / NS_IN_MS for taken in times]


def table(rows: list[list[str]]) -> str:
    """Return rows of texts as aligned columns: the first to the left, the others to the right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return "\n".join(
        "  ".join(
            text.ljust(width) if i == 0 else text.rjust(width)
            for i, (text, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    )


def side_by_side(runs: list[Run]) -> str:
    """Return the measures of several runs in one table, one line for each measure."""
    head = ["measure"]
    for run in runs:
        head += [f"{run.label} ms", "floor ms", "x floor", "queries", "bytes"]
    rows = [head]
    for i, measure in enumerate(runs[0].measures):
        rows.append([measure.name, *(text for run in runs for text in cells(run.measures[i]))])
    return table(rows)


def cells(measure: Measure) -> list[str]:
    """Return times, ratio, queries and bytes as texts; a dash where there is none."""
    return [
        f"{measure.ms:#.3g}",
        f"{measure.floor_ms:#.3g}",
        f"{measure.ratio:.1f}",
        "-" if measure.queries is None else str(measure.queries),
        "-" if measure.gzip_bytes is None else str(measure.gzip_bytes),
    ]
