"""Drawings of the module on all-buckwheat noodles without wheat."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    bench,
    blob,
    bowl_cut,
    bowl_side,
    bowl_top,
    box,
    bubbles,
    burner,
    chopsticks,
    circle,
    crumbs,
    cutting_board,
    deep_basket,
    dust,
    folded_side,
    jug,
    knife_side,
    magnifier,
    path,
    pin_top,
    place,
    pot_cut,
    ring,
    steam,
    strand,
    turn_arrow,
)
from training.drawings.scenes import scene


def _mark(x: float, y: float) -> str:
    """Return the house's mark of a tool that never meets wheat: a filled disc in a ring."""
    return circle("h", x, y, 5) + circle("a", x, y, 9)


@scene("gluten-free-bench")
def gluten_free_bench() -> str:
    return (
        path("i", "M104 24V206M112 24V206")
        + bench(8, 104)
        + bench(112, 312)
        + path("f", "M22 206Q14 176 26 150Q20 140 28 132H76Q84 140 78 150Q90 176 82 206Z")
        + path("t", "M28 150Q52 158 76 150")
        + dust(18, 112, 88, 126, 26, 601)
        + box("p", 128, 128, 172, 78, 6)
        + path("t", "M128 146H300")
        + place(pin_top(130, 7), 208, 118)
        + bowl_side(180, 108, 84, 44)
        + place(box("b", -6, -40, 12, 26, 4) + path("p", "M-16 -14H16L20 6H-20Z"), 256, 104)
        + _mark(214, 176)
    )


@scene("gluten-free-flour")
def gluten_free_flour() -> str:
    sack = path("f", "M60 206Q48 150 62 96Q54 84 62 74H146Q154 84 146 96Q160 150 148 206Z") + path(
        "t", "M62 96Q104 106 146 96M66 74Q104 84 142 74"
    )
    tub = box("p", 202, 132, 84, 74, 6) + box("b", 196, 118, 96, 16, 5)
    return (
        bench()
        + sack
        + box("p t", 80, 126, 48, 46, 3)
        + path("t", "M88 138H120M88 148H112M88 158H118")
        + magnifier(210, 62, 40, 104, 148)
        + path("t", "M188 44H232M188 58H222M188 72H230M188 86H214")
        + tub
        + _mark(244, 170)
    )


@scene("gluten-free-water")
def gluten_free_water() -> str:
    flour = path("fn", "M74 146Q132 128 190 146C186 176 160 199 156 199H108C104 199 78 176 74 146Z")
    wet = path("bn", "M106 141Q132 134 158 141Q152 160 132 160T106 141Z")
    stream = path("bn", "M139 84C135 100 135 120 135 138H142C142 120 142 98 146 82Z") + path(
        "t", "M139 84C135 100 135 120 135 138M146 82C142 98 142 120 142 138"
    )
    return (
        bench()
        + bowl_cut(132, BENCH_Y, 130, 78, flour + path("i", "M74 146Q132 128 190 146") + wet)
        + stream
        + jug(218, 92, 38, -52)
        + steam(176, 34, 28, 2)
        + chopsticks(112, 176, -28, 12, 132)
        + turn_arrow(128, 172, 32, 165, 15, 11)
        + steam(92, 126, 36, 1)
    )


@scene("gluten-free-close")
def gluten_free_close() -> str:
    cone = path("f", "M222 188Q214 130 258 76Q262 70 266 76Q310 130 302 188Q262 202 222 188Z")
    pleats = "".join(
        path("t", f"M138 160Q{x1} {y1} {x2} {y2}")
        for x1, y1, x2, y2 in (
            (146, 142, 138, 126),
            (158, 150, 168, 142),
            (156, 168, 168, 178),
            (138, 178, 132, 194),
            (118, 170, 108, 176),
            (120, 152, 110, 142),
        )
    )
    inward = "".join(
        arrow(138 + 70 * dx, 160 + 70 * dy, 138 + 42 * dx, 160 + 42 * dy)
        for dx, dy in ((0.55, -0.83), (-0.9, 0.5), (0.75, 0.66))
    )
    return (
        bowl_top(58, 60, 50)
        + crumbs(58, 60, 40, 11, (7, 9), 611)
        + arrow(96, 98, 114, 118)
        + blob("f", 138, 160, 42, 613, 0.07)
        + pleats
        + inward
        + arrow(188, 160, 212, 160)
        + cone
        + turn_arrow(262, 200, 40, 160, 20, 12)
    )


@scene("gluten-free-roll")
def gluten_free_roll() -> str:
    small = (
        "M160 52Q214 50 226 100Q232 150 190 168L184 158L178 172Q140 180 108 158L114 148L100 150"
        "Q84 110 104 80Q124 54 160 52Z"
    )
    return (
        circle("l", 160, 114, 106)
        + path("f", small)
        + place(pin_top(236, 8), 160, 116)
        + arrow(160, 100, 160, 66)
        + arrow(160, 132, 160, 164)
        + ring(182, 166, 17)
    )


@scene("gluten-free-cut")
def gluten_free_cut() -> str:
    short = "".join(strand(f"M{250 + 14 * k} 96V{150 - 4 * (k % 2)}", 9) for k in range(5))
    return (
        bench(8, 312)
        + cutting_board(16, 214)
        + folded_side(56, 160, BENCH_Y - 13, 3, 10, 2)
        + place(knife_side(), 138, 140, 3)
        + _mark(189, 100)
        + arrow(20, 66, 14, 126)
        + path("l", "M240 86H316M240 160H316")
        + short
    )


@scene("gluten-free-pot")
def gluten_free_pot() -> str:
    noodles = "".join(
        strand(f"M{x} {y}q12 -8 24 0t24 0", 8) for x, y in ((58, 176), (122, 170), (84, 148))
    )
    return (
        bench()
        + burner(112, BENCH_Y, 110)
        + pot_cut(
            112,
            BENCH_Y - 18,
            156,
            104,
            78,
            bubbles(42, 120, 182, 180, 12, (2, 5), 621) + noodles,
            boil=True,
        )
        + steam(112, 78, 40, 3)
        + path("t", "M203 112L208 128")
        + _mark(208, 137)
        + place(deep_basket(), 250, 116)
        + _mark(250, 145)
    )
