"""What the page of a module shows: the standard in force, and the person's place in it."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Exists, OuterRef, Prefetch, Value, prefetch_related_objects
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from wagtail.images import get_image_model
from wagtail.images.models import Filter

from training.models.house import Style
from training.models.reading import CheckAnswer, StepRead
from training.models.standards import StandardVersion
from training.numbers import Number, numbers_of

PHOTO_SPECS = "format-{avif,webp,jpeg}|width-640"
KINDS = ("step", "fault", "question")
POSITIONS = {
    "step": gettext_lazy("Step %(number)s of %(total)s"),
    "fault": gettext_lazy("Fault %(number)s of %(total)s"),
    "question": gettext_lazy("Question %(number)s of %(total)s"),
}


@dataclass(frozen=True, slots=True)
class Choice:
    """A style whose numbers can be shown."""

    name: str
    slug: str
    is_shown: bool


@dataclass(frozen=True, slots=True)
class Standard:
    """The version shown on a page, its numbers by key, and the other styles to choose from."""

    version: StandardVersion | None
    numbers: Mapping[str, Number]
    choices: tuple[Choice, ...]

    def minutes(self, source: str) -> tuple[Decimal, ...]:
        """Return the lengths of a timer, min: one for each round that differs."""
        if self.version is None:
            return ()
        if source == "boil":
            return (self.version.boil_time_min,)
        rounds = self.version.rounds.all()
        found = [Decimal(getattr(one, f"{source}_min")) for one in rounds]
        return tuple(dict.fromkeys(length for length in found if length))


def shown_standard(person, slug="", *, today=None) -> Standard:
    """Return the standard whose numbers ``person`` sees: that of the style ``slug`` if in force.

    Else that of the first style which the person practises, else of the first style.
    """
    today = today or timezone.localdate()
    # Practice belongs to the app above this one; only the name of the relation is known here.
    practises = Style.objects.filter(
        pk=OuterRef("style"), practices__person=person, practices__ended_on__isnull=True
    )
    versions = list(
        StandardVersion.objects.in_force(today)
        .annotate(practised=Exists(practises) if person else Value(False))
        .order_by("-practised", "style__position", "style__name")
    )
    if not versions:
        return Standard(None, {}, ())
    version = next((one for one in versions if one.style.slug == slug), versions[0])
    prefetch_related_objects([version], "flours", "seasons", "rounds")
    choices = tuple(
        Choice(one.style.name, one.style.slug, one is version)
        for one in sorted(versions, key=lambda one: (one.style.position, one.style.name))
    )
    return Standard(version, numbers_of(version, month=today.month), choices)


@dataclass(frozen=True, slots=True)
class Item:
    """One block of a module as a person sees it; ``latest`` is the last answer given."""

    block: Any
    latest: int | None = None
    is_right: bool = False
    was_right: bool = False
    is_empty: bool = False

    @property
    def is_answered(self) -> bool:
        return self.latest is not None


@dataclass(frozen=True, slots=True)
class Screen:
    """What stands on one screen of a phone: a step, fault or question with what belongs to it."""

    kind: str
    anchor: str
    position: str
    place: str
    items: Sequence[Item]
    is_first_of_kind: bool = False
    is_read: bool = False

    @property
    def main(self):
        """The step, fault or question of the screen; None for the one before the first step."""
        return self.items[0].block if self.kind in KINDS else None


@dataclass(frozen=True, slots=True)
class Reading:
    """A module with the person's place in it."""

    screens: Sequence[Screen]
    steps: int
    questions: int
    steps_read: int
    questions_right: int
    is_recorded: bool

    def of_kind(self, kind):
        return [screen for screen in self.screens if screen.kind == kind]

    @property
    def step_screens(self):
        return self.of_kind("step")

    @property
    def first_fault(self):
        return next(iter(self.of_kind("fault")), None)

    @property
    def first_question(self):
        return next(iter(self.of_kind("question")), None)

    @property
    def unread(self):
        return [screen for screen in self.step_screens if not screen.is_read]

    @property
    def unanswered(self):
        return [one for one in self.of_kind("question") if not one.items[0].was_right]

    @property
    def is_read(self) -> bool:
        return self.steps_read >= self.steps

    @property
    def is_done(self) -> bool:
        return self.is_read and self.questions_right >= self.questions

    def screen_of(self, block_id: UUID) -> Screen | None:
        """Return the screen whose main block has this id."""
        return next(
            (one for one in self.screens if one.main is not None and one.main.id == str(block_id)),
            None,
        )


