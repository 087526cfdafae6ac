"""Shared parts of the line drawings: each function returns a fragment of SVG.

Lengths are in drawing units; every drawing is 320 wide and 240 high, y grows downward. Side views
stand on the bench line, top views lie flat. Colour comes from classes alone, so that one file
serves light and dark.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from math import atan2, cos, degrees, hypot, pi, radians, sin
from random import Random

Point = tuple[float, float]

WIDTH, HEIGHT = 320, 240
BENCH_Y = 206
MAIN, DETAIL = 2.5, 1.5

# Ink on every fill, and indigo on paper, keep at least 3:1 in both settings (WCAG 2.2, 1.4.11).
LIGHT = {
    "ink": "#20242f",
    "paper": "#fff",
    "dough": "#f2e2bf",
    "tint": "#ccd5f0",
    "indigo": "#34489c",
}
DARK = {
    "ink": "#eceae3",
    "paper": "#1d212b",
    "dough": "#6e5c3b",
    "tint": "#37447c",
    "indigo": "#a3b4f5",
}


def _palette(colours: dict[str, str]) -> str:
    ink, paper, dough, tint, indigo = (
        colours[key] for key in ("ink", "paper", "dough", "tint", "indigo")
    )
    return (
        f".i,.t,.p,.f,.b,.v,.l,.o,.of{{stroke:{ink}}}"
        f".k,.of{{fill:{ink}}}"
        f".p,.pn{{fill:{paper}}}.p1{{stroke:{paper}}}"
        f".f,.fn{{fill:{dough}}}.f1{{stroke:{dough}}}"
        f".b,.v,.bn{{fill:{tint}}}.b1{{stroke:{tint}}}"
        f".a{{stroke:{indigo}}}.h{{fill:{indigo}}}"
    )


STYLE = (
    "*{fill:none;stroke-linecap:round;stroke-linejoin:round}"
    f".i,.p,.f,.b,.a{{stroke-width:{MAIN}}}.t,.v,.l{{stroke-width:{DETAIL}}}"
    ".v{fill-opacity:.5}.l{stroke-dasharray:5 5}" + _palette(LIGHT) + "@media "
    "(prefers-color-scheme:dark){" + _palette(DARK) + "}"
)
# Stands behind the address of a drawing that shall move: "cut-tilt.svg#moving".
MOVING = "moving"
RULES_OF_MOTION = re.compile("<style>(.*?)</style>")
CLASSES = frozenset(
    (
        "i",
        "t",
        "p",
        "f",
        "b",
        "v",
        "l",
        "o",
        "of",
        "k",
        "pn",
        "p1",
        "fn",
        "f1",
        "bn",
        "b1",
        "a",
        "h",
    )
)


def drawing(body: str) -> str:
    """Return a whole SVG file around `body`; the rules of `moving` parts join its style sheet."""
    rules = "".join(RULES_OF_MOTION.findall(body))
    body = RULES_OF_MOTION.sub("", body)
    name = f' id="{MOVING}"' if rules else ""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg"{name} viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'width="{WIDTH}" height="{HEIGHT}"><style>{STYLE}{rules}</style>{body}</svg>\n'
    )


def num(value: float) -> str:
    """Return `value` with at most one decimal and no needless zero."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text.replace("0.", ".", 1) if abs(value) < 1 else text


# Primitives


def path(cls: str, d: str, stroke_width: float | None = None) -> str:
    width = "" if stroke_width is None else f' stroke-width="{num(stroke_width)}"'
    return f'<path class="{cls}" d="{d}"{width}/>'


def line(cls: str, *points: Point) -> str:
    return path(cls, polyline(points))


def polyline(points: Sequence[Point]) -> str:
    return "M" + "L".join(f"{num(x)} {num(y)}" for x, y in points)


def polygon(cls: str, points: Sequence[Point]) -> str:
    return path(cls, polyline(points) + "Z")


def circle(cls: str, cx: float, cy: float, r: float) -> str:
    return f'<circle class="{cls}" cx="{num(cx)}" cy="{num(cy)}" r="{num(r)}"/>'


def ellipse(cls: str, cx: float, cy: float, rx: float, ry: float) -> str:
    return f'<ellipse class="{cls}" cx="{num(cx)}" cy="{num(cy)}" rx="{num(rx)}" ry="{num(ry)}"/>'


def box(cls: str, x: float, y: float, w: float, h: float, r: float = 0) -> str:
    corner = f' rx="{num(r)}"' if r else ""
    place_and_size = f'x="{num(x)}" y="{num(y)}" width="{num(w)}" height="{num(h)}"'
    return f'<rect class="{cls}" {place_and_size}{corner}/>'


def place(
    fragment: str, x: float = 0, y: float = 0, turn: float = 0, *, mirror: bool = False
) -> str:
    """Move `fragment` to (x, y), turned by `turn` degrees; never scaled, so strokes keep weight."""
    steps = [f"translate({num(x)} {num(y)})"]
    if turn:
        steps.append(f"rotate({num(turn)})")
    if mirror:
        steps.append("scale(-1 1)")
    return f'<g transform="{"".join(steps)}">{fragment}</g>'


def band(d: str, width: float, fill: str = "f") -> str:
    """Return a ribbon along `d`, `width` wide over its outline: a sheet on edge or a strand."""
    return path("o", d, width) + path(f"{fill}1", d, width - 2 * MAIN)


def merged(shapes: Iterable[tuple[str, float]], solid: Iterable[str] = (), fill: str = "p") -> str:
    """Return thick lines and solid outlines melted into one contour, as a hand needs.

    `shapes` are (path data, width over the outline); `solid` are closed path data.
    """
    shapes, solid = list(shapes), list(solid)
    return (
        "".join(path("o", d, w) for d, w in shapes)
        + "".join(path("of", d, 2 * MAIN) for d in solid)
        + "".join(path(f"{fill}1", d, w - 2 * MAIN) for d, w in shapes)
        + "".join(path(f"{fill}n", d) for d in solid)
    )


def blob(cls: str, cx: float, cy: float, r: float, seed: int, rough: float = 0.18) -> str:
    """Return a closed rounded shape of about radius `r`, uneven by `rough`."""
    return path(cls, _uneven_round(cx, cy, r, seed, rough))


def _uneven_round(cx: float, cy: float, r: float, seed: int, rough: float = 0.18) -> str:
    random = Random(seed)  # noqa: S311 - a fixed pattern, no secret
    count = 5 if r < 7 else 7 if r < 14 else 14
    points = []
    for k in range(count):
        angle, across, down = 2 * pi * k / count, random.random(), random.random()
        points.append(
            (
                cx + r * (1 + rough * (2 * across - 1)) * cos(angle),
                cy + r * (1 + rough * (2 * down - 1)) * sin(angle),
            )
        )
    return smooth(points)


def smooth(points: Sequence[Point]) -> str:
    """Return a closed curve through the middles of the sides of `points`."""
    middles = [
        ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
        for a, b in zip(points, [*points[1:], points[0]], strict=True)
    ]
    at = middles[-1]
    d = f"M{num(at[0])} {num(at[1])}q"
    for point, middle in zip(points, middles, strict=True):
        steps = (point[0] - at[0], point[1] - at[1], middle[0] - at[0], middle[1] - at[1])
        d += "".join(text if text[0] == "-" else f" {text}" for text in map(num, steps))
        at = middle
    return d.replace("q ", "q") + "z"


# Signs


def _head(x: float, y: float, angle: float) -> str:
    size, spread = 10, radians(26)
    corners = [
        (x - size * cos(angle + side * spread), y - size * sin(angle + side * spread))
        for side in (-1, 1)
    ]
    return polygon("h", [(x, y), *corners])


