"""Find modules, faults and words of the trade; a misspelt word finds its neighbour."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher, get_close_matches
from functools import lru_cache, reduce
from operator import and_, or_
from typing import NamedTuple
from unicodedata import normalize

from django.core.cache import cache
from django.db.models import Count, Max
from django.utils.translation import get_language
from wagtail.search.backends import get_search_backend
from wagtail.search.query import PlainText

from training.glossary import UNSPACED
from training.models import ModulePage, Word
from training.numbers import PLACEHOLDER
from training.summaries import raw_screens

# Together they stand on one page.
MOST_MODULES = 5
MOST_FAULTS = 5
MOST_WORDS = 3
# How alike two words must be, from 0 to 1, for one to stand in for the other.
ALIKE = 0.7
SEEN_WEIGHT = 3
PAIR = 2
PARTICLES = re.compile("[がをはの]")
# Of the pairs of a query, more than this must stand in one passage.
LEAST_SHARE = 0.5
WORD = re.compile(r"[^\W\d_]+(?:['’-][^\W\d_]+)*")
ACCENTS = re.compile("[\u0300-\u036f]")
# What is left without it says what a Spanish word is about: of "pegados" as of "pegan", "peg".
SPANISH_ENDING = re.compile(
    r"(?<=\w{3})(?:[aei]ndo|[ai]d[ao]s?|[aei]r(?:se|l[aeo]s?)?|[ae]n|[aeo]s?|s)$"
)
# A cook writes with the signs that the phone offers first; the modules keep to one spelling.
JAPANESE_SPELLINGS = {
    "蕎麦": "そば",
    "饂飩": "うどん",
    "茹": "ゆ",
    "捏": "こ",
    "揉": "も",
    "出汁": "だし",
    "鰹": "かつお",
    "昆布": "こんぶ",
    "葱": "ねぎ",
    "玉子": "卵",
    "醤油": "しょうゆ",
    "庖丁": "包丁",
    "打粉": "打ち粉",
    "伸": "延",
    "硬": "固",
    "かたい": "固い",
    "軟": "柔",
    "やわらか": "柔らか",
    "固まり": "かたまり",
    "塊": "かたまり",
    "絡": "から",
    "千切": "ちぎ",
    "くっ付": "くっつ",
    "匂い": "におい",
    "臭い": "におい",
}
OTHER_SPELLING = re.compile("|".join(sorted(JAPANESE_SPELLINGS, key=len, reverse=True)))
TO_HIRAGANA = {ord("ァ") + place: ord("ぁ") + place for place in range(ord("ヶ") - ord("ァ") + 1)}
TEXTS = ("title", "do", "look_feel", "text", "see", "tell", "cause", "remedy", "prompt")


@dataclass(frozen=True, slots=True)
class FaultText:
    """A fault as it is searched."""

    see: str
    cause: str
    url: str
    module: str
    seen: frozenset[str]
    words: frozenset[str]


class Passage(NamedTuple):
    """A part of a module, or a word of the trade, as it is searched; ``pk`` is its record's."""

    pk: int
    words: frozenset[str]
    weight: int = 1


@dataclass(frozen=True, slots=True)
class Corpus:
    """Every word that can be found, with all modules and words of the trade, in one language."""

    vocabulary: frozenset[str]
    modules: tuple[Passage, ...]
    faults: tuple[FaultText, ...]
    trade_words: tuple[Passage, ...]


@dataclass(frozen=True, slots=True)
class Results:
    """What was found; ``instead`` is what was looked for where the words are misspelt."""

    query: str
    instead: str
    modules: Sequence[ModulePage]
    faults: Sequence[FaultText]
    words: Sequence[Word]

    @property
    def is_empty(self) -> bool:
        return not (self.modules or self.faults or self.words)


