"""The modules and words of the curriculum in other languages.

A module is written once, in English. Its texts in another language are in the catalogue
``training/locale/<code>/LC_MESSAGES/curriculum.po``, with the module's short name as context, so
that steps, drawings and right answers are the same in all of them. ``manage.py catalogues`` brings
the catalogues up to date with the modules.
"""

from collections.abc import Iterator, Mapping
from functools import cache
from gettext import NullTranslations, translation
from pathlib import Path
from typing import Any

from django.conf import settings

from training.curriculum import MODULES
from training.curriculum.words import WORDS
from training.curriculum_check import TEXTS, Problem, sheet_of_module

LOCALE_DIR = Path(__file__).resolve().parent / "locale"
DOMAIN = "curriculum"
WORD_CONTEXT = "word"


def other_languages() -> list[str]:
    """Return the codes of the languages of the site beside the one that modules are written in."""
    return [code for code, _name in settings.LANGUAGES if code != settings.LANGUAGE_CODE]


@cache
def catalogue(code: str) -> NullTranslations:
    """Return the texts of a language; an empty catalogue for one that has none."""
    return translation(DOMAIN, LOCALE_DIR, [code], fallback=True)


def text_in(code: str, context: str, text: str) -> str:
    """Return ``text`` in a language, or as it is where the catalogue does not have it."""
    return catalogue(code).pgettext(context, text) if text else text


def value_in(code: str, context: str, kind: str, value: Mapping[str, Any]) -> dict[str, Any]:
    """Return the value of a block of a page's stream (raw, as stored) in a language."""
    # A fault also names the step where it begins, by its title.
    names = (*TEXTS.get(kind, ()), *(("step",) if kind == "fault" else ()))
    told = dict(value) | {
        name: text_in(code, context, value[name]) for name in names if value.get(name)
    }
    if kind == "question":
        told["answers"] = [
            {
                **answer,
                "value": {
                    **answer["value"],
                    "text": text_in(code, context, answer["value"]["text"]),
                },
            }
            for answer in value["answers"]
        ]
    return told


def all_texts() -> Iterator[tuple[str, str]]:
    """Yield every text of the curriculum with its context, in the order of the modules."""
    for module in MODULES:
        sheet = sheet_of_module(module)
        yield from ((module.slug, text) for text in (*sheet.texts, sheet.source_note))
    for word in WORDS:
        yield from ((WORD_CONTEXT, text) for text in (word.term, word.reading, word.meaning))


def missing_translations() -> list[Problem]:
    """Return what the curriculum lacks in each language of the site but English."""
    return [
        Problem(context, "", f"not translated into “{code}”: {text}")
        for code in other_languages()
        for context, text in dict.fromkeys(all_texts())
        if not is_translated(code, context, text)
    ]


def is_translated(code: str, context: str, text: str) -> bool:
    """Return whether the catalogue of a language has this text."""
    # The public way gives back the English text where there is none, but also where the
    # translation reads the same; the catalogue itself knows.
    return f"{context}\x04{text}" in getattr(catalogue(code), "_catalog", {})
