"""Drawings of rounding: air out, the edge to the middle, the seam shut, the skin tight."""

from math import cos, pi, sin

from training.drawings.parts import (
    BENCH_Y,
    Point,
    arrow,
    bench,
    blob,
    circle,
    dough_ball,
    ellipse,
    hand_above,
    hand_flat,
    next_arrow,
    num,
    path,
    place,
    ring,
    slab,
    timer_glass,
    turn_arrow,
)
from training.drawings.scenes import scene


def _at(cx: float, cy: float, r: float, angle: float) -> Point:
    return cx + r * cos(angle), cy + r * sin(angle)


def _flap(cx: float, cy: float, r: float, angle: float, half: float = 0.42) -> str:
    """Return one piece of the rim folded to the middle; `angle` and `half` in radians."""
    (x1, y1), (x2, y2) = _at(cx, cy, r, angle - half), _at(cx, cy, r, angle + half)
    (tx, ty) = _at(cx, cy, r * 0.04, angle)
    (ax, ay), (bx, by) = _at(cx, cy, r * 0.62, angle - 0.62), _at(cx, cy, r * 0.62, angle + 0.62)
    return path(
        "f",
        f"M{num(x1)} {num(y1)}C{num(ax)} {num(ay)} {num(ax * 0.5 + tx * 0.5)} "
        f"{num(ay * 0.5 + ty * 0.5)} {num(tx)} {num(ty)}C{num(bx * 0.5 + tx * 0.5)} "
        f"{num(by * 0.5 + ty * 0.5)} {num(bx)} {num(by)} {num(x2)} {num(y2)}",
    )


def _flaps(cx: float, cy: float, r: float, count: int, of: int = 8, start: float = 0) -> str:
    return "".join(_flap(cx, cy, r, start + 2 * pi * k / of) for k in range(count))


@scene("round-press")
def round_press() -> str:
    bubbles = "".join(
        circle("p t", x, y, r)
        for x, y, r in ((62, 184, 6), (92, 192, 4), (112, 180, 4), (214, 190, 5), (248, 182, 6))
    )
    return (
        bench()
        + slab(34, 286, BENCH_Y, 46)
        + bubbles
        + place(hand_flat(), 166, 160)
        + arrow(172, 74, 172, 122)
        + arrow(52, 150, 20, 132)
        + arrow(268, 150, 300, 132)
    )


@scene("round-fold")
def round_fold() -> str:
    return (
        circle("f", 146, 124, 92)
        + path("l", "M227 80A92 92 0 0 1 227 168")
        + path("p1", "M230 84A92 92 0 0 1 230 164", 5)
        + path("l", "M229 84A92 92 0 0 1 229 164")
        + path("f", "M228 82C204 84 168 96 144 124C168 152 204 164 228 166Q222 124 228 82Z")
        + arrow(296, 124, 190, 124, 20)
    )


@scene("round-turn")
def round_turn() -> str:
    return (
        circle("f", 80, 128, 62)
        + _flaps(80, 128, 62, 2, start=-0.8)
        + turn_arrow(80, 128, 76, 180, 270)
        + next_arrow(147, 128)
        + circle("f", 240, 128, 62)
        + _flaps(240, 128, 62, 8, start=-0.8)
        + ring(240, 128, 15)
    )


@scene("round-heel")
def round_heel() -> str:
    return (
        circle("f", 156, 100, 86)
        + _flaps(156, 100, 86, 8, start=0.3)
        + place(hand_above((30, 35, 32, 24), 4, (-31, -10), 88), 168, 136, -14)
        + arrow(112, 132, 96, 56, -8)
        + turn_arrow(156, 104, 106, -30, 20)
    )


@scene("round-seal")
def round_seal() -> str:
    purse = (
        "M96 206C56 202 46 140 96 114C128 98 142 92 146 66Q140 54 148 48Q154 56 160 46"
        "Q166 56 172 48Q180 54 174 66C178 92 192 98 224 114C274 140 264 202 224 206Z"
    )
    pleats = (
        "M152 62C150 92 132 108 108 128M158 62C158 96 150 116 138 138"
        "M163 62C164 96 170 116 182 138M169 62C172 92 190 108 214 128"
    )
    return (
        bench()
        + path("f", purse)
        + path("t", pleats)
        + arrow(88, 76, 134, 76)
        + arrow(232, 76, 186, 76)
        + turn_arrow(160, 34, 30, 160, 20, 9)
    )


