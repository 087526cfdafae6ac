"""The kinds of content a technique module is made of.

Texts are plain English in the imperative. A number that belongs to a house standard is never
typed: a text carries ``{{key}}`` with a key of `STANDARD_KEYS`, and the page fills it from the
standard in force.
"""

from dataclasses import dataclass
from typing import ClassVar

STANDARD_KEYS = (
    "hydration",
    "salt",
    "brine",
    "flour_blend",
    "dough_temperature",
    "treading_rounds",
    "rests",
    "thickness",
    "width",
    "strands_to_measure",
    "thickness_points",
    "portion",
    "boil_time",
)
CAUTION_KINDS = (
    "knife",
    "wet_floor",
    "flour_dust",
    "lifting",
    "allergens",
    "raw_flour",
    "feet_and_film",
    "boiling_water",
    "warm_food",
    "chemicals",
)
TIMER_SOURCES = ("rest", "tread", "boil")


@dataclass(frozen=True)
class Step:
    """One thing to do, with its drawing; the drawing's name also serves as the step's anchor."""

    block_type: ClassVar[str] = "step"
    title: str
    drawing: str
    drawing_alt: str
    do: str
    look_feel: str


@dataclass(frozen=True)
class Numbers:
    """Values of the house standard in force, shown live."""

    block_type: ClassVar[str] = "numbers"
    names: tuple[str, ...]


@dataclass(frozen=True)
class Timer:
    """A timer whose length (min) comes from the house standard, by a key of `TIMER_SOURCES`."""

    block_type: ClassVar[str] = "timer"
    label: str
    source: str


@dataclass(frozen=True)
class Caution:
    """What can hurt someone at this point; `kind` is one of `CAUTION_KINDS`."""

    block_type: ClassVar[str] = "caution"
    kind: str
    text: str


@dataclass(frozen=True)
class Fault:
    """What goes wrong, how to tell it from its neighbours, why, and the remedy."""

    block_type: ClassVar[str] = "fault"
    see: str
    tell: str
    cause: str
    remedy: str
    drawing: str = ""
    drawing_alt: str = ""


@dataclass(frozen=True)
class Answer:
    """One answer of a check question."""

    text: str
    correct: bool = False


@dataclass(frozen=True)
class Question:
    """A check question on judgement, with the reason shown after answering."""

    block_type: ClassVar[str] = "question"
    prompt: str
    answers: tuple[Answer, ...]
    why: str


Block = Step | Numbers | Timer | Caution | Fault | Question


@dataclass(frozen=True)
class Module:
    """One technique module; `body` is its content in reading order."""

    slug: str
    title: str
    station_slug: str
    summary: str
    minutes_to_read: int
    body: tuple[Block, ...]
    source_note: str

    @property
    def steps(self) -> tuple[Step, ...]:
        return tuple(block for block in self.body if isinstance(block, Step))

    @property
    def cautions(self) -> tuple[Caution, ...]:
        return tuple(block for block in self.body if isinstance(block, Caution))

    @property
    def faults(self) -> tuple[Fault, ...]:
        return tuple(block for block in self.body if isinstance(block, Fault))

    @property
    def questions(self) -> tuple[Question, ...]:
        return tuple(block for block in self.body if isinstance(block, Question))
