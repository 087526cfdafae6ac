"""Drawings of the module on cooling and washing."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    bench,
    bowl_cut,
    bowl_water,
    box,
    bubbles,
    deep_basket,
    drops,
    dust,
    flat_basket,
    glass,
    hand_flat,
    ice,
    next_arrow,
    path,
    place,
    portion_side,
    pot_cut,
    pot_side,
    probe,
    steam,
    strand,
    tap,
    timer_dial,
    water_jet,
)
from training.drawings.scenes import scene


def _strands(places: tuple[tuple[float, float], ...], length: float = 56) -> str:
    """Return loose wavy strands in water, each from its point."""
    q = length / 4
    return "".join(
        strand(f"M{x} {y}q{q / 2:g} -7 {q:g} 0t{q:g} 0t{q:g} 0t{q:g} 0", 8) for x, y in places
    )


@scene("cool-ready")
def cool_ready() -> str:
    return (
        bench()
        + bowl_cut(96, BENCH_Y, 152, 78, bowl_water(96, BENCH_Y, 152, 78))
        + water_jet(86, 74, 134)
        + tap(86, 70)
        + bowl_cut(
            246,
            BENCH_Y,
            112,
            66,
            bowl_water(246, BENCH_Y, 112, 66, 14)
            + ice(((214, 156), (238, 152), (264, 158), (282, 148), (250, 174))),
        )
        + flat_basket(246, 118, 96, 26)
        + path("i", "M190 120H304")
    )


@scene("cool-plunge")
def cool_plunge() -> str:
    return (
        bench()
        + pot_side(58, BENCH_Y, 76, 66)
        + steam(58, 126, 44, 3)
        + arrow(84, 64, 150, 96, 16)
        + bowl_cut(208, BENCH_Y, 188, 88, bowl_water(208, BENCH_Y, 188, 88))
        + place(deep_basket(_strands(((-20, 14), (-19, 28), (-16, 42)), 38)), 194, 132)
        + water_jet(194, 62, 128)
        + tap(194, 58)
    )


@scene("cool-rub")
def cool_rub() -> str:
    below = _strands(((92, 186), (150, 188), (128, 176)), 52)
    between = "".join(
        strand(f"M{x} {y}q13 {bend} 26 0t26 0", 8)
        for x, y, bend in ((136, 128, -8), (142, 136, 8), (130, 140, -6))
    )
    return (
        bench()
        + bowl_cut(160, BENCH_Y, 240, 120, bowl_water(160, BENCH_Y, 240, 120, 10) + below)
        + place(hand_flat(), 168, 124, 180)
        + between
        + place(hand_flat(), 152, 126)
        + dust(80, 160, 240, 196, 34, 301)
        + arrow(26, 56, 74, 56, both=True)
        + arrow(246, 56, 294, 56, both=True)
    )


@scene("cool-clear")
def cool_clear() -> str:
    body = ""
    for k, (x, grains) in enumerate(((58, 110), (160, 30), (262, 0))):
        body += glass(x, BENCH_Y, 68, 112, 92)
        body += dust(x - 28, 122, x + 28, 200, grains, 311 + k) if grains else ""
        body += strand(f"M{x - 22} 190q11 -10 22 0t22 0", 8)
    shine = path("t", "M238 132v34M248 132v16")
    return bench() + body + shine + next_arrow(97, 150) + next_arrow(199, 150)


@scene("cool-ice")
def cool_ice() -> str:
    cubes = ice(((84, 122), (112, 132), (190, 124), (240, 130), (148, 122), (92, 152), (224, 158)))
    return (
        bench()
        + bowl_cut(
            156,
            BENCH_Y,
            220,
            104,
            bowl_water(156, BENCH_Y, 220, 104, 14)
            + cubes
            + _strands(((112, 190), (154, 182), (124, 172)), 52),
        )
        + probe(182, 168, 24)
        + timer_dial(290, 60, 22, 0.15)
    )


@scene("cool-drain")
def cool_drain() -> str:
    return (
        bench()
        + portion_side(134, 80)
        + portion_side(176, 70)
        + portion_side(158, 66)
        + place(flat_basket(0, 0, 152, 44), 158, 112, -14)
        + drops(((130, 138), (152, 148), (172, 130), (140, 160), (164, 164)), 4)
        + bowl_cut(152, BENCH_Y, 190, 36, bowl_water(152, BENCH_Y, 190, 36, 16))
        + arrow(46, 56, 46, 116, both=True)
        + arrow(270, 56, 270, 116, both=True)
    )


@scene("cool-hold")
def cool_hold() -> str:
    trays = "".join(
        portion_side(x, y - 4)
        + path("v", f"M{x - 44} {y}V{y - 30}q0 -8 8 -8h72q8 0 8 8V{y}")
        + box("p", x - 48, y - 3, 96, 7, 3)
        for x in (84, 196)
        for y in (108, 188)
    )
    return (
        bench()
        + box("p", 18, 18, 244, 188, 8)
        + box("b t", 30, 30, 220, 164, 3)
        + path("i", "M30 112H250M30 192H250")
        + trays
        + probe(84, 92, 58)
        + timer_dial(290, 178, 24, 0.35)
    )


@scene("cool-rewarm")
def cool_rewarm() -> str:
    return (
        bench()
        + pot_cut(
            130,
            BENCH_Y,
            196,
            118,
            92,
            bubbles(42, 126, 92, 190, 11, (2, 5), 331)
            + bubbles(182, 126, 218, 190, 9, (2, 5), 333),
            True,
        )
        + place(deep_basket(_strands(((-22, 14), (-20, 28), (-17, 42)), 40)), 136, 110)
        + steam(60, 84, 56, 3)
        + arrow(100, 30, 100, 84)
        + timer_dial(284, 168, 26, 0.12)
    )


@scene("cool-warm-core")
def cool_warm_core() -> str:
    pile = "".join(
        portion_side(x, y) for x, y in ((72, 196), (136, 196), (86, 178), (122, 176), (104, 156))
    )
    return (
        bench()
        + path("i", "M14 192V202Q14 205 17 205H191Q194 205 194 202V192")
        + pile
        + probe(104, 180, 22)
        + steam(62, 112, 44, 3)
        + path("l", "M208 40V190")
        + portion_side(258, 92)
        + path("i", "M218 84V92Q218 96 221 96H295Q298 96 298 92V84")
        + portion_side(258, 196)
        + path("i", "M218 192V202Q218 205 221 205H295Q298 205 298 202V192")
    )


@scene("cool-slimy")
def cool_slimy() -> str:
    veil = "M40 74Q80 52 124 66T210 62T288 82Q296 104 270 112T184 116T96 112T36 100Q28 84 40 74Z"
    return (
        path("v", veil)
        + "".join(
            strand(f"M{46 + 4 * k} {80 + 12 * k}q28 -12 56 0t56 0t56 0t56 0", 9) for k in range(2)
        )
        + path("b t", "M92 112q-2 26 4 26t4 -26zM196 114q-2 18 4 18t4 -18z")
        + "".join(
            strand(f"M{46 + 4 * k} {180 + 18 * k}q28 -12 56 0t56 0t56 0t56 0", 9) for k in range(2)
        )
        + arrow(160, 132, 160, 162)
    )
