"""Drawings of flour, starch, brine and water: what they are, and how they are weighed."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    band,
    bench,
    bench_scale,
    bowl_cut,
    bowl_side,
    box,
    buckwheat_grain,
    circle,
    clipboard,
    crumbs,
    dough_ball,
    dust,
    ellipse,
    jug,
    next_arrow,
    num,
    path,
    place,
    probe,
    ring,
    sack,
    snowflake,
    sun,
    wall_thermometer,
    wheat_ear,
)
from training.drawings.scenes import scene


def _pulled(y: float, half: float, waist: float) -> str:
    """Return a strip of dough pulled to both sides of x = 160, thin in its middle."""
    left, right = 160 - half, 160 + half
    return path(
        "f",
        f"M{num(left)} {num(y - 15)}H{num(left + 16)}Q{num(left + 30)} {num(y - waist)} "
        f"160 {num(y - waist)}T{num(right - 16)} {num(y - 15)}H{num(right)}V{num(y + 15)}"
        f"H{num(right - 16)}Q{num(right - 30)} {num(y + waist)} 160 {num(y + waist)}"
        f"T{num(left + 16)} {num(y + 15)}H{num(left)}Z",
    )


@scene("flour-grains")
def flour_grains() -> str:
    stretched = "M18 150H34Q50 162 82 162T130 150H146V182H130Q114 172 82 172T34 182H18Z"
    return (
        place(wheat_ear(76), 82, 74)
        + place(buckwheat_grain(42), 218, 92, -14)
        + place(buckwheat_grain(42), 262, 94, 16)
        + place(buckwheat_grain(42), 240, 56)
        + path("f", stretched)
        + arrow(50, 206, 18, 206)
        + arrow(114, 206, 146, 206)
        + path("f", "M178 150H222L228 158L220 164L230 172L222 182H178Z")
        + path("f", "M302 150H262L256 159L264 166L254 174L262 182H302Z")
        + crumbs(242, 168, 16, 5, (2, 3.6), 7)
        + arrow(210, 206, 178, 206)
        + arrow(270, 206, 302, 206)
        + path("l", "M160 20V222")
    )


@scene("flour-strength")
def flour_strength() -> str:
    weak = path("f", "M104 32H136L150 40L142 47L150 54L136 62H104Z")
    return (
        weak
        + place(weak, 320, 0, mirror=True)
        + arrow(92, 47, 60, 47)
        + arrow(228, 47, 260, 47)
        + _pulled(120, 100, 6)
        + arrow(50, 120, 18, 120)
        + arrow(270, 120, 302, 120)
        + box("l", 60, 178, 200, 30, 3)
        + _pulled(193, 52, 13)
        + arrow(66, 193, 102, 193)
        + arrow(254, 193, 218, 193)
    )


@scene("flour-sack")
def flour_sack() -> str:
    label = box("p t", -26, -18, 52, 36, 2) + path("t", "M-18 -8H18M-18 1H8M-18 10H14")
    return (
        bench()
        + sack(92, BENCH_Y, 124, 150, label)
        + clipboard(204, 26, 84, 104)
        + path("t", "M220 58H272M220 74H256M220 90H266M220 106H248")
        + path("f", "M194 184Q222 176 246 158Q270 176 298 184Z")
        + path("p", "M186 184H306Q302 206 286 206H206Q190 206 186 184Z")
        + arrow(122, 116, 194, 84, 16)
    )


@scene("flour-starch")
def flour_starch() -> str:
    net = (
        "M156 92C180 82 188 106 212 96S244 80 288 94M152 128C176 138 196 116 220 128"
        "S262 138 294 126M168 164C190 152 208 172 228 160S256 150 278 160"
        "M190 62C196 90 180 110 190 134S196 168 192 182M238 58C232 86 246 104 240 130"
        "S244 160 246 184"
    )
    grains = (
        *((214, 76, 11), (266, 74, 8), (167, 111, 10), (215, 112, 8), (266, 110, 11)),
        *((172, 147, 8), (217, 145, 10), (266, 144, 9), (219, 179, 8)),
    )
    return (
        path("p", "M20 86Q44 84 56 70Q64 64 72 70Q86 84 108 86Z")
        + path("p", "M10 86H118Q114 108 98 108H30Q14 108 10 86Z")
        + path("f", "M20 178Q40 168 56 148Q66 138 76 148Q92 168 112 178Z")
        + path("p", "M8 178H124Q120 202 104 202H28Q12 202 8 178Z")
        + arrow(112, 130, 140, 130)
        + circle("p", 224, 120, 76)
        + band(net, 9)
        + "".join(circle("p t", *grain) for grain in grains)
        + circle("i", 224, 120, 76)
    )


@scene("flour-weigh")
def flour_weigh() -> str:
    weight = (
        "M-22 0V-34Q-22 -40 -16 -40H-8V-48Q-16 -52 -12 -60Q0 -68 12 -60Q16 -52 8 -48V-40H16"
        "Q22 -40 22 -34V0Z"
    )
    level = box("b", 0, 0, 74, 22, 8) + path("t", "M28 0V22M46 0V22") + ellipse("p t", 37, 11, 7, 5)
    return (
        bench()
        + bench_scale(108, BENCH_Y, 150)
        + place(path("p", weight), 108, BENCH_Y - 40)
        + arrow(108, 44, 108, 84)
        + ring(108, 190, 30)
        + place(level, 216, 184)
    )


@scene("flour-cups")
def flour_cups() -> str:
    pan = path("b", "M-46 0H46Q42 14 28 14H-28Q-42 14 -46 0Z")
    cup = path("p", "M-30 -59H30L25 -1H-25Z") + path("i", "M28 -49Q50 -47 46 -29Q42 -15 26 -17")
    coarse = crumbs(0, -30, 26, 9, (6, 8), 5, 0.9, fill="p")
    fine = dust(-24, -54, 22, -5, 120, 9)
    return (
        bench()
        + path("p", "M136 206L152 74H168L184 206Z")
        + path("i", "M36 92L284 148")
        + circle("b", 160, 120, 9)
        + place(pan + cup + coarse, 62, 92)
        + place(pan + cup + fine, 256, 146)
    )


@scene("flour-season")
def flour_season() -> str:
    dish = path("p", "M-24 0H24Q22 20 11 20H-11Q-22 20 -24 0Z")
    return (
        bench()
        + sun(76, 52, 18)
        + jug(46, BENCH_Y, 30)
        + path("p", "M106 186Q126 138 146 186Z")
        + place(dish, 126, 186)
        + path("l", "M160 20V226")
        + snowflake(244, 52, 28)
        + jug(208, BENCH_Y, 60)
        + path("p", "M270 186Q288 172 306 186Z")
        + place(dish, 288, 186)
    )


@scene("flour-temperature")
def flour_temperature() -> str:
    flour = path("fn", "M25 168Q60 158 95 168C91 188 78 200 74 200H46C42 200 29 188 25 168Z")
    surface = path("i", "M24 168Q60 158 96 168")
    return (
        bench()
        + wall_thermometer(136, 14, 104, 0.6)
        + bowl_cut(60, BENCH_Y, 84, 50, flour + surface)
        + probe(56, 186, 8)
        + jug(160, BENCH_Y, 46)
        + ring(162, 170, 48)
        + next_arrow(214, 112)
        + dough_ball(264, BENCH_Y, 86, 50)
        + probe(266, 184, 12)
    )


@scene("flour-fault-scale")
def flour_fault_scale() -> str:
    flour = path("f", "M-56 -97Q-28 -108 -14 -124Q0 -132 14 -124Q30 -108 56 -97Z")
    tilted = bench_scale(0, 0, 150) + flour + bowl_side(0, -40, 124, 56)
    return (
        bench()
        + path("b", "M180 206Q178 192 190 192Q212 196 232 192T270 192Q284 192 284 199T276 206Z")
        + place(tilted, 146, 198, -6)
        + path("l", "M40 162H284")
        + ring(216, 194, 24)
    )


@scene("flour-fault-brine")
def flour_fault_brine() -> str:
    float_ = (
        path("p", "M-4 -64V0Q-15 6 -15 22Q-15 38 0 42Q15 38 15 22Q15 6 4 0V-64Q0 -68 -4 -64Z")
        + path("t", "M-4 -54H0M-4 -44H0M-4 -34H4M-4 -24H0M-4 -14H0")
        + circle("k", 0, 32, 6)
    )
    water = "bn"

    def filled(x: float, sunk: float) -> str:
        return (
            box(water, x - 40, 92, 80, 114)
            + place(float_, x, 92 + sunk)
            + path("t", f"M{num(x - 40)} 92H{num(x - 5)}M{num(x + 5)} 92H{num(x + 40)}")
            + path("i", f"M{num(x - 40)} 60V206H{num(x + 40)}V60")
        )

    return bench() + filled(84, 34) + filled(236, 8) + ring(236, 92, 22) + arrow(296, 150, 296, 108)
