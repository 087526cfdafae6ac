"""The measuring card as a PDF: page 1 the card in vectors and true to size, page 2 how to use it.

The second page is written in the language that is active, with the font that every reader has. It
knows the letters of western Europe only; for others name a TrueType or OpenType file that has them.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import cast

from django.utils.translation import get_language
from django.utils.translation import gettext as _
from fontTools.ttLib import TTFont  # type: ignore[import-untyped]
from fpdf import FPDF
from fpdf.enums import MethodReturnValue, PathPaintRule
from fpdf.prefs import ViewerPreferences

from assessments.calculations.measuring.card import (
    BAR_MM,
    BAR_TICK_MM,
    BAR_WIDTH_MM,
    BLUE_SRGB,
    CARDS,
    MARKER_MM,
    PAD_MM,
    TICK_MM,
    TICK_WIDTH_MM,
    Card,
)
from assessments.calculations.measuring.pose import MODULE_MM, marker_bits
from assessments.summaries.card import CAUTION, PARTS, Part
from training.drawings import render_plain
from training.drawings.parts import HEIGHT, LIGHT, WIDTH

PAPERS = {card.name.lower(): card for card in CARDS}

WHITE, BLACK = (255, 255, 255), (0, 0, 0)
BUILT_IN, OWN = "Helvetica", "how-to"
BUILT_IN_LETTERS = "windows-1252"

MARGIN_MM = 12.0
COLUMN_GAP_MM = 7.0
GAP_MM = 5.0
PICTURE_SHARE = 0.86
LARGEST_PT, SMALLEST_PT = 12.0, 7.0
LINE = 1.3
MM_PER_PT = 25.4 / 72

Rectangle = tuple[float, float, float, float]


class LettersMissingError(Exception):
    """The font lacks ``letters`` of the how-to's language."""

    def __init__(self, letters: str):
        super().__init__(letters)
        self.letters = letters


class FontUnreadableError(Exception):
    """The file is no font that can be put into a PDF."""


def measuring_card_pdf(card: Card, *, font: Path | None = None) -> bytes:
    """Return the PDF of ``card``, its how-to in the active language.

    Raises ``LettersMissingError`` where the font cannot write that language, and
    ``FontUnreadableError`` where ``font`` is none.
    """
    pdf = FPDF(unit="mm", format=card.page_mm)
    pdf.set_auto_page_break(False)
    pdf.set_title(_("Measuring card, %(paper)s") % {"paper": card.name})
    pdf.set_lang(get_language() or "en")
    # Print dialogues that heed it then begin at 100 %.
    pdf.viewer_preferences = ViewerPreferences(print_scaling="None", display_doc_title=True)
    _draw_card(pdf, card)
    _write_how_to(pdf, _family(pdf, font))
    return bytes(pdf.output())


def _draw_card(pdf: FPDF, card: Card) -> None:
    pdf.add_page()
    _fill(pdf, BLUE_SRGB, [(0, 0, *card.page_mm)])
    rim = (PAD_MM - MARKER_MM) / 2
    for number, (x, y) in card.markers_mm.items():
        _fill(pdf, WHITE, [(x - rim, y - rim, PAD_MM, PAD_MM)])
        _fill(pdf, BLACK, [(x, y, MARKER_MM, MARKER_MM)])
        bits = marker_bits(number)
        _fill(
            pdf,
            WHITE,
            [
                (x + column * MODULE_MM, y + row * MODULE_MM, MODULE_MM, MODULE_MM)
                for row, column in zip(*bits.nonzero(), strict=True)
            ],
        )
    _fill(pdf, WHITE, [*_field_ticks(card), *_bar(card)])


def _fill(pdf: FPDF, colour: tuple[int, int, int], rectangles: Iterable[Rectangle]) -> None:
    """Fill all ``rectangles`` as one path, so that no hairline shows between neighbours."""
    with pdf.new_path() as shape:
        shape.style.fill_color = "#{:02x}{:02x}{:02x}".format(*colour)
        shape.style.stroke_color = None
        shape.style.paint_rule = PathPaintRule.FILL_NONZERO
        for x, y, width, height in rectangles:
            shape.rectangle(float(x), float(y), width, height)


def _field_ticks(card: Card) -> Iterable[Rectangle]:
    """Yield two ticks at each corner of the field, their middles on its sides."""
    left, top, right, bottom = card.field_mm
    half, length = TICK_WIDTH_MM / 2, TICK_MM + TICK_WIDTH_MM / 2
    for x, start_x in ((left, left - half), (right, right + half - length)):
        for y, start_y in ((top, top - half), (bottom, bottom + half - length)):
            yield start_x, y - half, length, TICK_WIDTH_MM
            yield x - half, start_y, TICK_WIDTH_MM, length