def words_of(text: str) -> list[str]:
    """Return the words of a text in small letters, those of Japanese in one spelling."""
    plain = normalize("NFKC", PLACEHOLDER.sub("", text)).translate(TO_HIRAGANA)
    plain = OTHER_SPELLING.sub(lambda found: JAPANESE_SPELLINGS[found[0]], plain)
    return [word.lower() for word in WORD.findall(plain)]


def terms_of(text: str) -> list[str]:
    """Return by what a text is found: its words; in scripts without spaces each pair and character.

    "打ち粉" is found by 打ち and ち粉, wherever it stands among other characters.
    """
    return [
        term
        for word in words_of(text)
        for term in ([*_pairs(word), *word] if UNSPACED.search(word) else [word])
    ]


def asked_for(query: str) -> list[str]:
    """Return what is looked for: words that say something; in scripts without spaces, pairs.

    A pair with a Japanese particle says as little as "the"; what the particle joins stands alone.
    """
    parts = [part for word in words_of(query) for part in PARTICLES.split(word) if part]
    asked = [
        term
        for part in parts
        if part not in COMMON
        for term in (_pairs(part) if UNSPACED.search(part) else [part])
    ]
    return asked or words_of(query)


def _pairs(word: str) -> list[str]:
    """Return each two characters that stand side by side, or the word where it has fewer."""
    last = max(1, len(word) - PAIR + 1)
    return [word[start : start + PAIR] for start in range(last)]


# Words that say nothing of what is looked for.
COMMON = frozenset(
    words_of(
        "a an and are as at be but by do for from has have how i if in is it my not of on or that "
        "the this to too was what when why with you "
        "al como con cuando cómo de del el en es esta está están hay la las lo los me mi muy más "
        "para pero por porque que qué se si sin son su sus un una y ya"
    )
)


def search(query: str) -> Results:
    """Return the modules, faults and words of the trade that fit ``query`` best."""
    known = corpus()
    asked = asked_for(query)
    groups = [variants(word, known.vocabulary) for word in asked]
    spelt = [
        nearest(word, known.vocabulary) if not found else word
        for word, found in zip(asked, groups, strict=True)
    ]
    instead = " ".join(spelt) if spelt != asked else ""
    groups = [variants(word, known.vocabulary) or {word} for word in spelt]
    return Results(
        query=query,
        instead=instead,
        modules=_best(ModulePage, known.modules, groups)[:MOST_MODULES],
        faults=_faults(known.faults, groups)[:MOST_FAULTS],
        words=_best(Word, known.trade_words, groups)[:MOST_WORDS],
    )


def variants(word: str, vocabulary: Iterable[str]) -> set[str]:
    """Return the words of the vocabulary that ``word`` stands for: itself, longer or shorter forms.

    Databases differ in whether they know that a strand is one of strands; this makes them alike.
    An accent left out is no misspelling.
    """
    word = without_accents(word)
    longer = len(word) > 3
    if get_language() == "es":
        stem = SPANISH_ENDING.sub("", word)

        def is_form(one):
            return SPANISH_ENDING.sub("", one) == stem
    else:
        stem = word[:-1] if word.endswith("s") and longer else word
        endings = {stem, f"{stem}s", f"{stem}es", f"{stem}ed", f"{stem}d", f"{stem}ing"}
        is_form = endings.__contains__
    return {
        known
        for known in vocabulary
        if is_form(one := without_accents(known)) or (longer and one.startswith(word))
    }


@lru_cache(maxsize=2**16)
def without_accents(word: str) -> str:
    """Return a word as it is typed in haste: "coccion" for "cocción"."""
    return normalize("NFC", ACCENTS.sub("", normalize("NFD", word)))


def nearest(word: str, vocabulary: Iterable[str]) -> str:
    """Return the word of the vocabulary that is spelt most like ``word``, or ``word`` itself.

    Likeness is Ratcliff and Obershelp's (J. W. Ratcliff and D. E. Metzener, Pattern matching: the
    gestalt approach, 1988), as the standard library reckons it.
    """

    def likeness(one):
        # Of two that are as alike: the one with more letters in their place.
        in_place = sum(a == b for a, b in zip(one, word, strict=False))
        return SequenceMatcher(None, one, word).ratio(), in_place

    # In order, so that it is always the same one.
    close = get_close_matches(word, sorted(vocabulary), n=5, cutoff=ALIKE)
    return max(close, key=likeness, default=word)


