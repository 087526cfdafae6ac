"""Drawings of the module on stock."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    bench,
    bench_scale,
    box,
    bubbles,
    burner,
    chopsticks,
    drops,
    dust,
    flakes,
    glass,
    ice,
    jar,
    kelp,
    ladle,
    next_arrow,
    path,
    place,
    pot_cut,
    probe,
    ring,
    soup_bowl,
    steam,
    timer_dial,
    timer_glass,
    turn_arrow,
)
from training.drawings.scenes import scene


@scene("stock-soak")
def stock_soak() -> str:
    cloth = path("b", "M0 4Q4 -12 20 -10Q34 -16 44 -4Q50 6 42 16Q24 24 6 18Q-4 12 0 4Z") + path(
        "t", "M10 4Q22 -4 32 2M12 12Q24 16 34 10"
    )
    kelp_in_water = place(kelp(80), 204, 152, -3) + place(kelp(84), 206, 180, 2)
    return (
        bench()
        + bench_scale(66, BENCH_Y, 100)
        + place(kelp(96), 64, BENCH_Y - 52, -2)
        + dust(24, 150, 60, 158, 12, 301)
        + place(cloth, 66, 136)
        + arrow(50, 122, 104, 118, 8)
        + next_arrow(124, 166)
        + pot_cut(206, BENCH_Y, 96, 104, 84, kelp_in_water)
        + timer_glass(294, BENCH_Y)
    )


@scene("stock-warm")
def stock_warm() -> str:
    beads = (
        bubbles(72, 106, 78, 178, 9, (1.8, 3), 311)
        + bubbles(226, 106, 232, 178, 9, (1.8, 3), 313)
        + bubbles(86, 178, 218, 182, 9, (1.5, 2.5), 315)
    )
    return (
        bench()
        + burner(152, BENCH_Y, 110, 8)
        + pot_cut(
            152,
            BENCH_Y - 18,
            168,
            110,
            86,
            beads + place(kelp(104), 142, 134, -4) + place(kelp(96), 150, 160, 3),
        )
        + probe(196, 126, 24)
        + steam(118, 92, 36, 2)
        + ring(76, 142, 15)
    )


@scene("stock-lift")
def stock_lift() -> str:
    beads = (
        bubbles(66, 140, 72, 178, 6, (1.8, 3), 321)
        + bubbles(220, 140, 226, 178, 6, (1.8, 3), 323)
        + bubbles(84, 178, 210, 182, 8, (1.5, 2.5), 325)
    )
    return (
        bench()
        + burner(146, BENCH_Y, 110, 8)
        + pot_cut(146, BENCH_Y - 18, 172, 84, 58, beads)
        + place(kelp(92), 146, 74, 84)
        + chopsticks(150, 46, 72, 12, 140)
        + drops(((138, 130), (154, 126)), 3)
        + arrow(100, 118, 100, 46)
        + steam(206, 118, 38, 2)
    )


@scene("stock-flakes")
def stock_flakes() -> str:
    sinking = flakes(84, 140, 224, 178, 13, 331)
    dish = path("p", "M-40 -6H40Q36 14 20 14H-20Q-36 14 -40 -6Z")
    heaped = path("f t", "M-34 -6Q-20 -30 2 -26Q24 -24 34 -6Z") + flakes(-20, -18, 20, -12, 3, 335)
    return (
        bench()
        + path("i", "M100 206V188H110M208 206V188H198")
        + pot_cut(154, BENCH_Y - 18, 168, 86, 62, sinking)
        + place(heaped + dish, 104, 46, 34)
        + flakes(134, 76, 184, 116, 5, 337)
        + arrow(210, 56, 210, 110)
        + timer_glass(286, BENCH_Y)
    )


@scene("stock-strain")
def stock_strain() -> str:
    heap = path("f t", "M110 112Q128 92 152 100Q178 90 202 112Q188 130 156 130T110 112Z")
    sieve = "M92 106Q96 150 156 150T220 106"
    cloth = path("b", "M78 100H116Q104 112 94 108Q92 128 82 134Q70 120 78 100Z") + path(
        "b", "M234 100H196Q208 112 218 108Q220 128 230 134Q242 120 234 100Z"
    )
    return (
        bench()
        + pot_cut(156, BENCH_Y, 170, 100, 34)
        + path("v", sieve + "Z")
        + heap
        + flakes(126, 106, 188, 122, 5, 341)
        + path("i", f"{sieve}M56 106H302")
        + cloth
        + drops(((130, 160), (156, 164), (182, 160)), 3)
        + path("bn", "M166 46Q170 60 170 98H176Q176 58 182 44Z")
        + path("t", "M166 46Q170 60 170 98M182 44Q176 58 176 98")
        + place(ladle(0, 0), 188, 36, -28)
        + arrow(262, 128, 262, 176)
    )


@scene("stock-season")
def stock_season() -> str:
    base = path("fn", "M42 142H138V178q0 10 -10 10H52q-10 0 -10 -10Z") + path("t", "M42 142H138")
    pot = path("i", "M36 114H42V178q0 10 10 10H128q10 0 10 -10V114H144M42 128h-10q-6 0 -6 6t6 6h10")
    bottle = path("p", "M-13 0V-46Q-13 -56 -6 -60V-76H6V-60Q13 -56 13 -46V0Z") + path(
        "fn", "M-11.5 -2V-34H11.5V-2Z"
    )
    return (
        bench()
        + burner(90, BENCH_Y, 74, 8)
        + base
        + bubbles(56, 168, 124, 180, 7, (1.5, 2.5), 351)
        + pot
        + path("fn", "M78 74Q74 92 74 142H80Q80 96 86 78Z")
        + path("t", "M78 74Q74 92 74 142M86 78Q80 96 80 142")
        + place(
            bottle + path("i", "M-13 0V-46Q-13 -56 -6 -60V-76H6V-60Q13 -56 13 -46V0Z"),
            142,
            34,
            -124,
        )
        + steam(118, 106, 30, 1)
        + next_arrow(162, 150)
        + jar(226, BENCH_Y, 58, 82, 60)
        + timer_glass(288, BENCH_Y)
    )


def _mixed(x: float, base_part: float, stock_part: float) -> str:
    """Return a measuring glass on the bench with seasoning base below and stock above."""
    left, w = x - 18, 36
    line_of_base, top = BENCH_Y - base_part, BENCH_Y - base_part - stock_part
    return (
        box("fn", left, line_of_base, w, base_part)
        + box("bn", left, top, w, stock_part)
        + path("t", f"M{left} {line_of_base}h{w}M{left} {top}h{w}")
        + path("i", f"M{left} {BENCH_Y - 144}V{BENCH_Y}h{w}V{BENCH_Y - 144}")
    )


@scene("stock-dilute")
def stock_dilute() -> str:
    cup = path("p", "M-28 -42H28L21 0H-21Z") + path("t", "M-26 -32H26")
    return (
        path("l", "M162 24V222")
        + bench(12, 150)
        + bench(174, 312)
        + _mixed(36, 12, 108)
        + arrow(62, 112, 88, 136, -4)
        + soup_bowl(114, BENCH_Y, 72, 50)
        + steam(114, 148, 56, 3, 17)
        + _mixed(198, 40, 80)
        + arrow(224, 112, 250, 136, -4)
        + place(cup, 276, BENCH_Y)
        + ice(((262, 92), (288, 100)), 20)
    )


@scene("stock-hold")
def stock_hold() -> str:
    lid = path("p", "M-74 0Q-70 -16 -8 -18H8Q70 -16 74 0Z") + box("b", -12, -28, 24, 10, 4)
    return (
        bench()
        + burner(132, BENCH_Y, 110, 8)
        + pot_cut(132, BENCH_Y - 18, 150, 96, 72)
        + place(lid, 92, 82, -8)
        + probe(170, 156, 14)
        + timer_dial(278, 168, 28, 0.5)
    )


@scene("stock-chill")
def stock_chill() -> str:
    basin = path("i", "M14 128H22V194q0 12 12 12H222q12 0 12 -12V128H242")
    water = path("bn", "M22 146H234V194q0 12 -12 12H34q-12 0 -12 -12Z") + path("t", "M22 146H234")
    inner = (
        path("pn", "M74 96V180q0 8 8 8H174q8 0 8 -8V96Z")
        + path("fn", "M74 132H182V180q0 8 -8 8H82q-8 0 -8 -8Z")
        + path("t", "M74 132H182")
        + path("i", "M68 96H74V180q0 8 8 8H174q8 0 8 -8V96H188")
    )
    return (
        bench()
        + water
        + ice(((46, 154), (48, 182), (208, 154), (210, 184)), 18)
        + basin
        + inner
        + place(ladle(0, 0), 112, 150)
        + turn_arrow(124, 118, 34, 150, 20, 9)
        + probe(158, 160, 26)
        + timer_dial(280, 168, 28, 0.8)
    )


@scene("stock-fault-cloudy")
def stock_fault_cloudy() -> str:
    spoon = path("i", "M0 0L-18 92") + path("p", "M-27 92q-5 20 6 22q11 -2 10 -20q-6 -8 -16 -2z")
    above = path("i", "M0 0L-6 30")
    return (
        bench()
        + glass(94, BENCH_Y, 92, 128, 104)
        + place(spoon, 116, 78)
        + glass(226, BENCH_Y, 92, 128, 104)
        + dust(186, 108, 266, 200, 150, 361)
        + path("f t", "M184 204Q190 190 208 196Q226 186 244 196Q262 190 268 204Z")
        + place(above, 248, 72)
        + path("i", "M180 78V206h92V78")
    )
