"""Shared parts of the line drawings: each function returns a fragment of SVG.

Lengths are in drawing units; every drawing is 320 wide and 240 high, y grows downward. Side views
stand on the bench line, top views lie flat. Colour comes from classes alone, so that one file
serves light and dark.
"""

from collections.abc import Iterable, Sequence
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
    """Return a whole SVG file around `body`."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" '
        f'width="{WIDTH}" height="{HEIGHT}"><style>{STYLE}</style>{body}</svg>\n'
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
    nails: bool = True,
) -> str:
    """Return the back of a hand from above: palm at the origin, fingers up, thumb on the left.

    `lengths` run from the forefinger to the little finger; `spread` fans them out (degrees).
    """
    roots = [(-17.2, -13), (-5.7, -17), (5.8, -16), (17.2, -10)]
    width = 12.5
    fingers, marks = [], []
    for k, ((x, y), length) in enumerate(zip(roots, lengths, strict=True)):
        angle = radians(-90 + (k - 1.5) * spread)
        tip = (x + length * cos(angle), y + length * sin(angle))
        fingers.append((polyline([(x, y + 8), (x, y), tip]), width + 1.5))
        if nails:
            marks.append(place(path("t", "M-3 1Q0 -5 3 1"), tip[0], tip[1], degrees(angle) + 90))
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