def arrow(
    x1: float, y1: float, x2: float, y2: float, bend: float = 0, *, both: bool = False
) -> str:
    """Return an arrow of motion; `bend` pushes its middle to the left of its way (units)."""
    length = hypot(x2 - x1, y2 - y1)
    mx = (x1 + x2) / 2 + 2 * bend * (y2 - y1) / length
    my = (y1 + y2) / 2 - 2 * bend * (x2 - x1) / length
    end, start = atan2(y2 - my, x2 - mx), atan2(y1 - my, x1 - mx)
    ex, ey = x2 - 6 * cos(end), y2 - 6 * sin(end)
    sx, sy = (x1 - 6 * cos(start), y1 - 6 * sin(start)) if both else (x1, y1)
    curve = f"M{num(sx)} {num(sy)}Q{num(mx)} {num(my)} {num(ex)} {num(ey)}"
    heads = _head(x2, y2, end) + (_head(x1, y1, start) if both else "")
    return path("a", curve) + heads


def turn_arrow(
    cx: float, cy: float, r: float, start: float, end: float, ry: float | None = None
) -> str:
    """Return an arrow along a circle (or ellipse) from `start` to `end` degrees, clockwise up."""
    ry = r if ry is None else ry
    steps = 16
    way = [
        (cx + r * cos(radians(a)), cy + ry * sin(radians(a)))
        for a in (start + (end - start) * k / steps for k in range(steps + 1))
    ]
    (x1, y1), (x2, y2) = way[-3], way[-1]
    angle = atan2(y2 - y1, x2 - x1)
    shaft = [*way[:-1], (x2 - 5 * cos(angle), y2 - 5 * sin(angle))]
    return line("a", *shaft) + _head(x2, y2, angle)


def next_arrow(x: float, y: float) -> str:
    """Return the short arrow between two states."""
    return arrow(x, y, x + 26, y)


def mm_bar(x: float, y: float, step: float) -> str:
    """Return a bar of ten equal divisions, each one millimetre in the scale of the drawing."""
    ticks = "".join(f"M{num(x + k * step)} {num(y)}v{-9 if k % 5 == 0 else -5}" for k in range(11))
    return path("t", f"M{num(x)} {num(y)}h{num(10 * step)}{ticks}")


def ring(x: float, y: float, r: float) -> str:
    """Return the ring that draws the eye to a place."""
    return circle("a", x, y, r)


def bench(x1: float = 12, x2: float = 308, y: float = BENCH_Y) -> str:
    """Return the bench line of a side view."""
    return path("i", f"M{num(x1)} {num(y)}H{num(x2)}")


# Vessels and measures


def bowl_side(cx: float, base: float, w: float, h: float) -> str:
    """Return a wide mixing bowl from the side, standing on `base`."""
    half, foot = w / 2, w * 0.2
    left, right = cx - half, cx + half
    body = (
        f"M{num(left)} {num(base - h)}C{num(left + 4)} {num(base - h * 0.4)} "
        f"{num(cx - foot - w * 0.12)} {num(base - 5)} {num(cx - foot)} {num(base - 5)}"
        f"H{num(cx + foot)}C{num(cx + foot + w * 0.12)} {num(base - 5)} {num(right - 4)} "
        f"{num(base - h * 0.4)} {num(right)} {num(base - h)}Z"
    )
    return (
        path("p", f"M{num(cx - foot)} {num(base - 5)}v5h{num(2 * foot)}v-5")
        + path("p", body)
        + box("p", left - 4, base - h - 3, w + 8, 6, 3)
    )


def bowl_cut(cx: float, base: float, w: float, h: float, content: str = "") -> str:
    """Return the bowl cut open, so that `content` shows; only the wall's line is drawn."""
    half, foot = w / 2, w * 0.2
    left, right = cx - half, cx + half
    wall = (
        f"M{num(left - 5)} {num(base - h)}H{num(left)}C{num(left + 4)} {num(base - h * 0.4)} "
        f"{num(cx - foot - w * 0.12)} {num(base - 5)} {num(cx - foot)} {num(base - 5)}"
        f"H{num(cx + foot)}C{num(cx + foot + w * 0.12)} {num(base - 5)} {num(right - 4)} "
        f"{num(base - h * 0.4)} {num(right)} {num(base - h)}H{num(right + 5)}"
    )
    foot_line = path("i", f"M{num(cx - foot)} {num(base - 5)}v5h{num(2 * foot)}v-5")
    return content + foot_line + path("i", wall)


def heap(cx: float, base: float, w: float, h: float) -> str:
    """Return a heap of flour from the side."""
    half = w / 2
    return path(
        "f",
        f"M{num(cx - half)} {num(base)}C{num(cx - half * 0.6)} {num(base - h * 0.15)} "
        f"{num(cx - half * 0.35)} {num(base - h)} {num(cx)} {num(base - h)}"
        f"S{num(cx + half * 0.6)} {num(base - h * 0.15)} {num(cx + half)} {num(base)}Z",
    )


def bowl_top(cx: float, cy: float, r: float) -> str:
    """Return a bowl seen from above: its rim and the floor of the bowl."""
    return circle("p", cx, cy, r) + circle("i", cx, cy, r - 6)


def bench_scale(cx: float, base: float, w: float = 104) -> str:
    """Return a bench scale with an empty display, its plate 40 units above `base`."""
    half = w / 2
    return (
        path(
            "p",
            f"M{num(cx - half + 14)} {num(base - 32)}H{num(cx + half - 14)}"
            f"L{num(cx + half)} {num(base)}H{num(cx - half)}Z",
        )
        + box("b", cx - 22, base - 23, 44, 15, 3)
        + box("p", cx - half, base - 40, w, 8, 3)
    )


JUG: tuple[Point, ...] = ((-26, -70), (22, -70), (26, 0), (-26, 0))


def _below(points: Sequence[Point], level: float) -> list[Point]:
    kept: list[Point] = []
    for a, b in zip(points, [*points[1:], points[0]], strict=True):
        if a[1] >= level:
            kept.append(a)
        if (a[1] >= level) != (b[1] >= level):
            share = (level - a[1]) / (b[1] - a[1])
            kept.append((a[0] + share * (b[0] - a[0]), level))
    return kept


def jug(x: float, y: float, level: float, tilt: float = 0, thirds: bool = False) -> str:
    """Return a jug whose foot's middle is at (x, y), spout to the left, water up to height `level`.

    A tilted jug keeps its water level; `thirds` marks the wall for three pours.
    """
    turn = radians(tilt)
    turned = [(px * cos(turn) - py * sin(turn), px * sin(turn) + py * cos(turn)) for px, py in JUG]
    water = [(x + px, y + py) for px, py in _below(turned, -level)]
    wall = path("i", "M-36 -78C-30 -74 -27 -70 -26 -62V0H26L22 -74C4 -76 -20 -77 -36 -78")
    handle = path("i", "M23 -60C50 -64 52 -16 25.5 -18")
    marks = path("t", "M-26 -21h12M-26 -42h12M-26 -63h12") if thirds else ""
    back = path("pn", "M-36 -78C-30 -74 -27 -70 -26 -62V0H26L22 -74Z")
    return (
        place(back, x, y, tilt)
        + polygon("bn", water)
        + line("t", *_surface(water))
        + place(handle + wall + marks, x, y, tilt)
    )


def _surface(water: Sequence[Point]) -> list[Point]:
    top = min(py for _, py in water)
    return [point for point in water if point[1] - top < 0.01]