def _bar(card: Card) -> Iterable[Rectangle]:
    """Yield the bar and its two end marks, whose middles are the bar's length apart."""
    x, y = card.bar_mm
    half = BAR_WIDTH_MM / 2
    yield x, y - half, BAR_MM, BAR_WIDTH_MM
    for end in (x, x + BAR_MM):
        yield end - half, y - BAR_TICK_MM / 2, BAR_WIDTH_MM, BAR_TICK_MM


def _family(pdf: FPDF, font: Path | None) -> str:
    """Return the name of the font after a look whether it has all letters that are needed."""
    missing = missing_letters(font)
    if missing:
        raise LettersMissingError(missing)
    if font is None:
        pdf.core_fonts_encoding = BUILT_IN_LETTERS
        return BUILT_IN
    for style in ("", "B"):
        pdf.add_font(OWN, style, font)
    return OWN


def missing_letters(font: Path | None) -> str:
    """Return the letters of the how-to in the active language that the font lacks.

    Raises ``FontUnreadableError`` where ``font`` is none.
    """
    needed = {letter for text in _texts() for letter in text}
    if font is None:
        missing = {one for one in needed if not one.encode(BUILT_IN_LETTERS, "ignore")}
    else:
        letters = _letters_of(font)
        missing = {one for one in needed if ord(one) not in letters}
    return "".join(sorted(missing))


@cache
def _letters_of(font: Path) -> frozenset[int]:
    try:
        # Of a collection the first is taken, as FPDF does.
        with TTFont(BytesIO(font.read_bytes()), fontNumber=0) as opened:
            return frozenset(opened.getBestCmap())
    except Exception as error:  # What the library raises depends on what is damaged.
        raise FontUnreadableError(str(font)) from error


def _title() -> str:
    return _("How to use the measuring card")


def _texts() -> Iterable[str]:
    yield _title()
    yield str(CAUTION)
    for part in PARTS:
        yield str(part.title)
        for number, step in enumerate(part.steps, part.start):
            yield f"{number}  {step.title}"
            yield str(step.text)


def _write_how_to(pdf: FPDF, family: str) -> None:
    """Write the second page in the largest letters that fit, so that long languages do too."""
    pdf.add_page()
    pdf.set_text_color(LIGHT["ink"])
    writer = _Writer(pdf, family, LARGEST_PT)
    while writer.size_pt > SMALLEST_PT and writer.how_to(dry=True) > pdf.h - MARGIN_MM:
        writer.size_pt -= 0.25
    writer.how_to()


@dataclass(slots=True)
class _Writer:
    """Writes the how-to in letters of one size; what is written dry is only measured.

    Each method returns in mm where the next thing below begins.
    """

    pdf: FPDF
    family: str
    size_pt: float

    def how_to(self, *, dry: bool = False) -> float:
        inside = self.pdf.w - 2 * MARGIN_MM
        y = self.paragraph(_title(), MARGIN_MM, MARGIN_MM, inside, bold=True, times=1.6, dry=dry)
        for part in PARTS:
            y += GAP_MM
            y = self.paragraph(str(part.title), MARGIN_MM, y, inside, bold=True, times=1.2, dry=dry)
            y = self.row(part, y + 1, inside, dry=dry)
        return self.paragraph(str(CAUTION), MARGIN_MM, y + GAP_MM, inside, bold=True, dry=dry)

    def row(self, part: Part, y: float, inside: float, *, dry: bool) -> float:
        columns = len(part.steps)
        width = (inside - (columns - 1) * COLUMN_GAP_MM) / columns
        picture = width * PICTURE_SHARE
        text_y = y + picture * HEIGHT / WIDTH + 1
        ends = []
        for number, step in enumerate(part.steps, part.start):
            x = MARGIN_MM + (number - part.start) * (width + COLUMN_GAP_MM)
            if not dry:
                drawing = BytesIO(render_plain(step.drawing).encode())
                self.pdf.image(drawing, x=x, y=y, w=picture, alt_text=str(step.description))
            title = f"{number}  {step.title}"
            below = self.paragraph(title, x, text_y, width, bold=True, dry=dry)
            ends.append(self.paragraph(str(step.text), x, below, width, dry=dry))
        return max(ends)

    def paragraph(
        self,
        text: str,
        x: float,
        y: float,
        width: float,
        *,
        bold: bool = False,
        times: float = 1,
        dry: bool,
    ) -> float:
        size_pt = times * self.size_pt
        self.pdf.set_font(self.family, "B" if bold else "", size_pt)
        self.pdf.set_xy(x, y)
        height = self.pdf.multi_cell(
            width,
            size_pt * MM_PER_PT * LINE,
            text,
            align="L",
            dry_run=dry,
            output=MethodReturnValue.HEIGHT,
        )
        return y + cast("float", height)
