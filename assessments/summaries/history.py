"""One batch of a cook's history, as the charts take it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class HistoryPoint:
    """One batch of the history.

    ``shares`` are 0..1 or None, ``intervals`` their 80 % intervals where there are any; both by
    part.
    """

    batch_id: int
    day: date
    abandoned: bool
    score: float | None
    limiting: str
    shares: Mapping[str, float | None]
    intervals: Mapping[str, tuple[float, float]]