class Record(NamedTuple):
    """What a person has done in a module, by block id."""

    read: frozenset[str] = frozenset()
    latest: Mapping[str, tuple[int, bool]] = {}
    right: frozenset[str] = frozenset()


def reading_of(page, person, *, is_recorded=True, empty="") -> Reading:
    """Return ``page`` in screens, with what ``person`` has read and answered.

    ``empty`` is the id of a question that was sent without an answer. With ``is_recorded`` off
    (a preview) nobody's record is read or written.
    """
    record = _record_of(page, person) if is_recorded else Record()
    load_photos(page.body)
    screens = _screens(page.body, record, empty)
    return Reading(
        screens=screens,
        steps=sum(one.kind == "step" for one in screens),
        questions=sum(one.kind == "question" for one in screens),
        steps_read=sum(one.is_read for one in screens if one.kind == "step"),
        questions_right=sum(one.items[0].was_right for one in screens if one.kind == "question"),
        is_recorded=is_recorded,
    )


def _record_of(page, person):
    mine = {"person": person, "module": page}
    steps = StepRead.objects.filter(**mine).values_list("step_id", flat=True)
    answers = list(
        CheckAnswer.objects.filter(**mine)
        .order_by("answered_at", "pk")
        .values_list("question_id", "choice", "correct")
    )
    return Record(
        read=frozenset(str(step) for step in steps),
        latest={str(question): (choice, correct) for question, choice, correct in answers},
        right=frozenset(str(question) for question, _choice, correct in answers if correct),
    )


def _screens(body, record, empty) -> list[Screen]:
    groups = list(_groups(body))
    totals = Counter(kind for kind, _blocks in groups)
    seen: Counter[str] = Counter()
    anchors: set[str] = set()
    screens: list[Screen] = []
    for kind, blocks in groups:
        seen[kind] += 1
        screens.append(
            Screen(
                kind=kind,
                anchor=_anchor(kind, seen[kind], blocks[0], anchors),
                position=_position(kind, seen[kind], totals[kind]),
                place=_("%(number)s of %(total)s") % {"number": seen[kind], "total": totals[kind]},
                items=[_item(block, record, empty) for block in blocks],
                is_first_of_kind=not screens or screens[-1].kind != kind,
                is_read=blocks[0].id in record.read,
            )
        )
    return screens


def _item(block, record, empty):
    latest, is_right = record.latest.get(block.id, (None, False))
    return Item(
        block=block,
        latest=latest,
        is_right=is_right,
        was_right=block.id in record.right,
        is_empty=bool(empty) and block.id == empty,
    )


def _groups(body):
    """Yield (kind, blocks): numbers, timers and cautions belong to the step before them."""
    kind, blocks = "start", []
    for block in body:
        if block.block_type in KINDS:
            if blocks:
                yield kind, blocks
            kind, blocks = block.block_type, []
        blocks.append(block)
    if blocks:
        yield kind, blocks


def _position(kind, number, total):
    if kind == "start":
        return _("Before you begin")
    return POSITIONS[kind] % {"number": number, "total": total}


def _anchor(kind, number, block, taken):
    """Return the address of a screen in the page: its drawing's name where that is free."""
    anchor = block.value.get("drawing") if kind in ("step", "fault") else ""
    if not anchor or anchor in taken:
        anchor = f"{kind}-{number}"
    taken.add(anchor)
    return anchor


def load_photos(body):
    """Load the sizes of all photos of a module in one query."""
    photos = [
        block.value["photo"]
        for block in body
        if block.block_type in ("step", "fault") and block.value["photo"]
    ]
    if not photos:
        return
    specs = Filter.expand_spec(PHOTO_SPECS)
    sizes = get_image_model().get_rendition_model().objects.filter(filter_spec__in=specs)
    prefetch_related_objects(
        photos, Prefetch("renditions", queryset=sizes, to_attr="prefetched_renditions")
    )
