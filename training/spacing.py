"""When a missed question comes back: boxes, each waited for twice as long as the one before.

The rule is that of Sebastian Leitner's learning boxes (So lernt man lernen, 1972): a question that
is missed goes to the first box, one that is right when its day has come moves on to the next box,
and one that is right from the last box is learned. That gaps which grow help to remember was found
by T. K. Landauer and R. A. Bjork (1978, Optimum rehearsal patterns and name learning). Leitner
gives the boxes no days; doubling them from one day on is common practice.
"""

from dataclasses import dataclass
from datetime import date, timedelta

INTERVALS_DAYS = (1, 2, 4, 8, 16)
MOST_A_DAY = 5


@dataclass(frozen=True, slots=True)
class Place:
    """Where a question stands: its box, from 1, and its day; no day once it is learned."""

    box: int
    due_on: date | None

    def is_due(self, today: date) -> bool:
        return self.due_on is not None and self.due_on <= today


def after_answer(place: Place | None, *, correct: bool, today: date) -> Place | None:
    """Return where a question stands after an answer; None for one that was never missed.

    A right answer before its day moves nothing: the reason has just been read.
    """
    if not correct:
        return Place(1, today + timedelta(days=INTERVALS_DAYS[0]))
    if place is None or not place.is_due(today):
        return place
    if place.box == len(INTERVALS_DAYS):
        return Place(place.box, None)
    return Place(place.box + 1, today + timedelta(days=INTERVALS_DAYS[place.box]))
