"""How hard a text is to read: the Flesch-Kincaid grade level.

Grade = 0.39 words/sentence + 11.8 syllables/word - 15.59: J. P. Kincaid, R. P. Fishburne,
R. L. Rogers and B. S. Chissom (1975), Derivation of new readability formulas for Navy enlisted
personnel, Research Branch Report 8-75. The formula is for English alone.

Syllables are counted by rule, as programs do that have no dictionary: groups of vowels, without a
silent final e. A single word may come out one too high or too low; over a text that evens out.
"""

import re
from collections.abc import Iterable

HIGHEST_GRADE = 7
LONGEST_SENTENCE = 20  # words
PLACEHOLDER = re.compile(r"\{\{.*?\}\}")


def syllables(word: str) -> int:
    """Return the number of vowel groups; a silent final e or ed does not count."""
    word = re.sub(r"[^a-z]", "", word.lower())
    groups = len(re.findall(r"[aeiouy]+", word))
    if word.endswith("e") and not word.endswith(("le", "ee")) and groups > 1:
        groups -= 1
    if word.endswith("ed") and not word.endswith(("ted", "ded", "eed")) and groups > 1:
        groups -= 1
    return max(groups, 1)


def sentences_of(text: str) -> list[list[str]]:
    """Return the words of each sentence; a number of the house reads as three words."""
    plain = PLACEHOLDER.sub("the house value", text)
    return [
        words
        for part in re.split(r"(?<=[.!?])\s+", plain)
        if (words := re.findall(r"[^\W_](?:[\w'’-]*\w)?", part))
    ]


def grade(words: int, sentences: int, syllable_count: int) -> float:
    """Return the Flesch-Kincaid grade level of a text by its counts."""
    return 0.39 * words / sentences + 11.8 * syllable_count / words - 15.59


def grade_of(texts: Iterable[str]) -> float:
    """Return the grade of several texts together; ValueError where there is no word."""
    sentences = [sentence for text in texts for sentence in sentences_of(text)]
    words = [word for sentence in sentences for word in sentence]
    if not words:
        raise ValueError("There is no word to judge.")
    return grade(len(words), len(sentences), sum(map(syllables, words)))


def longest_sentence(texts: Iterable[str]) -> list[str]:
    """Return the words of the longest sentence."""
    return max((sentence for text in texts for sentence in sentences_of(text)), key=len, default=[])
