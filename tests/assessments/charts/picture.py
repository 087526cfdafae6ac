"""Read a drawing back with a ruler, as somebody who sees it would."""

import re
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
MOVE = re.compile(r"translate\(([-\d.]+),([-\d.]+)\)")
BOX = re.compile(r"M([-\d.]+),([-\d.]+)h([-\d.]+)v([-\d.]+)h")

# Outlines of the marks as they begin: a circle is made of arcs, triangles of their tip.
SHAPES = {
    "circle": re.compile(r"A"),
    "up": re.compile(r"^M0,-"),
    "down": re.compile(r"^M0,\d"),
}


def shape_of(outline):
    return next((name for name, start in SHAPES.items() if start.search(outline)), "other")


class Picture:
    """The marks of one drawing in pixels from its upper left corner."""

    def __init__(self, svg):
        self.text = str(svg)
        self.root = ElementTree.fromstring(self.text)  # noqa: S314 - drawn by this site
        self.marks = []
        self._walk(self.root, 0.0, 0.0, linked=None)

    def _walk(self, element, x, y, linked):
        move = MOVE.match(element.get("transform", ""))
        if move:
            x, y = x + float(move[1]), y + float(move[2])
        if element.tag == f"{SVG}a":
            linked = element
        self.marks.append((element, x, y, linked))
        for child in element:
            self._walk(child, x, y, linked)

    def points(self, colors=("var(--indigo)", "var(--ink)")):
        """Return (x, y, shape) of each point, in drawing order."""
        return [
            (x, y, shape_of(element.get("d")))
            for element, x, y, linked in self.marks
            if element.tag == f"{SVG}path"
            and element.get("transform")
            and element.get("fill") in colors
            and linked is None
        ]

    def boxes(self, fill):
        """Return (left, top, right, bottom) of each rectangle of this colour."""
        found = []
        for element, x, y, _linked in self.marks:
            box = BOX.match(element.get("d", "")) if element.get("fill") == fill else None
            if box:
                left, top, width, height = map(float, box.groups())
                found.append((x + left, y + top, x + left + width, y + top + height))
        return found

    def words(self):
        """Return (text, x, y) of everything written."""
        return [
            (element.text, x, y)
            for element, x, y, _linked in self.marks
            if element.tag == f"{SVG}text"
        ]

    def links(self):
        """Return (address, name) of each link."""
        return [
            (element.get("href"), element.get("aria-label"))
            for element, _x, _y, _linked in self.marks
            if element.tag == f"{SVG}a"
        ]

    def letter_sizes(self):
        return {float(size) for size in re.findall(r'font-size="([\d.]+)px"', self.text)}

    @property
    def size(self):
        _left, _top, width, height = map(float, self.root.get("viewBox").split())
        return width, height