def glass(x: float, base: float, w: float, h: float, level: float) -> str:
    """Return a straight measuring glass standing on `base`, filled to height `level`."""
    return (
        box("bn", x - w / 2, base - level, w, level)
        + path("t", f"M{num(x - w / 2)} {num(base - level)}h{num(w)}")
        + path("i", f"M{num(x - w / 2)} {num(base - h)}V{num(base)}h{num(w)}V{num(base - h)}")
    )


def timer_glass(x: float, base: float) -> str:
    """Return a sand glass, the sign for a rest or a time to keep."""
    top, middle = base - 62, base - 31
    bulb = (
        f"M{num(x - 14)} {num(top)}c0 20 12 22 12 31c0 9 -12 11 -12 31h28"
        "c0 -20 -12 -22 -12 -31c0 -9 12 -11 12 -31z"
    )
    sand_top = f"M{num(x - 9)} {num(top + 16)}h18q-5 8 -9 11q-4 -3 -9 -11z"
    sand_low = (
        f"M{num(x - 12)} {num(base - 2)}Q{num(x)} {num(base - 24)} {num(x + 12)} {num(base - 2)}Z"
    )
    return (
        path("p", bulb)
        + path("fn", sand_top)
        + path("fn", sand_low)
        + path("t", f"M{num(x)} {num(middle)}V{num(base - 12)}")
        + path("i", bulb)
        + box("p", x - 19, top - 5, 38, 6, 2)
        + box("p", x - 19, base - 5, 38, 6, 2)
    )


def cloth_over(x1: float, x2: float, top: float, hem: float) -> str:
    """Return a damp cloth lying over something between `x1` and `x2`, its hem at `hem`."""
    w = x2 - x1
    waves = "".join(
        f"Q{num(x2 - w * (k + 0.5) / 6)} {num(hem + (7 if k % 2 else -7))} "
        f"{num(x2 - w * (k + 1) / 6)} {num(hem)}"
        for k in range(6)
    )
    return path(
        "b",
        f"M{num(x1)} {num(hem)}C{num(x1 + 2)} {num(top + 6)} {num(x1 + w * 0.15)} {num(top)} "
        f"{num(x1 + w * 0.5)} {num(top)}S{num(x2 - 2)} {num(top + 6)} {num(x2)} {num(hem)}{waves}Z",
    ) + path(
        "t",
        f"M{num(x1 + w * 0.2)} {num(top + 16)}Q{num(x1 + w * 0.14)} {num((top + hem) / 2)} "
        f"{num(x1 + w * 0.15)} {num(hem - 8)}M{num(x2 - w * 0.2)} {num(top + 16)}"
        f"Q{num(x2 - w * 0.14)} {num((top + hem) / 2)} {num(x2 - w * 0.15)} {num(hem - 8)}",
    )


# Flour and dough


def crumbs(
    cx: float,
    cy: float,
    reach: float,
    count: int,
    size: tuple[float, float],
    seed: int,
    squash: float = 1,
    fill: str = "f",
) -> str:
    """Return `count` crumbs inside a circle of radius `reach`, kept apart from each other.

    `size` gives the smallest and the largest radius; `squash` flattens the circle.
    """
    random = Random(seed)  # noqa: S311 - a fixed pattern, no secret
    placed: list[tuple[float, float, float]] = []
    for _ in range(count * 60):
        if len(placed) == count:
            break
        r = size[0] + (size[1] - size[0]) * random.random()
        away, angle = (reach - r) * random.random() ** 0.5, 2 * pi * random.random()
        x, y = away * cos(angle), away * sin(angle) * squash
        if all(hypot(x - px, y - py) > r + pr + 1.5 for px, py, pr in placed):
            placed.append((x, y, r))
    d = "".join(_uneven_round(cx + x, cy + y, r, seed + k) for k, (x, y, r) in enumerate(placed))
    return path(f"{fill} t", d)


def dust(x1: float, y1: float, x2: float, y2: float, count: int, seed: int) -> str:
    """Return grains of starch or flour scattered over a rectangle."""
    random = Random(seed)  # noqa: S311 - a fixed pattern, no secret
    d = "".join(
        f"M{num(x1 + (x2 - x1) * random.random())} {num(y1 + (y2 - y1) * random.random())}h.01"
        for _ in range(count)
    )
    return path("t", d, 2.2)


def dough_ball(cx: float, base: float, w: float, h: float) -> str:
    """Return a rested, smooth ball of dough from the side, a little flat on its base."""
    half = w / 2
    return path(
        "f",
        f"M{num(cx - half * 0.7)} {num(base)}C{num(cx - half * 1.12)} {num(base - h * 0.1)} "
        f"{num(cx - half * 1.1)} {num(base - h)} {num(cx)} {num(base - h)}"
        f"S{num(cx + half * 1.12)} {num(base - h * 0.1)} {num(cx + half * 0.7)} {num(base)}Z",
    )


def slab(x1: float, x2: float, base: float, thickness: float) -> str:
    """Return flattened dough from the side."""
    r = thickness / 2
    return box("f", x1, base - thickness, x2 - x1, thickness, r)


def sheet_top(cx: float, cy: float, w: float, h: float, corner: float = 8) -> str:
    """Return a rolled sheet seen from above."""
    return box("f", cx - w / 2, cy - h / 2, w, h, corner)


def folded_side(
    x1: float, x2: float, base: float, layers: int, thickness: float, gap: float = 2
) -> str:
    """Return a sheet folded to and fro, seen on edge, the folds left soft and round."""
    pitch = thickness + gap
    y = base - thickness / 2
    d = f"M{num(x1)} {num(y)}"
    for k in range(layers):
        end = x2 if k % 2 == 0 else x1
        d += f"H{num(end)}"
        if k < layers - 1:
            side = 1 if k % 2 == 0 else -1
            bulge = pitch * 0.9
            d += (
                f"C{num(end + side * bulge)} {num(y)} {num(end + side * bulge)} {num(y - pitch)} "
                f"{num(end)} {num(y - pitch)}"
            )
            y -= pitch
    return band(d, thickness)


def strand(d: str, width: float = 9) -> str:
    """Return one strand along path data `d`."""
    return band(d, width)


def portion_side(cx: float, base: float) -> str:
    """Return one loose portion of cut strands from the side."""
    return "".join(
        band(
            f"M{num(cx + x1)} {num(base - 5)}q{num(xm - x1)} {num(5 - 2 * h)} {num(x2 - x1)} 0",
            9,
        )
        for x1, xm, x2, h in (
            (-26, -6, 22, 24),
            (-22, 8, 30, 20),
            (-34, -18, 10, 18),
            (-12, 16, 36, 14),
            (-38, -20, 0, 11),
        )
    )


def sections(
    widths: Sequence[tuple[float, float]], x: float, base: float, h: float, gap: float
) -> str:
    """Return cut strands seen on their ends, left to right, from (top width, foot width) pairs."""
    shapes = []
    for top, foot in widths:
        wide = max(top, foot)
        inset = (wide - top) / 2, (wide - foot) / 2
        shapes.append(
            polygon(
                "f",
                [
                    (x + inset[0], base - h),
                    (x + wide - inset[0], base - h),
                    (x + wide - inset[1], base),
                    (x + inset[1], base),
                ],
            )
        )
        x += wide + gap
    return "".join(shapes)


# Tools


def pin_end(cx: float, cy: float, r: float) -> str:
    """Return the rolling pin seen from its end."""
    return circle("p", cx, cy, r) + circle("t", cx, cy, r * 0.45)


def pin_top(length: float, r: float) -> str:
    """Return the rolling pin from above, its middle at the origin, lying left to right."""
    half = length / 2
    return box("p", -half, -r, length, 2 * r, 5) + path(
        "t", f"M{num(-half + 9)} {num(-r)}v{num(2 * r)}M{num(half - 9)} {num(-r)}v{num(2 * r)}"
    )