@scene("round-tighten")
def round_tighten() -> str:
    return (
        bench()
        + path("l", "M188 206C170 202 168 96 232 96S294 202 276 206")
        + dough_ball(126, BENCH_Y, 150, 112)
        + path("t", "M114 202l6 -12M126 204v-16M138 202l-6 -12")
        + turn_arrow(126, 156, 92, -108, -196, 82)
        + turn_arrow(126, 156, 92, -72, 16, 82)
        + arrow(268, 226, 168, 226)
    )


@scene("round-check")
def round_check() -> str:
    pleats = ""
    for k in range(9):
        angle = 2 * pi * k / 9
        (x1, y1), (x2, y2) = _at(80, 132, 14, angle), _at(80, 132, 44 + 6 * (k % 2), angle + 0.3)
        (xm, ym) = _at(80, 132, 30, angle + 0.34)
        pleats += f"M{num(x1)} {num(y1)}Q{num(xm)} {num(ym)} {num(x2)} {num(y2)}"
    return (
        circle("f", 80, 132, 66)
        + path("t", pleats)
        + ellipse("t", 80, 132, 6, 4)
        + ring(80, 132, 22)
        + bench(164, 312)
        + dough_ball(238, BENCH_Y, 126, 104)
        + path("t", "M196 128Q208 112 228 108")
        + arrow(116, 56, 206, 84, 22)
    )


@scene("round-cover")
def round_cover() -> str:
    return (
        bench()
        + path("v", "M34 206C38 128 70 100 96 98H164C190 100 222 128 226 206Z")
        + dough_ball(130, BENCH_Y - 2, 118, 74)
        + path("t", "M120 203l4 -8M130 204v-10M140 203l-4 -8")
        + path("i", "M34 206C38 128 70 100 96 98H164C190 100 222 128 226 206M100 98v-8h60v8")
        + arrow(130, 34, 130, 76)
        + timer_glass(276, BENCH_Y)
    )


@scene("round-fault-open")
def round_fault_open() -> str:
    tips, cx, cy = (56, 44, 62, 40, 54, 48, 60), 160, 120
    gap = "M{:.0f} {:.0f}".format(*_at(cx, cy, 15, -pi / 7))
    pleats = ""
    for k, reach in enumerate(tips):
        angle = 2 * pi * k / 7
        (ax, ay), (tx, ty) = _at(cx, cy, 22, angle - 0.12), _at(cx, cy, reach, angle + 0.2)
        (bx, by), (ex, ey) = _at(cx, cy, 24, angle + 0.2), _at(cx, cy, 15, angle + pi / 7)
        gap += f"Q{ax:.0f} {ay:.0f} {tx:.0f} {ty:.0f}Q{bx:.0f} {by:.0f} {ex:.0f} {ey:.0f}"
        (px, py) = _at(cx, cy, 86, angle + 0.34)
        pleats += (
            f"M{tx:.0f} {ty:.0f}Q{(tx + px) / 2 + 3:.0f} {(ty + py) / 2:.0f} {px:.0f} {py:.0f}"
        )
    return circle("f", cx, cy, 92) + path("t", pleats) + path("p", gap + "Z") + ring(cx, cy, 70)


@scene("round-fault-air")
def round_fault_air() -> str:
    return (
        bench()
        + dough_ball(160, BENCH_Y, 226, 132)
        + path("t", "M96 186C84 160 96 124 132 112M224 186C236 160 226 128 196 114")
        + path("p", "M118 152Q134 132 166 138T206 152Q194 168 164 166T118 152Z")
        + blob("p t", 112, 178, 5, 7)
        + blob("p t", 216, 180, 6, 11)
        + ring(162, 152, 56)
    )


@scene("round-fault-side")
def round_fault_side() -> str:
    return (
        bench()
        + path("l", "M82 206C62 196 60 92 160 92S258 196 238 206")
        + path("f", "M66 206C40 202 48 104 122 98C190 94 282 168 286 190Q288 206 272 206Z")
        + path(
            "t", "M206 204C206 188 216 178 232 172M218 204C220 194 226 188 238 184M230 204l12 -8"
        )
        + ring(226, 188, 32)
    )