def _best(model, passages, groups):
    """Return the records that fit best: those of which most passages have a word of every group."""
    if not groups:
        return []
    fits: Counter[int] = Counter()
    near: Counter[int] = Counter()
    for passage in passages:
        share = sum(bool(group & passage.words) for group in groups) / len(groups)
        fits[passage.pk] += passage.weight * (share == 1)
        near[passage.pk] = max(near[passage.pk], share)
    records = model.objects.filter(pk__in=near)
    if any(UNSPACED.search(term) for group in groups for term in group):
        # The full text search of the database takes what stands between spaces for a word.
        found = [record for record in records if near[record.pk] > LEAST_SHARE]
    else:
        found = _found(records, groups)
    # Sorting is stable: records that fit as well keep the order of the search.
    return sorted(found, key=lambda record: (-fits[record.pk], -near[record.pk]))


def _found(records, groups):
    """Return the records that have a word of every group, or else of any group, best first."""
    if not groups:
        return []
    each = [reduce(or_, map(PlainText, sorted(group))) for group in groups]
    backend = get_search_backend()
    found = list(backend.search(reduce(and_, each), records))
    return found or list(backend.search(reduce(or_, each), records))


def _faults(faults, groups):
    """Return the faults that have most of the words, those that name them in the sign first."""
    scored = [
        (sum(SEEN_WEIGHT * bool(g & one.seen) + bool(g & one.words) for g in groups), one)
        for one in faults
    ]
    best = sorted((pair for pair in scored if pair[0]), key=lambda pair: -pair[0])
    # One shared word of several is a coincidence.
    least = max((score for score, _one in best), default=0) / 2
    return [one for score, one in best if score >= least]


def corpus() -> Corpus:
    """Return what can be searched, read anew only after something has changed."""
    pages = ModulePage.objects.live()
    stamp = (
        *pages.aggregate(Max("last_published_at"), Max("latest_revision"), Count("pk")).values(),
        *Word.objects.aggregate(Max("pk"), Count("pk")).values(),
    )
    # A new number whenever the code finds other words in the same text.
    key = f"search-corpus-2-{get_language()}"
    stored = cache.get(key)
    if stored and stored[0] == stamp:
        return stored[1]
    read = _read()
    cache.set(key, (stamp, read), timeout=None)
    return read


def _read() -> Corpus:
    modules, faults = [], []
    for page in ModulePage.objects.in_language().order_by("station__position", "original_path"):
        heading = frozenset(terms_of(f"{page.title} {page.summary}"))
        modules.append(Passage(page.pk, heading, SEEN_WEIGHT))
        for screen in raw_screens(page):
            for item in screen.items:
                text = " ".join(item.block.value.get(name) or "" for name in TEXTS)
                modules.append(Passage(page.pk, frozenset(terms_of(text))))
            if screen.kind == "fault":
                faults.append(_fault_text(page, screen))
    trade_words = tuple(
        Passage(
            word.pk,
            frozenset(terms_of(f"{word.term} {word.reading} {word.meaning} {word.script}")),
        )
        for word in Word.objects.in_language()
    )
    passages = (*modules, *trade_words)
    vocabulary = frozenset(word for passage in passages for word in passage.words)
    return Corpus(vocabulary, tuple(modules), tuple(faults), trade_words)


def _fault_text(page, screen):
    value = screen.main.value
    rest = " ".join(value[name] for name in ("tell", "cause", "remedy"))
    return FaultText(
        see=value["see"],
        cause=value["cause"],
        url=f"{page.address}#{screen.anchor}",
        module=page.title,
        seen=frozenset(terms_of(value["see"])),
        words=frozenset(terms_of(rest)),
    )