def knife_side() -> str:
    """Return the noodle knife from the side: edge from (-110, 0) to (36, 0), grip on the right."""
    return (
        path("p", "M-110 0V-46Q-110 -50 -106 -50H2Q10 -50 10 -42V-34Q10 -28 16 -28H36V0Z")
        + path("t", "M-110 -7H36")
        + path("b", "M10 -50V-38Q10 -34 14 -34H74Q84 -34 84 -43T74 -52H14Q10 -52 10 -50Z")
    )


def knife_above(length: float = 150, grip: float = 54) -> str:
    """Return the knife from above, tip up at (0, -length), grip down from the origin."""
    return path("p", f"M-2 0V{num(-length)}H2V0Z") + box("b", -7, -2, 14, grip, 6)


def knife_end(height: float = 92) -> str:
    """Return the blade seen from its tip: the edge at the origin, the grip on top."""
    return path("p", f"M0 0L-3 -14V{num(-height)}H3V-14Z") + box("b", -8, -height - 22, 16, 26, 7)


def guide_above(w: float, h: float, fence: float = 9) -> str:
    """Return the guide board from above, its fence along the right side, right edge at x = 0."""
    return box("p", -w, 0, w, h, 3) + box("b", -fence, 0, fence, h, 2)


def guide_end(w: float) -> str:
    """Return the guide board from its end: fence on the right at x = 0, resting on y = 0."""
    return path("b", f"M{num(-w)} 0V-6H-9V-34H0V0Z")


def cutting_board(x1: float, x2: float, y: float = BENCH_Y) -> str:
    """Return the cutting board from the side, its foot at `y`, 12 units high."""
    return box("p", x1, y - 12, x2 - x1, 12, 3)


def caliper(x: float, y: float, opening: float) -> str:
    """Return a caliper from the side; its jaws close on `opening` units, centred on (x, y)."""
    up, low = y - opening / 2, y + opening / 2
    return (
        box("p", x + 58, up - 56, 26, 170, 2)
        + path("p", f"M{num(x)} {num(up)}l6 -9l34 -15h50v24z")
        + path("b", f"M{num(x)} {num(low)}l6 9l34 15v20h54v-44z")
        + circle("p", x + 67, low + 24, 7)
        + path(
            "t",
            "".join(
                f"M{num(x + 84)} {num(low + 50 + 6 * k)}h{-12 if k % 5 == 0 else -7}"
                for k in range(6)
            ),
        )
    )


def probe(x: float, y: float, turn: float) -> str:
    """Return a probe thermometer, its point at (x, y), an empty display on its head."""
    return place(
        path("i", "M0 0V-66") + box("p", -15, -104, 30, 40, 6) + box("b", -9, -97, 18, 12, 2),
        x,
        y,
        turn,
    )


def magnifier(cx: float, cy: float, r: float, x: float, y: float) -> str:
    """Return the empty round inset that enlarges the small ring at (x, y)."""
    away = hypot(cx - x, cy - y)
    ux, uy = (cx - x) / away, (cy - y) / away
    return (
        circle("t", x, y, 9)
        + line("t", (x + 9 * ux, y + 9 * uy), (cx - r * ux, cy - r * uy))
        + circle("p", cx, cy, r)
    )


# The measuring card

# Modules of its four markers, clockwise from top left: "1" is white.
MARKERS = (
    "1011 0101 0011 0010",
    "0000 1111 1001 1010",
    "0011 0011 0010 1101",
    "1001 1001 0100 0110",
)


def _marker(x: float, y: float, pad: float, modules: str) -> str:
    """Return a marker on its white pad, whose top-left corner is (x, y)."""
    module = pad / 8
    white = "".join(
        f"M{num(x + (2 + column) * module)} {num(y + (2 + row) * module)}"
        f"h{num(module)}v{num(module)}h{num(-module)}z"
        for row, line in enumerate(modules.split())
        for column, bit in enumerate(line)
        if bit == "1"
    )
    black = box("k", x + module, y + module, 6 * module, 6 * module)
    return box("pn", x, y, pad, pad) + black + path("pn", white)


def card_corners(w: float) -> list[Point]:
    """Return the middles of the markers of a card `w` wide, centred on the origin."""
    x, y = w * 0.4125, w * 0.266
    return [(-x, -y), (x, -y), (x, y), (-x, y)]


def measuring_card(w: float) -> str:
    """Return the measuring card from above, `w` wide, centred on the origin, its bar below."""
    h, pad = w * 210 / 297, w * 32 / 297
    markers = "".join(
        _marker(x - pad / 2, y - pad / 2, pad, modules)
        for (x, y), modules in zip(card_corners(w), MARKERS, strict=True)
    )
    bar = w * 50 / 297
    line_of_bar = path(
        "t",
        f"M{num(-bar)} {num(h * 0.386)}h{num(2 * bar)}m0 -3v6M{num(-bar)} {num(h * 0.386 - 3)}v6",
    )
    return box("b", -w / 2, -h / 2, w, h, 3) + markers + line_of_bar


# Feet and film


def film(x1: float, x2: float, y: float, cls: str = "i") -> str:
    """Return clean film or a bag's wall from the side."""
    return path(cls, f"M{num(x1)} {num(y)}H{num(x2)}")


def sock_side() -> str:
    """Return a foot in a clean sock from the side, heel under the origin, toes to the right."""
    return path(
        "b",
        "M-2 -108C-1 -76 3 -60 0 -42C-2 -28 -14 -16 -10 -5C-8 2 2 2 10 1C24 0 30 -4 42 -3"
        "C54 -2 66 2 80 1C94 0 97 -12 87 -19C76 -27 62 -30 51 -42C43 -52 42 -78 44 -108Z",
    ) + path("t", "M-2 -94H44M7 1C14 -6 12 -20 -5 -24M72 1C66 -6 68 -16 80 -23")


def sole(length: float = 62) -> str:
    """Return a socked foot from above, heel at the origin, toes up."""
    k = length / 62
    points = [
        (0, 4),
        (12, 0),
        (12, -16),
        (12, -30),
        (15, -42),
        (17, -56),
        (8, -68),
        (-6, -66),
        (-14, -54),
        (-13, -42),
        (-10, -30),
        (-11, -16),
        (-12, 0),
    ]
    return path("b", smooth([(px * k, py * k) for px, py in points]))


# Hands: plain contours, without skin colour


def hand_above(
    lengths: Sequence[float] = (34, 40, 36, 27),
    spread: float = 0,
    thumb: Point = (-33, -6),
    arm: float = 70,
    bent: bool = False,
) -> str:
    """Return the back of a hand from above: palm at the origin, fingers up, thumb on the left.

    `lengths` run from the forefinger to the little finger; `spread` fans them out (degrees).
    Where they are `bent` they end at a knuckle, and the tips are out of sight below.
    """
    roots = [(-17.2, -13), (-5.7, -17), (5.8, -16), (17.2, -10)]
    width = 12.5
    fingers, marks = [], []
    for k, ((x, y), length) in enumerate(zip(roots, lengths, strict=True)):
        angle = radians(-90 + (k - 1.5) * spread)
        tip = (x + length * cos(angle), y + length * sin(angle))
        fingers.append((polyline([(x, y + 8), (x, y), tip]), width + 1.5))
        mark = "M-4.5 6Q0 1 4.5 6M-4 12Q0 9 4 12" if bent else "M-3 1Q0 -5 3 1"
        marks.append(place(path("t", mark), tip[0], tip[1], degrees(angle) + 90))
    fingers.append((polyline([(-12, 20), (-20, 12), thumb]), 15))
    palm = "M-22 -12C-24 4 -22 20 -13 32H13C20 20 23 4 23 -8Z"
    fingers.append((f"M0 28V{num(arm - 13)}", 31))
    cuff = box("b", -19, arm - 8, 38, 18, 4) if arm > 44 else ""
    return merged(fingers, [palm]) + "".join(marks) + cuff


