"""What every module must have: counts of what is there, and places where something is missing.

Modules are checked as the page's stream holds them, so that those that come with the site and
those of the house are judged alike.
"""

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from training.blocks import PICTURES, drawings
from training.curriculum.blocks import Module
from training.curriculum_values import value_of
from training.food_safety import FIGURES
from training.numbers import PLACEHOLDER, unknown_keys
from training.readability import (
    HIGHEST_GRADE,
    LONGEST_SENTENCE,
    grade_of,
    longest_sentence,
    sentences_of,
)

TEXTS = {
    "step": ("title", "picture_alt", "do", "look_feel"),
    "timer": ("label",),
    "caution": ("text",),
    "fault": ("see", "tell", "cause", "remedy", "picture_alt"),
    "question": ("prompt", "why"),
}
# What each block is judged by on its own: a hard step is not made easier by an easy neighbour.
GRADED = ("step", "caution", "fault")

_NUMBERS = (
    "two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fifteen|twenty|thirty|forty|fifty|"
    "sixty|ninety|hundred"
)
_UNITS = (
    r"%|percent\b|per cent\b|mm\b|millimet\w+|cm\b|centimet\w+|g\b|kg\b|(?:kilo)?grams?\b|ml\b|"
    r"millilit\w+|lit(?:re|er)s?\b|seconds?\b|min\b|minutes?\b|hours?\b|days?\b|rounds?\b|°\s*[CF]?|"
    r"degrees?\b|times\b"
)
TYPED = re.compile(rf"\b(\d+(?:[.,]\d+)?|{_NUMBERS})[\s-]*({_UNITS})", re.IGNORECASE)
HOLDING = ("safe_cold_holding", "safe_hot_holding", "safe_reheat")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A module as it is checked: ``blocks`` are pairs of a kind and its value."""

    slug: str
    title: str
    summary: str
    source_note: str
    blocks: tuple[tuple[str, Mapping[str, Any]], ...]

    @property
    def texts(self) -> list[str]:
        """Every text of the module but its note of sources."""
        return [self.title, self.summary, *(text for _place, text in self.places())]

    def places(self) -> Iterator[tuple[str, str]]:
        """Yield each text of a block with the place where it stands: "step 3, do"."""
        for place, kind, value in self.numbered():
            for name, text in texts_of(kind, value):
                yield f"{place}, {name}", text

    def numbered(self) -> Iterator[tuple[str, str, Mapping[str, Any]]]:
        """Yield each block with its place among its kind: "step 3"."""
        seen: Counter[str] = Counter()
        for kind, value in self.blocks:
            seen[kind] += 1
            yield f"{kind} {seen[kind]}", kind, value

    def count(self, kind: str) -> int:
        return sum(one == kind for one, _value in self.blocks)


class Counts(NamedTuple):
    """What a module holds."""

    steps: int
    drawings: int
    faults: int
    questions: int
    cautions: int
    words: int
    grade: float
    longest_sentence: int


@dataclass(frozen=True, slots=True)
class Problem:
    """Something that is missing or wrong, and where."""

    slug: str
    place: str
    message: str

    def __str__(self) -> str:
        return (
            f"{self.slug}: {self.place}: {self.message}"
            if self.place
            else f"{self.slug}: {self.message}"
        )


@dataclass(frozen=True, slots=True)
class Outlier:
    """A text that is harder to read than it should be."""

    slug: str
    place: str
    message: str = field(compare=False)


def sheet_of_module(module: Module) -> Sheet:
    """Return a module that comes with the site, as it is checked."""
    blocks = tuple((block.block_type, value_of(block)) for block in module.body)
    return Sheet(module.slug, module.title, module.summary, module.source_note, blocks)


def sheet_of_page(page: Any) -> Sheet:
    """Return a module of the house, as it is checked."""
    blocks = tuple((raw["type"], raw["value"]) for raw in page.body.raw_data)
    return Sheet(page.slug, page.title, page.summary, page.source_note, blocks)


def texts_of(kind: str, value: Mapping[str, Any]) -> list[tuple[str, str]]:
    """Return the texts of a block with their names."""
    found = [(name, value.get(name) or "") for name in TEXTS.get(kind, ())]
    if kind == "question":
        # The stream keeps an item of a list under "value"; the curriculum has it bare.
        answers = [answer.get("value", answer) for answer in value["answers"]]
        found += [(f"answer {n}", one["text"]) for n, one in enumerate(answers, start=1)]
    return [(name, text) for name, text in found if text]


def counts_of(sheet: Sheet) -> Counts:
    """Return how much of what a module holds."""
    texts = sheet.texts
    return Counts(
        steps=sheet.count("step"),
        drawings=sum(has_picture(value) for _kind, value in sheet.blocks),
        faults=sheet.count("fault"),
        questions=sheet.count("question"),
        cautions=sheet.count("caution"),
        words=sum(len(sentence) for text in texts for sentence in sentences_of(text)),
        grade=grade_of(texts),
        longest_sentence=len(longest_sentence(texts)),
    )


def has_picture(value: Mapping[str, Any]) -> bool:
    return any(value.get(name) for name in PICTURES)


def problems_of(sheet: Sheet) -> list[Problem]:
    """Return what is missing in a module, in the order in which it stands there."""
    found = [
        (place, message)
        for place, kind, value in sheet.numbered()
        for message in _picture_problems(kind, value)
    ]
    found += [
        (place, message)
        for place, text in sheet.places()
        for message in _number_problems(text, sheet.source_note)
    ]
    if not sheet.source_note.strip():
        found.append(("", "no source note"))
    return [Problem(sheet.slug, place, message) for place, message in found]


def _picture_problems(kind: str, value: Mapping[str, Any]) -> Iterator[str]:
    if kind == "step" and not has_picture(value):
        yield "a step without a drawing"
    drawing = value.get("drawing")
    if drawing and drawing not in dict(drawings()):
        yield f"there is no drawing “{drawing}”"
    if has_picture(value) and not (value.get("picture_alt") or "").strip():
        yield "a drawing without alternative text"


def _number_problems(text: str, source_note: str) -> Iterator[str]:
    for key in unknown_keys(text):
        yield f"“{{{{{key}}}}}” is no number of the house or of food safety"
    declared = typed_numbers(source_note)
    for number, unit in typed_numbers(text):
        if (number, unit) not in declared or f"{number} {unit}" in _temperatures():
            yield (
                f"“{number} {unit}” is typed: use a number of the house or of food safety, or name "
                "it in the source note if it is neither"
            )


def typed_numbers(text: str) -> set[tuple[str, str]]:
    """Return the numbers with a unit that are typed into a text, as pairs."""
    return {
        (number.lower(), re.sub(r"\s", "", unit))
        for number, unit in TYPED.findall(PLACEHOLDER.sub("", text))
    }


def _temperatures() -> set[str]:
    """Return the temperatures of holding and heating again, which no module may type."""
    return {
        found
        for figures in FIGURES.values()
        for key in HOLDING
        for found in re.findall(r"\d+ °[CF]", str(figures[key].text))
    }


def outliers_of(sheet: Sheet) -> list[Outlier]:
    """Return what is harder to read than it should be: a grade too high, a sentence too long.

    The title of a step is no sentence, and would make the others look shorter.
    """
    found = [("", grade_of(sheet.texts))]
    found += [
        (place, grade_of(text for name, text in texts_of(kind, value) if name != "title"))
        for place, kind, value in sheet.numbered()
        if kind in GRADED
    ]
    hard = [
        Outlier(sheet.slug, place, f"grade {value:.1f}")
        for place, value in found
        if value > HIGHEST_GRADE
    ]
    texts = [("summary", sheet.summary), ("source note", sheet.source_note), *sheet.places()]
    long = [
        Outlier(sheet.slug, place, f"{len(words)} words: {' '.join(words)}")
        for place, text in texts
        for words in sentences_of(text)
        if len(words) > LONGEST_SENTENCE
    ]
    return hard + long
