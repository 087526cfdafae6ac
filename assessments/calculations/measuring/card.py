"""Geometry of the measuring cards, in millimetres from the top-left corner of the page.

x points right, y down, z up from the printed face. Markers are OpenCV's ArUco dictionary
``DICT_4X4_50``; their numbers tell the cards apart.
"""

from dataclasses import dataclass
from typing import Final

MARKER_MM: Final = 24.0
"""Side of a marker's black square: 6 modules of 4 mm."""
PAD_MM: Final = 32.0
"""Side of the white pad around a marker: one module of quiet zone on each side."""
BLUE_SRGB: Final = (28, 63, 148)
BAR_MM: Final = 100.0
"""Length of the bar by which a printout is checked with a ruler."""
BAR_WIDTH_MM: Final = 0.5
BAR_TICK_MM: Final = 5.0
TICK_MM: Final = 6.0
"""Length of the ticks at the corners of the field."""
TICK_WIDTH_MM: Final = 0.4


@dataclass(frozen=True, slots=True)
class Card:
    """One printed card.

    Attributes
    ----------
    name : str
        Name of the paper: ``'A4'`` or ``'Letter'``.
    page_mm : tuple of float
        Width and height of the page, landscape.
    markers_mm : dict of int to tuple of float
        Marker number to the top-left corner (x, y) of its black square; clockwise from top left.
    field_mm : tuple of float
        Left, top, right and bottom of the field that strands are laid on.
    bar_mm : tuple of float
        Left end (x, y) of the bar.
    scale : float
        Printed size over the size meant.
    """

    name: str
    page_mm: tuple[float, float]
    markers_mm: dict[int, tuple[float, float]]
    field_mm: tuple[float, float, float, float]
    bar_mm: tuple[float, float]
    scale: float = 1.0

    def scaled(self, scale: float) -> "Card":
        """Return the card as a printer made it that draws everything `scale` times as large."""

        def pair(point: tuple[float, float]) -> tuple[float, float]:
            return (point[0] * scale, point[1] * scale)

        left, top, right, bottom = (scale * side for side in self.field_mm)
        return Card(
            name=self.name,
            page_mm=pair(self.page_mm),
            markers_mm={number: pair(at) for number, at in self.markers_mm.items()},
            field_mm=(left, top, right, bottom),
            bar_mm=pair(self.bar_mm),
            scale=scale * self.scale,
        )


A4: Final = Card(
    name="A4",
    page_mm=(297.0, 210.0),
    markers_mm={0: (14.0, 14.0), 1: (259.0, 14.0), 2: (259.0, 172.0), 3: (14.0, 172.0)},
    field_mm=(45.0, 42.0, 252.0, 168.0),
    bar_mm=(98.5, 186.0),
)
# Shorter and a little higher than A4: markers move in, the field keeps its distance from them.
LETTER: Final = Card(
    name="Letter",
    page_mm=(279.4, 215.9),
    markers_mm={4: (14.0, 14.0), 5: (241.4, 14.0), 6: (241.4, 177.9), 7: (14.0, 177.9)},
    field_mm=(45.0, 42.0, 234.4, 173.9),
    bar_mm=(89.7, 191.9),
)
CARDS: Final = (A4, LETTER)