def hand_flat() -> str:
    """Return a flat hand on edge, palm down at y = 0, fingertips at (62, 0), arm to the left."""
    contour = (
        "M-70 -32L-34 -24C-18 -24 -4 -27 8 -24C24 -20 44 -15 56 -11C64 -8 64 -1 57 0"
        "C38 2 20 1 4 2C-10 4 -24 2 -34 -2L-70 -6Z"
    )
    thumb = "M-16 -12C-6 -8 8 -5 20 -1C27 1 26 7 19 7C8 8 -4 6 -14 2"
    return (
        path("p", contour)
        + path("p", thumb)
        + path("t", "M50 -8Q55 -8 58 -5")
        + place(box("b", -10, -16, 20, 32, 4), -72, -19, 8)
    )


def fist(dough: str = "") -> str:
    """Return a closed hand from the finger side, arm downward; `dough` shows above the fingers."""
    columns = [(-21, -16), (-7.5, -20), (6, -19), (19, -13)]
    back = merged([("M0 20V62", 34)], ["M-27 -16Q0 -30 25 -12L24 18Q14 34 0 34T-24 18Z"])
    fingers = "".join(band(f"M{x} {y}v22", 15.5, "p") for x, y in columns)
    thumb = band("M-19 33Q-14 21 8 20", 17, "p")
    return (
        dough
        + back
        + fingers
        + thumb
        + path("t", "M3 15.5q5 .5 6 5")
        + box("b", -21, 66, 42, 18, 4)
    )


def pressing_finger() -> str:
    """Return a hand whose forefinger presses down at the origin, arm up to the right."""
    arm = merged([("M44 -66L84 -98", 34)], ["M10 -66Q30 -92 58 -80L66 -58Q50 -40 30 -42Z"])
    folded = "".join(band(f"M{x} {y}l-6 12", 15, "p") for x, y in ((54, -54), (43, -52), (32, -52)))
    finger = band("M24 -62Q6 -54 2 -36L0 -8", 15, "p")
    cuff = place(box("b", -4, -21, 20, 42, 4), 90, -103, -39)
    return finger + arm + folded + path("t", "M-4 -7Q-4 -1 -1 1") + cuff


# Signs on a screen or a sheet of paper, and water


def screen(x: float, y: float, w: float, h: float) -> str:
    """Return a phone or a tablet lying flat with an empty screen; (x, y) is its corner."""
    return box("p", x, y, w, h, 12) + box("t", x + 8, y + 14, w - 16, h - 28, 2)


def clipboard(x: float, y: float, w: float, h: float) -> str:
    """Return a clipboard with an empty sheet; (x, y) is its top-left corner."""
    return (
        box("b", x, y, w, h, 6)
        + box("p t", x + 7, y + 13, w - 14, h - 20, 1)
        + box("p", x + w / 2 - 15, y - 7, 30, 13, 4)
    )


def drop(x: float, y: float, r: float) -> str:
    """Return a drop of water whose round part has radius `r` and its middle at (x, y)."""
    return path(
        "b t",
        f"M{num(x)} {num(y - 2.2 * r)}C{num(x + r * 0.5)} {num(y - 1.2 * r)} {num(x + r)} "
        f"{num(y - 0.6 * r)} {num(x + r)} {num(y)}A{num(r)} {num(r)} 0 0 1 {num(x - r)} {num(y)}"
        f"C{num(x - r)} {num(y - 0.6 * r)} {num(x - r * 0.5)} {num(y - 1.2 * r)} {num(x)} "
        f"{num(y - 2.2 * r)}Z",
    )


# Hot water, baskets, bowls


def pot_cut(
    cx: float, base: float, w: float, h: float, level: float, content: str = "", boil: bool = False
) -> str:
    """Return a pot cut open, standing on `base`, its water `level` high, flat or at a full boil.

    `content` stands in the water, in front of it and behind the wall.
    """
    left, right, top, surface = cx - w / 2, cx + w / 2, base - h, base - level
    ends = f"V{num(base - 10)}q0 10 -10 10H{num(left + 10)}q-10 0 -10 -10Z"
    water = path("bn", f"M{num(left)} {num(surface)}{_surface_line(left, right, boil)}{ends}")
    line_of_water = path("t", f"M{num(left)} {num(surface)}{_surface_line(left, right, boil)}")
    wall = (
        f"M{num(left - 6)} {num(top)}H{num(left)}V{num(base - 10)}q0 10 10 10H{num(right - 10)}"
        f"q10 0 10 -10V{num(top)}H{num(right + 6)}"
    )
    return water + content + line_of_water + path("i", wall + _ears(left, right, top + 14))


def _surface_line(left: float, right: float, boil: bool) -> str:
    if not boil:
        return f"H{num(right)}"
    count = max(3, round((right - left) / 26))
    step = (right - left) / count
    heights = (-13, -20, -9, -17, -22, -11)
    return "".join(f"q{num(step / 2)} {num(heights[k % 6])} {num(step)} 0" for k in range(count))


def _ears(left: float, right: float, y: float) -> str:
    """Return the path data of the two handles of a pot."""
    return f"M{num(left)} {num(y)}h-10q-6 0 -6 6t6 6h10M{num(right)} {num(y)}h10q6 0 6 6t-6 6h-10"


def pot_side(cx: float, base: float, w: float, h: float) -> str:
    """Return a pot from the side, standing on `base`."""
    left, right, top = cx - w / 2, cx + w / 2, base - h
    body = f"M{num(left)} {num(top)}V{num(base - 10)}q0 10 10 10H{num(right - 10)}q10 0 10 -10V"
    return path("p", f"{body}{num(top)}Z{_ears(left, right, top + 14)}") + box(
        "p", left - 5, top - 5, w + 10, 7, 3
    )


def bubbles(
    x1: float, y1: float, x2: float, y2: float, count: int, size: tuple[float, float], seed: int
) -> str:
    """Return bubbles in a rectangle, kept apart; `size` gives the least and the largest radius."""
    random = Random(seed)  # noqa: S311 - a fixed pattern, no secret
    placed: list[tuple[float, float, float]] = []
    for _ in range(count * 60):
        if len(placed) == count:
            break
        r = size[0] + (size[1] - size[0]) * random.random()
        x, y = x1 + (x2 - x1) * random.random(), y1 + (y2 - y1) * random.random()
        if all(hypot(x - px, y - py) > r + pr + 1.5 for px, py, pr in placed):
            placed.append((x, y, r))
    d = "".join(_round(x, y, r) for x, y, r in placed)
    return path("p t", d)


def _round(x: float, y: float, r: float) -> str:
    """Return the path data of a circle, for many in one path."""
    arc = f"a{num(r)} {num(r)} 0 1 0 "
    return f"M{num(x - r)} {num(y)}{arc}{num(2 * r)} 0{arc}{num(-2 * r)} 0"


def steam(x: float, base: float, h: float, count: int = 3, gap: float = 18) -> str:
    """Return `count` waves of steam that rise `h` from `base`, centred on `x`."""
    q = h / 4
    d = "".join(
        f"M{num(x + (k - (count - 1) / 2) * gap)} {num(base - 4 * (k % 2))}"
        f"q-7 {num(-q)} 0 {num(-2 * q)}t0 {num(-2 * q)}"
        for k in range(count)
    )
    return path("t", d)


