"""Turn a chart's specification into SVG for the page: two widths, no style, no script, cached."""

import hashlib
import json
import math
import re
from collections.abc import Callable
from dataclasses import asdict, dataclass, is_dataclass
from importlib.metadata import version

import altair as alt
import vl_convert
from altair.utils import schemapi
from django.conf import settings
from django.core.cache import cache
from django.template.defaultfilters import floatformat
from django.utils import formats
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

# Inside the page on a phone of 360 px, and on anything with room for it.
NARROW_PX = 328
WIDE_PX = 640
LETTERS_PX = 16
KEPT_S = 7 * 24 * 60 * 60

# The library completes addresses without a host by one of its own; this one is taken off again.
_OWN_HOST = "https://house.invalid"

INK = "var(--ink)"
INK_SOFT = "var(--ink-soft)"
LINE = "var(--line)"
LINE_STRONG = "var(--line-strong)"
INDIGO = "var(--indigo)"
DOUGH = "var(--dough)"
PAPER = "var(--paper)"

CONFIG = {
    "background": None,
    "font": "system-ui, sans-serif",
    "padding": 4,
    "view": {"stroke": None},
    "axis": {
        "aria": False,
        "domainColor": LINE_STRONG,
        "gridColor": LINE,
        "labelColor": INK_SOFT,
        "labelFontSize": LETTERS_PX,
        "tickColor": LINE_STRONG,
        "titleColor": INK_SOFT,
        "titleFontSize": LETTERS_PX,
        "titleFontWeight": "normal",
    },
    "axisX": {"grid": False},
    "legend": {
        "aria": False,
        "columnPadding": 20,
        "direction": "horizontal",
        "labelColor": INK_SOFT,
        "labelFontSize": LETTERS_PX,
        "orient": "bottom",
        "symbolFillColor": INDIGO,
        "symbolStrokeColor": INDIGO,
        "titleColor": INK_SOFT,
        "titleFontSize": LETTERS_PX,
        "titleFontWeight": "normal",
    },
    "text": {"color": INK, "fontSize": LETTERS_PX},
    "title": {"anchor": "start", "color": INK, "fontSize": LETTERS_PX, "fontWeight": "normal"},
}


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a chart's table; with ``url`` its first cell is a link."""

    cells: tuple[str, ...]
    url: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """The values behind a chart, as text."""

    headings: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """A chart as ``{% chart %}`` puts it on a page."""

    title: str
    description: str
    narrow: SafeString
    wide: SafeString
    table: Table


def draw(
    name: str,
    data,
    specification: Callable[[int], alt.TopLevelMixin],
    *,
    title: str,
    description: str,
    table: Table,
    linked: bool = False,
) -> Chart:
    """Return the chart ``name`` of ``data``, a frozen dataclass or a tuple of them.

    ``specification`` takes the width in pixels. Drawings are kept in the cache by a hash of
    everything that they show. ``linked`` tells that marks carry links, see ``link``.
    """
    key = _key(name, data, title, description)
    drawn = cache.get(f"chart:{key}")
    if drawn is None:
        drawn = tuple(
            _inline(
                _specified(specification, width),
                identity=f"{name}-{key[:12]}-{variant}",
                variant=variant,
                title=title,
                description=description,
                linked=linked,
            )
            for variant, width in (("narrow", NARROW_PX), ("wide", WIDE_PX))
        )
        cache.set(f"chart:{key}", drawn, KEPT_S)
    narrow, wide = drawn
    return Chart(title, description, mark_safe(narrow), mark_safe(wide), table)  # noqa: S308


def link(url: str) -> str:
    """Return the address of a page of this site for a mark's ``href``."""
    return f"{_OWN_HOST}{url}"


def values(rows) -> alt.Data:
    """Return inline data for a specification."""
    return alt.Data(values=list(rows))


def number(value, decimals: int) -> str:
    """Return a number as the table shows it, in the reader's notation."""
    # floatformat rounds where the plain number format cuts off.
    return floatformat(value, decimals)


def step_mm(span_mm, most) -> float:
    """Return 1, 2 or 5 times a power of ten that parts ``span_mm`` into ``most`` steps at most.

    No step is smaller than the second decimal that can be written beside it.
    """
    size = 10.0 ** math.floor(math.log10(span_mm / most))
    return max(0.01, next(k * size for k in (1, 2, 5, 10) if span_mm <= k * size * most))


def decimals_of(ticks) -> int:
    """Return how many decimals all ``ticks`` need, at least one and at most two."""
    return 1 if all(abs(10 * tick - round(10 * tick)) < 1e-6 for tick in ticks) else 2


def _specified(specification, width):
    """Return the specification for a width as a dict.

    The library checks every part against its schema, which takes half as long as all the rest
    together: for developers, and in the tests of the charts.
    """
    with schemapi.debug_mode(settings.DEBUG):
        return specification(width).to_dict(validate=settings.DEBUG)


def _key(name, data, title, description):
    rows = data if isinstance(data, tuple) else (data,)
    plain = [asdict(row) if is_dataclass(row) else row for row in rows]
    shown = [name, plain, title, description, get_language(), version("evenhand")]
    return hashlib.sha256(json.dumps(shown, default=str).encode()).hexdigest()


def _inline(spec, *, identity, variant, title, description, linked):
    svg = vl_convert.vegalite_to_svg(
        {**spec, "config": {**CONFIG, **spec.get("config", {})}},
        format_locale={
            "decimal": formats.get_format("DECIMAL_SEPARATOR"),
            "thousands": formats.get_format("THOUSAND_SEPARATOR"),
            "grouping": [3],
            "currency": ["", ""],
        },
        allowed_base_urls=[],
    )
    opening, _end, inside = svg.partition(">")
    box = re.search(r'viewBox="[^"]*"', opening).group()
    # Marks inside an image are not read out, so links need a group instead.
    head = format_html(
        '<svg xmlns="http://www.w3.org/2000/svg" class="{}" role="{}" aria-labelledby="{}-t {}-d" ',
        variant,
        "group" if linked else "img",
        identity,
        identity,
    )
    names = format_html(
        '><title id="{}-t">{}</title><desc id="{}-d">{}</desc>',
        identity,
        title,
        identity,
        description,
    )
    return f"{head}{box}{names}{_lean(inside)}"


def _lean(svg):
    """Take off what a page does not need, and give links their names."""
    svg = re.sub(
        r'<a xlink:href="([^"]*)"><path aria-label="([^"]*)"',
        # The table behind the chart has the same links for the keyboard, large and in order.
        r'<a href="\1" aria-label="\2" tabindex="-1"><path',
        svg,
    )
    svg = svg.replace(f'href="{_OWN_HOST}', 'href="')
    svg = re.sub(r' (?:role|aria-roledescription)="[^"]*"', "", svg)
    svg = re.sub(r'<path class="(?:background|foreground)"[^>]*/>', "", svg)
    svg = re.sub(r' class="[^"]*"| pointer-events="none"| opacity="1"', "", svg)
    # Two decimals of a pixel are enough; what is written in the picture keeps its own.
    return re.sub(r"<[^>]+>", lambda tag: re.sub(r"(\d+\.\d{2})\d+", r"\1", tag[0]), svg)
