"""Words of the trade in the text of a module: each leads to its meaning where it first stands."""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping

from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

# Titles, questions and answers stay plain: a link there would be touched by mistake.
FIELDS = {
    "step": ("do", "look_feel"),
    "caution": ("text",),
    "fault": ("tell", "cause", "remedy"),
}
TAG = re.compile(r"(<[^>]+>)")
HIRAGANA = re.compile("[ぁ-ゖー]")
UNSPACED = re.compile("[ぁ-ヿ㐀-鿿々]")


def first_places(body, words: Iterable) -> Mapping[str, Mapping[str, tuple]]:
    """Return where in a module each word first stands, by id of the block and name of the field.

    A word is a record with a ``term`` and a ``url``.
    """
    left = {word.term.lower(): word for word in words}
    found: dict[str, dict[str, tuple]] = defaultdict(dict)
    for block in body if left else ():
        for name in FIELDS.get(block.block_type, ()):
            terms = {match.lower() for match in pattern(left).findall(block.value[name])}
            if terms:
                found[block.id][name] = tuple(left.pop(term) for term in sorted(terms))
            if not left:
                return found
    return found


def pattern(terms: Iterable[str]) -> re.Pattern[str]:
    """Return a pattern that finds these words as whole words; longer ones first."""
    longest_first = sorted(terms, key=len, reverse=True)
    return re.compile(rf"({'|'.join(map(_whole, longest_first))})", re.IGNORECASE)


def _whole(term: str) -> str:
    """Return a pattern for a word that is no part of another one.

    Japanese has no spaces between words. One written in kanji may touch others; one in hiragana
    could be a piece of a verb, unless a particle, a mark or another script follows.
    """
    before = after = ""
    if HIRAGANA.match(term[0]):
        before = f"(?<!{HIRAGANA.pattern})"
    elif not UNSPACED.match(term[0]):
        before = r"\b"
    if HIRAGANA.match(term[-1]):
        after = f"(?=[をはがのにでとも]|(?!{HIRAGANA.pattern}))"
    elif not UNSPACED.match(term[-1]):
        after = r"\b"
    return before + re.escape(term) + after


def link_words(html: str, words: Iterable) -> SafeString:
    """Return HTML in which the first place of each word leads to its meaning."""
    left = {word.term.lower(): word for word in words}

    def link(match):
        word = left.pop(match[1].lower(), None)
        return (
            format_html('<a class="word" href="{}">{}</a>', word.url, match[1])
            if word
            else match[1]
        )

    # Tags are every second part; only what stands between them is text.
    parts = TAG.split(html)
    if left:
        find = pattern(list(left))
        parts[::2] = [find.sub(link, part) for part in parts[::2]]
    return mark_safe("".join(parts))  # noqa: S308
