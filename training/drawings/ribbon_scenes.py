"""Drawings of the module on ribbon noodles."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    band,
    bench,
    box,
    bubbles,
    burner,
    caliper,
    chopsticks,
    circle,
    dust,
    guide_above,
    knife_above,
    mm_bar,
    path,
    pin_top,
    place,
    pot_cut,
    ring,
    steam,
)
from training.drawings.scenes import scene


@scene("ribbon-shape")
def ribbon_shape() -> str:
    return (
        bench(12, 308, 84)
        + box("f", 36, 38, 46, 46, 3)
        + box("f", 126, 66, 168, 18, 3)
        + arrow(106, 18, 106, 56)
        + path("l", "M36 88V116M82 88V116M126 88V116M294 88V116")
        + path("f", "M36 118H82V184Q59 190 36 184Z")
        + path("f", "M126 118H294V184Q252 192 210 184T126 184Z")
        + mm_bar(90, 222, 14)
    )


@scene("ribbon-fold")
def ribbon_fold() -> str:
    return (
        bench()
        + band(
            "M52 199H248C276 199 276 171 248 171H66C38 171 38 143 66 143H214C258 142 262 86 214 76",
            9,
        )
        + dust(70, 184, 240, 187, 34, 501)
        + dust(76, 156, 236, 159, 34, 503)
        + arrow(196, 58, 92, 116, -26)
        + ring(46, 157, 24)
    )


@scene("ribbon-cut")
def ribbon_cut() -> str:
    return (
        box("f", 26, 44, 238, 110, 4)
        + path("t", "M26 52H264M26 146H264")
        + "".join(path("i", f"M{x} 44V154") for x in (206, 235))
        + place(guide_above(110, 150), 176, 26)
        + place(knife_above(160, 50), 181, 180)
        + arrow(136, 14, 92, 14)
        + mm_bar(40, 222, 29 / 3)
    )


@scene("ribbon-hang")
def ribbon_hang() -> str:
    ribbons = ""
    for k, x in enumerate((60, 110, 160, 210, 260)):
        left, low = x - 16, 190 - 10 * (k % 2)
        ribbons += path(
            "f",
            f"M{left} 46q0 -11 16 -11t16 11c4 50 -6 90 -1 {low - 46}h-32"
            f"c-5 -50 5 -90 1 {46 - low}z",
        ) + path("t", f"M{left} 60h32")
    return (
        place(pin_top(300, 8), 160, 48)
        + ribbons
        + dust(40, 200, 280, 228, 40, 511)
        + arrow(135, 92, 135, 152, both=True)
        + arrow(235, 92, 235, 152, both=True)
    )


@scene("ribbon-boil")
def ribbon_boil() -> str:
    ribbons = "".join(
        band(f"M{x} {y}q18 -16 36 0t36 0", 13)
        for x, y in ((70, 174), (166, 176), (112, 146), (58, 136), (184, 138))
    )
    return (
        bench()
        + burner(160, BENCH_Y, 150)
        + pot_cut(
            160,
            BENCH_Y - 18,
            226,
            116,
            92,
            bubbles(56, 116, 264, 180, 10, (2, 5), 521) + ribbons,
            boil=True,
        )
        + chopsticks(150, 168, 26, 12, 170)
        + arrow(194, 36, 152, 36)
        + steam(92, 64, 44, 2)
    )


@scene("ribbon-measure")
def ribbon_measure() -> str:
    return (
        path("f", "M12 73H206Q213 82 208 90T212 107H12")
        + caliper(146, 90, 34)
        + "".join(path("l", f"M{x} 62V118") for x in (44, 94))
        + "".join(circle("k", x, 90, 4) for x in (44, 94, 160))
        + arrow(40, 42, 120, 42)
        + mm_bar(40, 206, 34 / 5)
    )


@scene("ribbon-fault-stuck")
def ribbon_fault_stuck() -> str:
    def ribbon(x: int) -> str:
        return path("f", f"M{x} 36c5 44 -5 104 0 164h36c-5 -60 5 -120 0 -164z")

    return "".join(ribbon(x) for x in (26, 78, 144, 158, 222, 262)) + ring(168, 112, 42)