def burner(cx: float, base: float, w: float, flame: float = 14) -> str:
    """Return a gas ring on `base`, its flames up to `flame` high, its rests at base - 18."""
    count = max(3, round(w / 18))
    step = w / count
    tongues = "".join(
        f"M{num(cx - w / 2 + step * (k + 0.5) - 5)} {num(base - 3)}"
        f"q-1 {num(-flame * 0.5)} 5 {num(-flame)}q6 {num(flame * 0.5)} 5 {num(flame)}z"
        for k in range(count)
    )
    rests = f"M{num(cx - w / 2)} {num(base)}v-18h10M{num(cx + w / 2)} {num(base)}v-18h-10"
    return path("b t", tongues) + path("i", rests)


def deep_basket(content: str = "") -> str:
    """Return a deep noodle basket from the side: its rim's middle at the origin, 58 deep.

    The handle goes up to the right; `content` shows through the mesh.
    """
    mesh = "".join(
        f"M{x} 2L{num(x * 0.72)} {y}" for x, y in ((-16, 53), (-5, 57), (6, 57), (17, 52))
    )
    rings = "".join(f"M{num(-x)} {y}H{num(x)}" for x, y in ((25.5, 15), (24, 30), (21, 44)))
    return (
        content
        + path("t", mesh + rings)
        + path("i", "M-27 0L-24 34Q-22 58 0 58T24 34L27 0")
        + path("i", "M-31 0H27L40 -3L84 -32")
        + place(box("p", 0, -5, 34, 10, 5), 80, -29, -33)
    )


def flat_basket(cx: float, base: float, w: float, h: float) -> str:
    """Return a shallow draining basket from the side, its rim `h` above `base`."""
    left, right, top = cx - w / 2, cx + w / 2, base - h
    foot = w * 0.28
    body = (
        f"M{num(left)} {num(top)}Q{num(cx - foot - 8)} {num(base)} {num(cx - foot)} {num(base)}"
        f"H{num(cx + foot)}Q{num(cx + foot + 8)} {num(base)} {num(right)} {num(top)}Z"
    )
    count = 9
    ribs = "".join(
        f"M{num(left + w * k / count)} {num(top)}"
        f"L{num(cx + (k / count - 0.5) * 2.2 * foot)} {num(base)}"
        for k in range(1, count)
    )
    hoop = f"M{num(left + w * 0.09)} {num(top + h * 0.5)}H{num(right - w * 0.09)}"
    return path("p", body) + path("t", ribs + hoop) + box("p", left - 5, top - 4, w + 10, 7, 3)


def ladle(x: float, y: float, turn: float = 0) -> str:
    """Return a ladle from the side: the middle of its rim at (x, y), its handle up to the right."""
    return place(
        path("i", "M21 0L30 -70Q32 -82 40 -80") + path("b", "M-22 0H22Q20 22 0 22T-22 0Z"),
        x,
        y,
        turn,
    )


def chopsticks(x: float, y: float, turn: float = 0, gap: float = 10, length: float = 120) -> str:
    """Return long cooking chopsticks, their tips at (x, y), pointing down before `turn`."""
    sticks = "".join(
        f"M{num(side * gap * 0.2 - 1.5)} 0L{num(side * gap - 3.5)} {num(-length)}h7"
        f"L{num(side * gap * 0.2 + 1.5)} 0Z"
        for side in (-0.5, 0.5)
    )
    return place(path("p t", sticks), x, y, turn)


def tap(x: float, y: float) -> str:
    """Return a water tap whose mouth is at (x, y), its column on the right."""
    return path(
        "p",
        f"M{num(x - 8)} {num(y)}v-16q0 -22 22 -22h36v-8h18v8h14v18H{num(x + 18)}q-10 0 -10 10v10z",
    ) + path("b", f"M{num(x + 42)} {num(y - 46)}v-8h34v8z")


def water_jet(x: float, y1: float, y2: float, w: float = 9) -> str:
    """Return a jet of water that falls from `y1` to `y2`."""
    half = w / 2
    sides = f"M{num(x - half)} {num(y1)}V{num(y2)}M{num(x + half)} {num(y1)}V{num(y2)}"
    return box("bn", x - half, y1, w, y2 - y1) + path("t", sides)


def drops(points: Iterable[Point], r: float = 3.5) -> str:
    """Return falling drops of water, the round part of each of radius `r`."""
    return "".join(drop(x, y, r) for x, y in points)


def ice(points: Iterable[Point], size: float = 18) -> str:
    """Return cubes of ice, each around its point, each turned a little otherwise."""
    half = size / 2
    cube = box("p t", -half, -half, size, size, 3) + path(
        "t", f"M{num(-half + 4)} {num(half - 8)}V{num(-half + 4)}H{num(half - 9)}"
    )
    return "".join(place(cube, x, y, 17 * (k % 4) - 22) for k, (x, y) in enumerate(points))


def timer_dial(cx: float, cy: float, r: float, share: float) -> str:
    """Return a kitchen timer with `share` of its round still to run (0 to 1, below 1)."""
    angle = 2 * pi * share - pi / 2
    inner = r - 7
    x, y = cx + inner * cos(angle), cy + inner * sin(angle)
    large = 1 if share > 0.5 else 0
    slice_ = (
        f"M{num(cx)} {num(cy)}V{num(cy - inner)}"
        f"A{num(inner)} {num(inner)} 0 {large} 1 {num(x)} {num(y)}Z"
    )
    left = path("b t", slice_) if share else ""
    ticks = "".join(
        f"M{num(cx + r * 0.98 * cos(a))} {num(cy + r * 0.98 * sin(a))}"
        f"L{num(cx + inner * cos(a))} {num(cy + inner * sin(a))}"
        for a in (k * pi / 6 for k in range(12))
    )
    return (
        box("p", cx - 5, cy - r - 9, 10, 12, 2)
        + circle("p", cx, cy, r)
        + path("t", ticks)
        + left
        + path("i", f"M{num(cx)} {num(cy)}L{num(x)} {num(y)}")
    )


def order_slip(x: float, y: float, w: float, h: float, lines: int = 3) -> str:
    """Return a slip with an order: lines for words, torn below; its top-left corner at (x, y)."""
    teeth = 6
    step = w / teeth
    torn = "".join(f"l{num(-step / 2)} -5l{num(-step / 2)} 5" for _ in range(teeth))
    rows = "".join(
        f"M{num(x + 9)} {num(y + 16 + 14 * k)}h{num((w - 18) * (1 if k % 2 == 0 else 0.65))}"
        for k in range(lines)
    )
    return path("p", f"M{num(x)} {num(y)}h{num(w)}v{num(h)}{torn}Z") + path("t", rows)


def soup_bowl(
    cx: float, base: float, w: float, h: float, content: str = "", *, cut: bool = False
) -> str:
    """Return a noodle bowl from the side; with `cut` it is open and shows its `content`."""
    left, right, foot = cx - w / 2, cx + w / 2, w * 0.17
    wall = (
        f"M{num(left)} {num(base - h)}C{num(left + 2)} {num(base - h * 0.35)} "
        f"{num(cx - foot - w * 0.14)} {num(base - 9)} {num(cx - foot)} {num(base - 9)}"
        f"H{num(cx + foot)}C{num(cx + foot + w * 0.14)} {num(base - 9)} {num(right - 2)} "
        f"{num(base - h * 0.35)} {num(right)} {num(base - h)}"
    )
    stand = f"M{num(cx - foot)} {num(base - 9)}l3 9h{num(2 * foot - 6)}l3 -9"
    if cut:
        rims = f"M{num(left - 4)} {num(base - h)}h4M{num(right)} {num(base - h)}h4"
        return content + path("i", wall + stand + rims)
    hoop = f"M{num(left + w * 0.03)} {num(base - h * 0.74)}H{num(right - w * 0.03)}"
    return (
        content
        + path("p", stand + "Z")
        + path("p", wall + "Z")
        + path("t", hoop)
        + box("p", left - 3, base - h - 3, w + 6, 6, 3)
    )


