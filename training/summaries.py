"""What the page of a module shows: the standard in force, and the person's place in it."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from types import MappingProxyType
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Exists, OuterRef, Subquery, Value, prefetch_related_objects
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from wagtail.blocks import StreamValue
from wagtail.images import get_image_model
from wagtail.images.models import Filter

from training import food_safety
from training.glossary import first_places
from training.models.clips import Clip
from training.models.house import HousePolicy, Style
from training.models.reading import CheckAnswer, StepRead
from training.models.standards import StandardVersion
from training.numbers import PLACEHOLDER, Number, numbers_of, safety_numbers

PHOTO_SPECS = "format-{avif,webp,jpeg}|width-640"
NO_CHOICE = -1
KINDS = ("step", "fault", "question")
POSITIONS = {
    "step": gettext_lazy("Step %(number)s of %(total)s"),
    "fault": gettext_lazy("Fault %(number)s of %(total)s"),
    "question": gettext_lazy("Question %(number)s of %(total)s"),
}
# Asked for within another query: a page has few to spare.
_REGION = HousePolicy.objects.order_by("pk").values_list("food_safety_region", flat=True)


@dataclass(frozen=True, slots=True)
class Choice:
    """A style whose numbers can be shown."""

    name: str
    slug: str
    is_shown: bool


@dataclass(frozen=True, slots=True)
class Standard:
    """The version shown on a page, its numbers by key, and the other styles to choose from.

    Among the numbers are the food-safety figures of ``region``, also where no version is in force.
    """

    version: StandardVersion | None
    numbers: Mapping[str, Number]
    choices: tuple[Choice, ...]
    region: food_safety.Region

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
        .annotate(
            practised=Exists(practises) if person else Value(False),
            region=Subquery(_REGION[:1]),
        )
        .order_by("-practised", "style__position", "style__name")
    )
    region = food_safety.Region(
        (versions[0].region if versions else _REGION.first()) or HousePolicy().food_safety_region
    )
    safety = safety_numbers(region)
    if not versions:
        return Standard(None, safety, (), region)
    version = next((one for one in versions if one.style.slug == slug), versions[0])
    prefetch_related_objects([version], "flours", "seasons", "rounds")
    choices = tuple(
        Choice(str(one.style), one.style.slug, one is version)
        for one in sorted(versions, key=lambda one: (one.style.position, one.style.name))
    )
    return Standard(version, numbers_of(version, month=today.month) | safety, choices, region)


@dataclass(frozen=True, slots=True)
class SafetySource:
    """A food-safety figure of a module, and where it stands."""

    label: str
    text: str
    source: str
    is_recalled: bool


def safety_sources(page, region) -> list[SafetySource]:
    """Return the food-safety figures that the text of a module names, in their usual order."""
    named = set(PLACEHOLDER.findall(str(page.body.raw_data)))
    return [
        SafetySource(
            str(food_safety.LABELS[key]), str(figure.text), str(figure.source), figure.is_recalled
        )
        for key, figure in food_safety.FIGURES[region].items()
        if key in named
    ]


@dataclass(frozen=True, slots=True)
class Item:
    """One block of a module as a person sees it; ``latest`` is the last answer given.

    ``words`` are the words of the trade that stand here for the first time, by field of the block.
    """

    block: Any
    latest: int | None = None
    is_right: bool = False
    was_right: bool = False
    is_empty: bool = False
    words: Mapping[str, tuple[Any, ...]] = field(default_factory=dict)

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


def reading_of(page, person, *, is_recorded=True, empty="", words=()) -> Reading:
    """Return ``page`` in screens, with what ``person`` has read and answered.

    ``empty`` is the id of a question that was sent without an answer; ``words`` of the trade are
    explained where they first stand. With ``is_recorded`` off
    (a preview) nobody's record is read or written.
    """
    record = _record_of(page, person) if is_recorded else Record()
    body = with_pictures(page.body)
    screens = _screens(body, record, empty, first_places(body, words))
    return Reading(
        screens=screens,
        steps=sum(one.kind == "step" for one in screens),
        questions=sum(one.kind == "question" for one in screens),
        steps_read=sum(one.is_read for one in screens if one.kind == "step"),
        questions_right=sum(one.items[0].was_right for one in screens if one.kind == "question"),
        is_recorded=is_recorded,
    )


def _record_of(page, person):
    """Return what ``person`` has done, in one query: a page with photos has none to spare."""
    mine = {"person": person, "module": page.original_id}
    steps = StepRead.objects.filter(**mine).values_list(
        "step_id", Value(NO_CHOICE), Value(True), "read_at", "pk"
    )
    tries = CheckAnswer.objects.filter(**mine).values_list(
        "question_id", "choice", "correct", "answered_at", "pk"
    )
    rows = steps.union(tries, all=True).order_by("read_at", "pk")
    found = [(str(block), choice, correct) for block, choice, correct, *_at in rows]
    answers = [row for row in found if row[1] != NO_CHOICE]
    return Record(
        read=frozenset(block for block, choice, _correct in found if choice == NO_CHOICE),
        latest={block: (choice, correct) for block, choice, correct in answers},
        right=frozenset(block for block, _choice, correct in answers if correct),
    )


class RawBlock(NamedTuple):
    """A block as it is stored: enough to say where it stands, with no photo looked up."""

    block_type: str
    value: Mapping[str, Any]
    id: str


def raw_screens(page) -> list[Screen]:
    """Return the screens of a module with blocks as they are stored, at no cost in queries."""
    blocks = [RawBlock(raw["type"], raw["value"], raw["id"]) for raw in page.body.raw_data]
    return _screens(blocks, Record(), "")


def _screens(body, record, empty, words=MappingProxyType({})) -> list[Screen]:
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
                items=[_item(block, record, empty, words) for block in blocks],
                is_first_of_kind=not screens or screens[-1].kind != kind,
                is_read=blocks[0].id in record.read,
            )
        )
    return screens


def _item(block, record, empty, words):
    latest, is_right = record.latest.get(block.id, (None, False))
    return Item(
        block=block,
        latest=latest,
        is_right=is_right,
        was_right=block.id in record.right,
        is_empty=bool(empty) and block.id == empty,
        words=words.get(block.id, {}),
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


PICTURED = ("step", "fault")


def with_pictures(body):
    """Return the body of a module with all its photos and videos loaded, at two queries in all.

    By itself a stream asks for each kind of picture in each kind of block anew.
    """
    stored = [dict(raw) for raw in body.raw_data]
    pictured = [raw["value"] for raw in stored if raw["type"] in PICTURED]
    photos = _photos({value.get("photo") for value in pictured} - {None})
    clips = Clip.objects.in_bulk({value.get("clip") for value in pictured} - {None})
    for raw in stored:
        if raw["type"] in PICTURED:
            raw["value"] = dict(raw["value"], photo=None, clip=None)
    loaded = StreamValue(body.stream_block, stored, is_lazy=True)
    for block, raw in zip(loaded, body.raw_data, strict=True):
        if raw["type"] in PICTURED:
            block.value["photo"] = photos.get(raw["value"].get("photo"))
            block.value["clip"] = clips.get(raw["value"].get("clip"))
    return loaded


def _photos(ids):
    """Return photos by id, each with the sizes of it that pages show."""
    specs = Filter.expand_spec(PHOTO_SPECS)
    sizes = get_image_model().get_rendition_model().objects.filter(filter_spec__in=specs)
    photos = {}
    for size in sizes.filter(image__in=ids).select_related("image") if ids else ():
        size.image = photos.setdefault(size.image_id, size.image)
        vars(size.image).setdefault("prefetched_renditions", []).append(size)
    if new := ids - set(photos):
        # Never shown so far: their sizes are made when the page is drawn.
        photos |= get_image_model().objects.in_bulk(new)
        for photo_id in new & set(photos):
            photos[photo_id].prefetched_renditions = []
    return photos
