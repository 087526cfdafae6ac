"""The files of translations: brought up to date with the texts, and compiled.

Needs Babel, which comes with the extra "test"; the site itself reads the compiled files without it.
"""

from collections.abc import Iterable, Iterator
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.conf import settings
from django.utils.translation.template import templatize

from training.catalogues import DOMAIN, LOCALE_DIR, all_texts, other_languages

KEYWORDS = {
    "_": None,
    "gettext": None,
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext": (1, 2),
    "ngettext_lazy": (1, 2),
    "pgettext": ((1, "c"), 2),
    "pgettext_lazy": ((1, "c"), 2),
}


class Text(NamedTuple):
    """A text to translate, or a pair of singular and plural; ``place`` is the file it stands in."""

    text: str | tuple[str, ...]
    context: str | None = None
    place: str = ""


def catalogues() -> Iterator[tuple[Path, str, list[Text]]]:
    """Yield each catalogue: its folder of languages, its domain, and what stands in it."""
    curriculum = [Text(text, context) for context, text in dict.fromkeys(all_texts())]
    yield LOCALE_DIR, DOMAIN, curriculum
    for folder in map(Path, settings.LOCALE_PATHS):
        yield folder, "django", list(interface_texts(folder.parent))


def interface_texts(app: Path) -> Iterator[Text]:
    """Yield every text of an app's pages and messages, by file."""
    for path in sorted(app.rglob("*")):
        place = path.relative_to(app)
        if path.suffix == ".py" and "migrations" not in place.parts:
            source, language = path.read_bytes(), "python"
        elif path.suffix in (".html", ".txt") and "templates" in place.parts:
            # What Django makes of a template reads as calls of gettext among other signs.
            source, language = templatize(path.read_text("utf-8")).encode(), "javascript"
        else:
            continue
        for _line, text, _comments, context in extract(language, BytesIO(source), KEYWORDS):
            if text:
                yield Text(text, context, place.as_posix())


def write_catalogues(places: Iterable[tuple[Path, str, list[Text]]] = ()) -> list[Path]:
    """Bring ``places`` (all catalogues) up to date with their texts; return the files written.

    Translations of texts that are still there are kept, those of others are dropped.
    """
    return [
        path
        for folder, domain, texts in places or catalogues()
        for code in other_languages()
        for path in _write(folder / code / "LC_MESSAGES" / f"{domain}.po", code, texts)
    ]


def _write(path, code, texts):
    old = read_po(BytesIO(path.read_bytes()), code) if path.exists() else Catalog(code)
    new = Catalog(
        code,
        project="Evenhand",
        header_comment="# manage.py catalogues brings this file up to date with the texts.",
        creation_date=old.creation_date,
        revision_date=old.revision_date,
        fuzzy=False,
    )
    # Whose work it is stands in the history of the files.
    for name in ("version", "msgid_bugs_address", "last_translator", "language_team"):
        setattr(new, name, "")
    for text, context, place in texts:
        there = old.get(text, context)
        told = there.string if there else None
        new.add(text, told, locations=[(place, 0)] if place else [], context=context)
    path.parent.mkdir(parents=True, exist_ok=True)
    compiled = path.with_suffix(".mo")
    with path.open("wb") as po, compiled.open("wb") as mo:
        write_po(po, new, width=0, include_lineno=False)
        write_mo(mo, new)
    return [path, compiled]
