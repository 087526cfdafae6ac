"""What the last batches of a cook in a style say together, and what became of what was tried."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import islice

from django.template.defaultfilters import floatformat
from django.utils.translation import gettext as _

from assessments.calculations.patterns.effects import Effect
from assessments.calculations.patterns.history import (
    BASELINE_BATCHES,
    FEWEST_BATCHES,
    Habit,
    Recurrence,
    habits,
    recurrences,
)
from assessments.models import Batch, Tried
from assessments.summaries.lessons import (
    change_says,
    lesson_title,
    mending_step,
    steps_of,
    told_size,
)
from assessments.summaries.patterns import LATELY, Said, said_of, tried_in

MOST_LINES = 3
Z_95 = 1.959964
FEWEST_FOUND = 2
# What was tried in the oldest of the last batches is held against those before it.
LOADED = LATELY + BASELINE_BATCHES
_SIDES: Mapping[str, tuple[str, str]] = {
    "drift": ("wider", "narrower"),
    "alternation": ("odd", "even"),
    "tilt_x": ("right", "left"),
    "tilt_y": ("bottom", "top"),
    "bowl": ("thick", "thin"),
    "wedge": ("last", "first"),
    "uneven": ("above", "above"),
    "off_target": ("above", "below"),
    "off_recipe": ("above", "below"),
}
"""Direction of a finding by the kind of an effect, for values above and below 0."""

_TILTS = ("tilt_x", "tilt_y")

Key = tuple[str, str, str]


@dataclass(frozen=True, slots=True)
class HabitLine:
    """One pattern that several batches share.

    ``says`` is how often it was found or how far the batches lean, ``latest`` whether the last
    one has it too; ``step`` tells of the step that mends it what a ``Lesson`` does.
    """

    key: Key
    says: str
    latest: str
    in_latest: bool
    step: Mapping[str, str] = field(default_factory=dict)

    @property
    def title(self) -> str:
        """The pattern in a few words."""
        return lesson_title(*self.key)


@dataclass(frozen=True, slots=True)
class TriedLine:
    """What was tried in a batch, and whether it helped."""

    batch_id: int
    day: date
    title: str
    answer: str
    came_of_it: str


@dataclass(frozen=True, slots=True)
class Habits:
    """What the last ``batches`` say together: three lines at most; ``tried`` newest first."""

    batches: int = 0
    lines: tuple[HabitLine, ...] = ()
    tried: tuple[TriedLine, ...] = ()

    @property
    def can_tell(self) -> bool:
        """Whether there are batches enough for a habit to show."""
        return self.batches >= FEWEST_BATCHES


def habits_of(cook_id: int, style, *, batches: Iterable[Batch] | None = None) -> Habits:
    """Return the ``Habits`` of a cook in a style: three queries, one where ``batches`` are given.

    Those come with ``patterns``, ``tried`` and ``found`` loaded, in any order; of the last
    ``LOADED`` finished ones all is known that is told. Who gives none tells of batches whether
    or not their score was seen.
    """
    if batches is None:
        batches = (
            Batch.objects.finished()
            .filter(cook=cook_id, style=style, patterns__isnull=False)
            .select_related("patterns", "tried")
            .prefetch_related("found")
            .newest_first()[:LOADED]
        )
    looked_at = _looked_at(batches)
    lately = [said for _batch, said in looked_at][-LATELY:]
    lines = tuple(islice(_lines(lately), MOST_LINES))
    steps = steps_of({mending_step(*line.key) for line in lines})
    return Habits(
        batches=len(lately),
        lines=tuple(replace(line, step=steps.get(mending_step(*line.key), {})) for line in lines),
        tried=tuple(_tried(looked_at)),
    )


def first_habit(lately: Sequence[Said]) -> str:
    """Return in one line what shows most in batches, oldest first; "" for nothing. No query."""
    line = next(_lines(lately[-LATELY:]), None)
    if line is None:
        return ""
    return _("%(title)s. %(says)s") % {"title": line.title, "says": line.says}


def _looked_at(batches: Iterable[Batch]) -> list[tuple[Batch, Said]]:
    """Return the last finished batches in which anything was looked at, oldest first."""
    finished = sorted(
        (batch for batch in batches if batch.state == Batch.State.FINISHED),
        key=lambda batch: (batch.made_on, batch.opened_at, batch.pk),
    )
    pairs = ((batch, said_of(batch)) for batch in finished[-LOADED:])
    return [(batch, said) for batch, said in pairs if said is not None]


def _lines(lately: Sequence[Said]) -> Iterator[HabitLine]:
    yield from _found_again(lately)
    yield from _leanings(lately)


def _found_again(lately: Sequence[Said]) -> Iterator[HabitLine]:
    """Yield what was found in several of the batches, the most frequent first."""
    for one in _often(lately):
        yield HabitLine(
            (one.part, one.kind, one.direction),
            _("Found in %(found)d of the last %(batches)d batches.")
            % {"found": one.found, "batches": one.batches},
            _("The last batch has it too.")
            if one.latest
            else _("It was not found in the last batch."),
            one.latest,
        )


def _often(lately: Sequence[Said]) -> list[Recurrence]:
    counted = recurrences([said.findings for said in lately])
    return [one for one in counted if one.found >= FEWEST_FOUND]


def _leanings(lately: Sequence[Said]) -> Iterator[HabitLine]:
    """Yield what shows over all batches together, and was not found in several of them."""
    told = {(one.part, one.kind) for one in _often(lately)}
    alone = {(found.part, found.kind) for said in lately for found in said.findings}
    for leaning in _directed(habits([said.effects for said in lately])):
        if leaning.key[:2] in told:
            continue
        says = _("%(batches)d batches taken together lean this way: %(size)s.") % {
            "batches": leaning.batches,
            "size": leaning.size,
        }
        if leaning.key[:2] not in alone:
            says += " " + _("Each time it is too little to show in one batch.")
        in_latest = leaning.leans(lately[-1].effects)
        yield HabitLine(
            leaning.key,
            says,
            _("The last batch leans this way too.")
            if in_latest
            else _("The last batch does not lean this way."),
            in_latest,
        )


@dataclass(frozen=True, slots=True)
class _Leaning:
    """Habits of one part that are told as one: a tilt has two of them."""

    habits: tuple[Habit, ...]

    @property
    def key(self) -> Key:
        one = self.habits[0]
        sides = [_SIDES[habit.kind][habit.value < 0] for habit in self.habits]
        kind = "tilt" if one.kind in _TILTS else one.kind
        return one.part, kind, "_".join(sides)

    @property
    def batches(self) -> int:
        return self.habits[0].batches

    @property
    def size(self) -> str:
        """The mean size with its 95 % interval."""
        one = self.habits[0]
        if one.kind == "uneven":
            # Kept as the logarithm of the spread over that of an even hand.
            return _("%(times)s times the spread of an even hand") % {
                "times": floatformat(math.exp(one.value), 1)
            }
        value = math.hypot(*(habit.value for habit in self.habits))
        error = math.hypot(*(habit.value * habit.error for habit in self.habits)) / value
        unit = "points" if one.kind == "off_recipe" else "mm"
        return _("%(size)s, give or take %(error)s") % {
            "size": told_size(value, unit),
            "error": told_size(Z_95 * error, unit),
        }

    def leans(self, effects: Iterable[Effect]) -> bool:
        """Whether the effects of a batch all go the same way."""
        values = {(effect.part, effect.kind): effect.value for effect in effects}
        return all(
            values.get((habit.part, habit.kind), 0) * habit.value > 0 for habit in self.habits
        )


def _directed(found: Sequence[Habit]) -> Iterator[_Leaning]:
    """Yield habits in their order, those of a tilt together: toward far or near edge first."""
    tilts = sorted((h for h in found if h.kind in _TILTS), key=lambda h: h.kind, reverse=True)
    for habit in found:
        if habit.kind not in _TILTS:
            yield _Leaning((habit,))
        elif tilts:
            yield _Leaning(tuple(tilts))
            tilts = []


def _tried(looked_at: Sequence[tuple[Batch, Said]]) -> Iterator[TriedLine]:
    """Yield what was tried in the last batches, newest first."""
    for end in range(len(looked_at), max(0, len(looked_at) - LATELY), -1):
        batch = looked_at[end - 1][0]
        if getattr(batch, "tried", None) is None:
            continue
        result = tried_in(batch, lately=[said for _batch, said in looked_at[:end]])
        if result is None:
            continue
        finding = result.finding
        yield TriedLine(
            batch_id=batch.pk,
            day=batch.made_on,
            title=lesson_title(finding.part, finding.kind, finding.direction),
            answer=str(Tried.Answer(result.answer).label),
            came_of_it=change_says(
                finding,
                result.change,
                found_again=result.is_found_again,
                was_tried=result.answer in (Tried.Answer.YES, Tried.Answer.PARTLY),
            ),
        )
