"""The technique modules: plain words, live numbers, cautions where the step is."""

import re
from itertools import pairwise

import pytest

from training.curriculum import MODULES
from training.curriculum.blocks import (
    CAUTION_KINDS,
    STANDARD_KEYS,
    TIMER_SOURCES,
    Caution,
    Numbers,
    Timer,
)
from training.drawings import SCENES

HIGHEST_GRADE = 7
LONGEST_SENTENCE = 20
PLACEHOLDER = re.compile(r"\{\{(.*?)\}\}")
modules = pytest.mark.parametrize("module", MODULES, ids=lambda module: module.slug)


def syllables(word: str) -> int:
    """Count vowel groups; a silent final e does not count."""
    word = re.sub(r"[^a-z]", "", word.lower())
    groups = len(re.findall(r"[aeiouy]+", word))
    if word.endswith("e") and not word.endswith(("le", "ee")) and groups > 1:
        groups -= 1
    if word.endswith("ed") and not word.endswith(("ted", "ded", "eed")) and groups > 1:
        groups -= 1
    return max(groups, 1)


def grade(words: int, sentences: int, syllable_count: int) -> float:
    """Flesch-Kincaid grade, by the published formula."""
    return 0.39 * words / sentences + 11.8 * syllable_count / words - 15.59


def sentences_of(text: str) -> list[list[str]]:
    plain = PLACEHOLDER.sub("the house value", text)
    return [
        words
        for part in re.split(r"(?<=[.!?])\s+", plain)
        if (words := re.findall(r"[A-Za-z0-9][A-Za-z0-9'-]*", part))
    ]


def grade_of(texts) -> float:
    sentences = [sentence for text in texts for sentence in sentences_of(text)]
    words = [word for sentence in sentences for word in sentence]
    return grade(len(words), len(sentences), sum(map(syllables, words)))


def texts_of(block) -> list[str]:
    """Return every text of a block that a reader sees."""
    if isinstance(block, Numbers):
        return []
    if isinstance(block, Timer):
        return [block.label]
    found = []
    for name, value in vars(block).items():
        if name == "answers":
            found += [answer.text for answer in value]
        elif name not in {"drawing", "kind"} and value:
            found.append(value)
    return found


def all_texts(module) -> list[str]:
    return [module.summary, module.source_note, *(t for b in module.body for t in texts_of(b))]


@pytest.mark.parametrize(
    ("counts", "expected"), [((6, 1, 6), -1.45), ((100, 8, 140), 5.805), ((100, 5, 150), 9.91)]
)
def test_grade_formula_against_worked_examples(counts, expected):
    # Flesch-Kincaid grade level: 0.39 words/sentence + 11.8 syllables/word - 15.59.
    assert grade(*counts) == pytest.approx(expected, abs=5e-4)


def test_grade_of_a_known_sentence():
    # The usual example: six words of one syllable in one sentence.
    assert grade_of(["The cat sat on the mat."]) == pytest.approx(-1.45)


@modules
def test_words_are_plain(module):
    assert grade_of(all_texts(module)) <= HIGHEST_GRADE
    for block in (*module.steps, *module.cautions, *module.faults):
        assert grade_of(texts_of(block)) <= HIGHEST_GRADE, block


@modules
def test_sentences_are_short(module):
    too_long = [
        " ".join(sentence)
        for text in all_texts(module)
        for sentence in sentences_of(text)
        if len(sentence) > LONGEST_SENTENCE
    ]
    assert too_long == []


@modules
def test_house_numbers_are_never_typed(module):
    for text in all_texts(module):
        assert set(PLACEHOLDER.findall(text)) <= set(STANDARD_KEYS)
        assert not re.search(
            r"\d\s*(%|percent|mm\b|millimet|g\b|grams?\b|min\b|minutes?\b|hours?\b|rounds?\b|°|times\b)",
            PLACEHOLDER.sub("", text),
        ), text
    for numbers in (block for block in module.body if isinstance(block, Numbers)):
        assert numbers.names
        assert set(numbers.names) <= set(STANDARD_KEYS)


@modules
def test_each_module_is_complete(module):
    assert 6 <= len(module.steps) <= 9
    assert len(module.faults) >= 4
    assert len(module.questions) >= 5
    assert module.station_slug in {"mixing-and-treading", "rolling", "cutting"}
    assert module.source_note
    assert "no source" in module.source_note
    for timer in (block for block in module.body if isinstance(block, Timer)):
        assert timer.source in TIMER_SOURCES


@modules
def test_cautions_name_the_usual_dangers(module):
    needed = {
        "mixing-in-the-water": {"allergens", "flour_dust", "raw_flour", "lifting", "wet_floor"},
        "treading-and-resting": {"feet_and_film", "allergens", "raw_flour", "wet_floor"},
        "rolling-to-an-even-sheet": {"allergens", "flour_dust", "raw_flour"},
        "folding-and-cutting": {"knife", "allergens", "flour_dust", "raw_flour", "wet_floor"},
    }
    kinds = {caution.kind for caution in module.cautions}
    assert needed[module.slug] <= kinds <= set(CAUTION_KINDS)
    assert isinstance(module.body[0], Caution), "what can hurt comes before the first step"
    said = " ".join(caution.text for caution in module.cautions)
    assert "law" in said, "local law comes first"


@modules
def test_one_answer_is_right_and_every_question_gives_its_reason(module):
    for question in module.questions:
        assert len(question.answers) >= 3
        assert [answer.correct for answer in question.answers].count(True) == 1
        assert len({answer.text for answer in question.answers}) == len(question.answers)
        assert question.why


@modules
def test_the_right_answer_has_no_fixed_place(module):
    places = [[a.correct for a in question.answers].index(True) for question in module.questions]
    assert len(set(places)) > 1


def test_every_drawing_is_used_once_and_described():
    shown = [
        (block.drawing, block.drawing_alt)
        for module in MODULES
        for block in (*module.steps, *module.faults)
        if block.drawing or block.drawing_alt
    ]
    # The pictures of the measuring card stand on its own page.
    of_modules = [name for name in SCENES if not name.startswith("card-")]
    assert sorted(name for name, _ in shown) == sorted(of_modules)
    assert all(alt.endswith(".") for _, alt in shown)
    assert len({alt for _, alt in shown}) == len(shown)


def test_slugs_and_anchors_are_unique():
    slugs = [module.slug for module in MODULES]
    assert len(set(slugs)) == len(slugs)


@modules
def test_the_page_reads_in_order(module):
    """Steps first, then faults, then check questions."""
    order = {"step": 0, "fault": 1, "question": 2}
    places = [order[block.block_type] for block in module.body if block.block_type in order]
    assert all(a <= b for a, b in pairwise(places))
