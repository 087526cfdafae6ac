"""Reading level of a text against the published formula."""

import pytest

from training.readability import grade, grade_of, longest_sentence, sentences_of, syllables


@pytest.mark.parametrize(
    ("counts", "expected"),
    # Worked by hand from Kincaid et al. (1975): 0.39 words/sentence + 11.8 syllables/word - 15.59.
    [((6, 1, 6), -1.45), ((100, 8, 140), 5.805), ((100, 5, 150), 9.91)],
)
def test_grade_against_worked_examples(counts, expected):
    assert grade(*counts) == pytest.approx(expected, abs=5e-4)


def test_grade_of_a_known_sentence():
    # Six words of one syllable in one sentence.
    assert grade_of(["The cat sat on the mat."]) == pytest.approx(-1.45)


def test_texts_are_judged_together():
    assert grade_of(["The cat sat on the mat.", "The cat sat on the mat."]) == pytest.approx(-1.45)


@pytest.mark.parametrize("texts", [[], [""], ["… !"]])
def test_a_text_without_words_has_no_grade(texts):
    with pytest.raises(ValueError, match="no word"):
        grade_of(texts)


@pytest.mark.parametrize(
    ("word", "count"),
    # As a dictionary divides them.
    [
        ("dough", 1),
        ("knife", 1),
        ("rolled", 1),
        ("folded", 2),
        ("table", 2),
        ("even", 2),
        ("thickness", 2),
        ("buckwheat", 2),
        ("temperature", 4),
        ("three", 1),
    ],
)
def test_syllables(word, count):
    assert syllables(word) == count


def test_sentences_end_at_their_stops_and_numbers_of_the_house_are_words():
    assert sentences_of("Roll it to {{thickness}}. Is it even? Don't press!") == [
        ["Roll", "it", "to", "the", "house", "value"],
        ["Is", "it", "even"],
        ["Don't", "press"],
    ]


def test_a_decimal_point_ends_no_sentence():
    assert [len(words) for words in sentences_of("It is 3.5 wide. Cut on.")] == [5, 2]


def test_longest_sentence():
    assert longest_sentence(["Cut. Cut it now.", "Go on."]) == ["Cut", "it", "now"]
    assert longest_sentence([]) == []