def soup_level(cx: float, base: float, w: float, h: float, share: float) -> str:
    """Return the stock in a cut `soup_bowl` of the same size, up to `share` of its height."""
    left, foot = cx - w / 2, cx - w * 0.17
    wall = (left, base - h), (left + 2, base - h * 0.35), (foot - w * 0.14, base - 9)
    return _filled((*wall, (foot, base - 9)), cx, base - 9 - (h - 9) * share)


def bowl_water(cx: float, base: float, w: float, h: float, below: float = 8) -> str:
    """Return the water in a `bowl_cut` of the same size, its surface `below` under the rim."""
    left, foot = cx - w / 2, cx - w * 0.2
    wall = (left, base - h), (left + 4, base - h * 0.4), (foot - w * 0.12, base - 5)
    return _filled((*wall, (foot, base - 5)), cx, base - h + below)


def _filled(wall: tuple[Point, Point, Point, Point], cx: float, y: float) -> str:
    """Return water up to the height `y` between a wall, a curve down to the foot, and its mirror.

    The curve is cut at `y` by halving (de Casteljau).
    """
    low, high = 0.0, 1.0
    for _ in range(30):
        t = (low + high) / 2
        rest: list[Point] = []
        points: list[Point] = list(wall)
        while points:
            rest.append(points[-1])
            points = [
                (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for a, b in pairwise(points)
            ]
        low, high = (t, high) if rest[-1][1] < y else (low, t)
    (x3, y3), (x2, y2), (x1, y1), (x0, y0) = rest
    body = (
        f"M{num(x0)} {num(y0)}C{num(x1)} {num(y1)} {num(x2)} {num(y2)} {num(x3)} {num(y3)}"
        f"H{num(2 * cx - x3)}C{num(2 * cx - x2)} {num(y2)} {num(2 * cx - x1)} {num(y1)} "
        f"{num(2 * cx - x0)} {num(y0)}Z"
    )
    return path("bn", body) + path("t", f"M{num(x0)} {num(y0)}H{num(2 * cx - x0)}")


def leek_rings(cx: float, cy: float, reach: float, count: int, seed: int) -> str:
    """Return rings of cut spring onion round (cx, cy), kept apart."""
    random = Random(seed)  # noqa: S311 - a fixed pattern, no secret
    placed: list[Point] = []
    for _ in range(count * 60):
        if len(placed) == count:
            break
        away, angle = reach * random.random() ** 0.5, 2 * pi * random.random()
        x, y = cx + away * cos(angle), cy + away * sin(angle)
        if all(hypot(x - px, y - py) > 13 for px, py in placed):
            placed.append((x, y))
    return path("b t", "".join(_round(x, y, 5.5) + _round(x, y, 2.2) for x, y in placed))


def egg_half(cx: float, cy: float) -> str:
    """Return half a boiled egg from above."""
    return ellipse("p", cx, cy, 23, 18) + circle("f", cx + 2, cy, 9.5)


def fried_tofu(cx: float, cy: float, turn: float = 0) -> str:
    """Return a three-cornered piece of fried tofu from above."""
    return place(
        path("f", "M-30 20Q-34 20 -31 15L-4 -22Q0 -26 4 -22L31 15Q34 20 30 20Z")
        + path("t", "M-12 6q4 -5 8 0M6 10q4 -5 8 0M-2 -8q4 -5 7 0"),
        cx,
        cy,
        turn,
    )


def fish_cake(cx: float, cy: float, turn: float = 0) -> str:
    """Return a slice of fish cake: a half round with its coloured rind."""
    return place(
        path("b", "M-24 12V4A24 24 0 0 1 24 4V12Z")
        + path("pn", "M-18 12V4A18 18 0 0 1 18 4V12Z")
        + path("t", "M-18 12V4A18 18 0 0 1 18 4V12")
        + path("i", "M-24 12H24"),
        cx,
        cy,
        turn,
    )


def fritter(cx: float, cy: float, r: float, seed: int) -> str:
    """Return a crisp round fritter from above."""
    return blob("f", cx, cy, r, seed, 0.16) + crumbs(cx, cy, r * 0.75, 9, (2, 4), seed, fill="p")


# Stock


def kelp(length: float) -> str:
    """Return a piece of kelp lying flat, centred on the origin, its edges wavy."""
    half, count = length / 2, max(3, round(length / 18))
    step = length / count
    upper = "".join(f"q{num(step / 2)} {-5 if k % 2 else 4} {num(step)} 0" for k in range(count))
    lower = "".join(f"q{num(-step / 2)} {5 if k % 2 else -4} {num(-step)} 0" for k in range(count))
    return path("f", f"M{num(-half)} -9{upper}q4 9 0 18{lower}q-4 -9 0 -18Z") + path(
        "t", f"M{num(-half + 8)} -2H{num(half - 8)}M{num(-half + 10)} 3H{num(half - 12)}"
    )


def flakes(x1: float, y1: float, x2: float, y2: float, count: int, seed: int) -> str:
    """Return shaved fish flakes in a rectangle, thin and curled, kept apart from each other."""
    random = Random(seed)  # noqa: S311 - a fixed pattern, no secret
    shaving = path("f t", "M-10 -1Q-5 -9 0 -4T10 -5V0Q5 6 0 1T-10 4Z")
    placed: list[Point] = []
    found = ""
    for _ in range(count * 60):
        if len(placed) == count:
            break
        x, y = x1 + (x2 - x1) * random.random(), y1 + (y2 - y1) * random.random()
        if all(hypot(x - px, y - py) > 17 for px, py in placed):
            placed.append((x, y))
            found += place(shaving, round(x), round(y), round(180 * random.random()))
    return found


def jar(x: float, base: float, w: float, h: float, level: float) -> str:
    """Return a closed jar of seasoning with an empty label, filled to height `level`."""
    left = x - w / 2
    return (
        box("p", left, base - h, w, h, 7)
        + path(
            "fn",
            f"M{num(left + 2)} {num(base - level)}h{num(w - 4)}V{num(base - 6)}q0 4 -4 4"
            f"h{num(12 - w)}q-4 0 -4 -4Z",
        )
        + path("t", f"M{num(left)} {num(base - level)}h{num(w)}")
        + box("b", left + 4, base - h - 10, w - 8, 12, 3)
        + box("p t", x - w * 0.28, base - level * 0.72, w * 0.56, level * 0.4, 2)
    )


# Protection


def goggles() -> str:
    """Return safety goggles from the front, centred on the origin."""
    return (
        path("t", "M-52 -4H-40M52 -4H40M-52 6H-40M52 6H40")
        + path("p", "M-42 -10Q-42 -18 -32 -18H32Q42 -18 42 -10V4Q42 18 28 18Q14 18 10 8Q0 -2 -10 8")
        + path("b", "M-34 -8Q-34 -11 -30 -11H-10V0Q-14 11 -24 11Q-34 11 -34 2Z")
        + path("b", "M34 -8Q34 -11 30 -11H10V0Q14 11 24 11Q34 11 34 2Z")
        + path("i", "M-10 8Q-14 18 -28 18Q-42 18 -42 4V-10")
    )


def glove() -> str:
    """Return a rubber glove lying flat, its palm at the origin, its fingers up, thumb left."""
    fingers = [
        (polyline([(x, y + 8), (x, y), (x * 1.2, y - length)]), 14)
        for x, y, length in ((-14, -10, 24), (-4.7, -13, 28), (4.7, -12, 26), (14, -8, 20))
    ]
    fingers += [("M-10 18L-17 10L-25 -4", 14), ("M0 24V58", 36)]
    return merged(fingers, ["M-18 -10C-20 4 -18 18 -12 30H12C17 18 20 4 19 -6Z"], "b") + box(
        "b", -21, 62, 42, 12, 4
    )


# Stores, seasons, and what a bench carries


def sack(cx: float, base: float, w: float, h: float, sign: str = "") -> str:
    """Return an upright flour sack with a folded, sewn top; `sign` is drawn on its middle."""
    left, right, top = cx - w / 2, cx + w / 2, base - h
    body = (
        f"M{num(left + 4)} {num(top)}H{num(right - 4)}Q{num(right + 5)} {num(top + h * 0.5)} "
        f"{num(right)} {num(base - 5)}Q{num(right)} {num(base)} {num(right - 6)} {num(base)}"
        f"H{num(left + 6)}Q{num(left)} {num(base)} {num(left)} {num(base - 5)}"
        f"Q{num(left - 5)} {num(top + h * 0.5)} {num(left + 4)} {num(top)}Z"
    )
    return (
        path("p", body)
        + box("b", left + 1, top - 8, w - 2, 14, 2)
        + path("l", f"M{num(left + 8)} {num(top - 1)}H{num(right - 8)}")
        + place(sign, cx, base - h * 0.5)
    )


def tub(cx: float, base: float, w: float, h: float, sign: str = "", *, lid: bool = True) -> str:
    """Return a flour tub with or without its lid; `sign` is drawn on its middle."""
    left, right, top = cx - w / 2, cx + w / 2, base - h
    wall = (
        f"M{num(left)} {num(top)}L{num(left + 5)} {num(base - 6)}Q{num(left + 6)} {num(base)} "
        f"{num(left + 12)} {num(base)}H{num(right - 12)}Q{num(right - 6)} {num(base)} "
        f"{num(right - 5)} {num(base - 6)}L{num(right)} {num(top)}Z"
    )
    cover = box("b", left - 5, top - 9, w + 10, 12, 4) if lid else ""
    return path("p", wall) + cover + place(sign, cx, base - h * 0.46)


def wheat_ear(size: float = 34) -> str:
    """Return an ear of wheat, its middle at the origin, upright and `size` high."""
    k = size / 34
    side = "".join(
        f"M{num(k)} {num((7 - 7 * row) * k)}q{num(9 * k)} {num(-1 * k)} {num(8 * k)} {num(-11 * k)}"
        f"q{num(-9 * k)} {num(k)} {num(-8 * k)} {num(11 * k)}z"
        for row in range(3)
    )
    top = (
        f"M0 {num(-8 * k)}q{num(-6 * k)} {num(-5 * k)} 0 {num(-11 * k)}"
        f"q{num(6 * k)} {num(6 * k)} 0 {num(11 * k)}z"
    )
    half = path("f t", side)
    return (
        path("t", f"M0 {num(17 * k)}V{num(-8 * k)}")
        + half
        + place(half, mirror=True)
        + path("f t", top)
    )


def buckwheat_grain(size: float = 24) -> str:
    """Return a three-edged grain of buckwheat, its middle at the origin, `size` high."""
    k = size / 24
    return path(
        "b t",
        f"M0 {num(-12 * k)}Q{num(9 * k)} {num(-3 * k)} {num(11 * k)} {num(8 * k)}"
        f"Q0 {num(15 * k)} {num(-11 * k)} {num(8 * k)}Q{num(-9 * k)} {num(-3 * k)} "
        f"0 {num(-12 * k)}Z",
    ) + path("t", f"M0 {num(-12 * k)}Q{num(-2 * k)} 0 {num(2 * k)} {num(11 * k)}")


def sun(x: float, y: float, r: float) -> str:
    """Return the sign for heat or light: a sun whose disc has radius `r`."""
    rays = "".join(
        f"M{num(x + (r + 5) * cos(a))} {num(y + (r + 5) * sin(a))}"
        f"L{num(x + (r + 11) * cos(a))} {num(y + (r + 11) * sin(a))}"
        for a in (2 * pi * k / 8 for k in range(8))
    )
    return circle("f", x, y, r) + path("i", rays)


def snowflake(x: float, y: float, r: float) -> str:
    """Return the sign for cold: a snowflake of radius `r`."""
    d = ""
    for k in range(6):
        a = pi / 3 * k + pi / 6
        d += f"M{num(x)} {num(y)}L{num(x + r * cos(a))} {num(y + r * sin(a))}"
        for side in (-0.5, 0.5):
            d += (
                f"M{num(x + r * 0.58 * cos(a))} {num(y + r * 0.58 * sin(a))}"
                f"L{num(x + r * 0.92 * cos(a + side * 0.75))} "
                f"{num(y + r * 0.92 * sin(a + side * 0.75))}"
            )
    return path("i", d)


def wall_thermometer(x: float, y: float, h: float, share: float) -> str:
    """Return a room thermometer, its top at (x, y), filled to `share` of its tube (0 to 1)."""
    foot, tube = y + h - 11, h - 30
    level = foot - 8 - tube * share
    marks = "".join(f"M{num(x + 11)} {num(y + 11 + tube * k / 5)}h-5" for k in range(6))
    return (
        box("p", x - 15, y, 30, h, 8)
        + path("t", f"M{num(x)} {num(level)}V{num(y + 9)}{marks}")
        + merged(
            [(f"M{num(x)} {num(foot - 6)}V{num(level)}", 9)],
            [f"M{num(x - 6)} {num(foot - 4)}a6 6 0 1 0 12 0a6 6 0 1 0 -12 0z"],
            fill="b",
        )
    )


def bunched_cloth() -> str:
    """Return a folded wiping cloth from above, some 112 wide, its middle at the origin."""
    return path(
        "p",
        "M-56 -20Q-32 -34 -2 -26Q30 -36 56 -20Q66 2 58 22Q34 34 4 26Q-30 36 -54 22Q-64 0 -56 -20Z",
    ) + path("t", "M-44 -10Q-20 -18 -8 -12M-48 12Q-36 20 -20 16M26 -12Q40 -16 50 -6")


def waste_bin(cx: float, base: float) -> str:
    """Return a waste bin from the side, its rim 60 above `base`."""
    return (
        path("p", f"M{num(cx - 41)} {num(base - 56)}h82l-10 56h-62z")
        + path("t", f"M{num(cx - 21)} {num(base - 44)}l5 32m16 -32v32m21 -32l-5 32")
        + box("p", cx - 47, base - 64, 94, 10, 4)
    )


def scraper() -> str:
    """Return a dough scraper from above, 66 wide, its edge down along y = 0."""
    return box("b", -33, -44, 66, 18, 6) + path("p", "M-31 -28H31L33 0H-33Z")


# Motion


def moving(name: str, fragment: str, seconds: float, stops: Mapping[int, str]) -> str:
    """Return `fragment`, able to move in a loop of `seconds`; `name` is its own in the drawing.

    `stops` gives what holds at each per cent of the loop, as CSS: "transform:translate(0,-9px)".
    What a stop leaves out is as drawn. The drawing stands still, as drawn, unless its address ends
    in "#moving" and the reader has not asked for reduced motion: an animation in a picture can
    neither be stopped by the page nor, in some browsers, see that wish, so the page must ask.
    """
    frames = "".join(f"{percent}%{{{css}}}" for percent, css in stops.items())
    return (
        "<style>@media (prefers-reduced-motion:no-preference){"
        f"#{MOVING}:target #m-{name}{{animation:m-{name} {num(seconds)}s infinite}}}}"
        f"@keyframes m-{name}{{{frames}}}</style>"
        f'<g id="m-{name}">{fragment}</g>'
    )
