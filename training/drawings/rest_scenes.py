"""Drawings of resting: what happens in the dough, covering, warmth, and how to tell."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    bench,
    box,
    circle,
    dough_ball,
    next_arrow,
    num,
    path,
    polygon,
    probe,
    ring,
    timer_glass,
)
from training.drawings.scenes import scene


def _box_cut(x1: float, x2: float, base: float, h: float) -> str:
    """Return a dough box cut open: its floor and walls, with a rim that a lid sits on."""
    return path(
        "i",
        f"M{num(x1 - 5)} {num(base - h)}H{num(x1)}V{num(base - 8)}Q{num(x1)} {num(base)} "
        f"{num(x1 + 8)} {num(base)}H{num(x2 - 8)}Q{num(x2)} {num(base)} {num(x2)} "
        f"{num(base - 8)}V{num(base - h)}H{num(x2 + 5)}",
    )


def _bagged(cx: float, base: float, w: float, h: float) -> str:
    """Return a ball of dough in a closed bag, the knot at the top right."""
    half = w / 2
    top = base - h - 10
    bag = (
        f"M{num(cx - half - 10)} {num(base)}C{num(cx - half - 12)} {num(base - h * 0.7)} "
        f"{num(cx - half * 0.7)} {num(top)} {num(cx)} {num(top)}"
        f"S{num(cx + half + 12)} {num(base - h * 0.7)} {num(cx + half + 10)} {num(base)}Z"
    )
    knot = f"M{num(cx + half * 0.62)} {num(top + 8)}l16 -15l9 4l-3 9l-14 12z"
    return path("v", bag) + dough_ball(cx, base - 2, w, h) + path("i", bag) + path("p", knot)


def _grains(cx: float, cy: float, core: bool) -> str:
    places = ((-26, -30), (20, -36), (-40, 14), (2, 4), (38, 6), (-14, 42), (26, 44))
    shells = "".join(circle("b t", cx + x, cy + y, 12) for x, y in places)
    cores = "".join(circle("f t", cx + x, cy + y, 7) for x, y in places)
    return shells + (cores if core else "")


@scene("rest-inside")
def rest_inside() -> str:
    tight = (
        "M18 124L36 130L48 104L66 126L88 90L100 118L124 110L134 132M14 160L30 146L48 174L62 144"
        "L84 166L100 136L118 164L134 150M36 198L52 182L70 206L84 178L104 200L114 186"
    )
    loose = (
        "M188 126C208 114 222 136 244 124S282 118 302 128M184 156C204 146 220 166 244 154"
        "S284 146 308 158M196 190C214 178 228 198 248 188S278 182 296 192"
    )
    return (
        circle("p", 74, 150, 66)
        + path("i", tight)
        + _grains(74, 150, core=True)
        + timer_glass(160, 78)
        + next_arrow(147, 150)
        + circle("p", 246, 150, 66)
        + path("i", loose)
        + _grains(246, 150, core=False)
    )


@scene("rest-cover")
def rest_cover() -> str:
    film = "M62 202C54 176 70 122 156 122S258 176 250 202"
    return (
        bench()
        + path("v", film + "Z")
        + dough_ball(156, BENCH_Y - 5, 182, 77)
        + path("i", film)
        + _box_cut(44, 268, BENCH_Y, 104)
        + box("b", 32, 52, 248, 12, 4)
        + box("b", 140, 40, 32, 12, 4)
        + arrow(66, 74, 66, 98)
        + arrow(246, 74, 246, 98)
        + arrow(156, 82, 156, 116)
    )


@scene("rest-probe")
def rest_probe() -> str:
    return (
        bench()
        + box("b", 50, 196, 200, 10, 3)
        + dough_ball(150, 196, 170, 104)
        + probe(150, 144, 58)
        + path("l", "M66 144H234M150 96V192")
        + ring(150, 144, 15)
    )


@scene("rest-place")
def rest_place() -> str:
    window = box("p", 18, 34, 68, 88, 2) + circle("f", 60, 70, 13)
    rays = path("t", "M60 50v-8M60 90v8M40 70h-8M46 56l-6 -6M46 84l-6 6M74 84l5 5M74 56l5 -5")
    frame = path("i", "M52 34V50M52 90V122M18 106H86")
    pot = (
        path("p", "M254 150H302V178Q302 184 296 184H260Q254 184 254 178Z")
        + path("i", "M249 150H307")
        + box("b", 250, 184, 56, 22, 3)
        + path(
            "t", "M264 140q-7 -10 0 -19t0 -19M278 140q-7 -10 0 -19t0 -19M292 140q-7 -10 0 -19t0 -19"
        )
    )
    return (
        bench()
        + window
        + rays
        + frame
        + pot
        + path("v", "M126 206V162Q126 152 136 152H194Q204 152 204 162V206Z")
        + dough_ball(165, BENCH_Y - 3, 56, 34)
        + path("i", "M126 206V162Q126 152 136 152H194Q204 152 204 162V206")
        + box("b", 119, 142, 92, 10, 4)
        + arrow(92, 96, 128, 132, both=True)
        + arrow(208, 180, 244, 180, both=True)
    )


def _dots(cx: float, cy: float, count: int) -> str:
    left = cx - 7 * (count - 1) / 2
    return box("p t", cx - 15, cy - 9, 30, 18, 3) + "".join(
        circle("k", left + 7 * k, cy, 2.4) for k in range(count)
    )


def _sand(x: float, base: float, run: float) -> str:
    """Return a small sand glass of which the share `run` has run through."""
    middle, left_over = base - 24, 1 - run
    upper = [
        (x - 8 * left_over, middle - 20 * left_over),
        (x + 8 * left_over, middle - 20 * left_over),
    ]
    lower = [(x - 9, base - 3), (x + 9, base - 3)]
    return (
        polygon("fn", [*upper, (x, middle)])
        + polygon("fn", [*lower, (x, base - 3 - 18 * run)])
        + path("t", f"M{num(x - 11)} {num(base - 46)}l11 22l-11 22h22l-11 -22l11 -22z")
        + box("p", x - 14, base - 50, 28, 5, 2)
        + box("p", x - 14, base - 3, 28, 5, 2)
    )


@scene("rest-line")
def rest_line() -> str:
    boxes = ""
    for k, x in enumerate((62, 160, 258)):
        boxes += (
            dough_ball(x, BENCH_Y - 4, 62, 34)
            + path("i", f"M{x - 40} {BENCH_Y}V152M{x + 40} {BENCH_Y}V152")
            + box("b", x - 45, 143, 90, 9, 4)
            + _dots(x, 178, k + 1)
            + _sand(x, 128, (1, 0.55, 0.1)[k])
        )
    return bench() + boxes + arrow(62, 62, 18, 28, -8)


def _dented(x1: float, x2: float, base: float, depth: float) -> str:
    """Return a block of dough cut through a dent of `depth`, beside the dashed dent as pressed."""
    mid, top = (x1 + x2) / 2, base - 76
    rim = f"M{num(x1)} {num(base)}V{num(top + 10)}Q{num(x1)} {num(top)} {num(x1 + 10)} {num(top)}"
    dip = (
        f"H{num(mid - 22)}C{num(mid - 10)} {num(top)} {num(mid - 12)} {num(top + depth)} "
        f"{num(mid)} {num(top + depth)}S{num(mid + 10)} {num(top)} {num(mid + 22)} {num(top)}"
    )
    end = f"H{num(x2 - 10)}Q{num(x2)} {num(top)} {num(x2)} {num(top + 10)}V{num(base)}Z"
    pressed = (
        f"M{num(mid - 22)} {num(top)}C{num(mid - 10)} {num(top)} {num(mid - 12)} {num(top + 46)} "
        f"{num(mid)} {num(top + 46)}S{num(mid + 10)} {num(top)} {num(mid + 22)} {num(top)}"
    )
    return path("f", rim + dip + end) + (path("l", pressed) if depth < 46 else "")


@scene("rest-dent")
def rest_dent() -> str:
    return (
        bench()
        + _dented(18, 106, BENCH_Y, 0)
        + _dented(116, 204, BENCH_Y, 15)
        + _dented(214, 302, BENCH_Y, 46)
        + arrow(62, 120, 62, 62)
        + arrow(48, 100, 48, 62)
        + arrow(76, 100, 76, 62)
        + arrow(160, 118, 160, 92)
        + _sand(160, 84, 0.6)
        + ring(160, 146, 33)
    )


@scene("rest-cold")
def rest_cold() -> str:
    flake = "M66 48v28M54 55l24 14M54 69l24 -14M61 50l5 5l5 -5M61 74l5 -5l5 5"
    cabinet = (
        box("p", 14, 22, 116, 184, 6)
        + box("bn", 22, 88, 100, 108, 2)
        + path("t", "M22 88H122M22 142H122")
        + box("i", 22, 30, 100, 168, 3)
        + path("a", flake)
        + path("t", "M34 142v-22h34v22M78 142v-16h30v16")
    )
    return (
        bench()
        + cabinet
        + _bagged(70, 197, 56, 26)
        + arrow(136, 140, 180, 160, 10)
        + _bagged(204, BENCH_Y, 76, 40)
        + timer_glass(284, BENCH_Y)
    )


@scene("rest-fault-flat")
def rest_fault_flat() -> str:
    slack = (
        "M34 206C22 206 20 190 36 182C60 170 100 168 130 167C144 167 144 188 158 188"
        "S172 167 186 167C220 168 262 172 284 184C298 192 296 206 286 206Z"
    )
    return (
        bench()
        + path("l", "M82 206C62 196 60 92 160 92S258 196 238 206")
        + path("f", slack)
        + path("t", "M54 190Q78 180 104 179M216 180Q244 182 264 190")
        + arrow(104, 120, 70, 158, -8)
        + arrow(216, 120, 250, 158, 8)
    )


@scene("rest-fault-core")
def rest_fault_core() -> str:
    cracks = (
        "M126 144L142 152L138 166L156 170L152 184M156 170L176 164L184 174M142 152L164 142L178 150"
    )
    return (
        bench()
        + dough_ball(160, BENCH_Y, 226, 132)
        + path(
            "p", "M112 166C108 138 132 124 162 126S212 146 206 170S180 196 154 194S114 184 112 166Z"
        )
        + path("t", cracks)
        + arrow(72, 96, 104, 128)
        + arrow(248, 96, 214, 128)
    )
