"""Drawings of the module on alkaline noodles."""

from math import cos, pi, sin

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    band,
    bench,
    bench_scale,
    blob,
    bowl_top,
    box,
    circle,
    crumbs,
    cutting_board,
    dust,
    ellipse,
    glass,
    glove,
    goggles,
    guide_end,
    jug,
    knife_end,
    magnifier,
    mm_bar,
    next_arrow,
    path,
    pin_end,
    place,
    ring,
    sections,
    sheet_top,
    slab,
    timer_glass,
    turn_arrow,
)
from training.drawings.scenes import scene


def _grains(points: tuple[tuple[int, int], ...]) -> str:
    return "".join(place(box("p t", -2, -2, 4, 4), x, y, 25 * k) for k, (x, y) in enumerate(points))


@scene("alkaline-weigh")
def alkaline_weigh() -> str:
    dish = path("p", "M-34 0H34Q30 20 16 20H-16Q-30 20 -34 0Z")
    powder = path("pn", "M-22 0Q0 -24 22 0Z") + path("i", "M-22 0Q0 -24 22 0")
    tub = box("p", 8, 128, 62, 78, 6) + box("b", 4, 116, 70, 16, 4) + box("p t", 22, 152, 34, 30, 2)
    return (
        bench()
        + tub
        + bench_scale(142, BENCH_Y, 108)
        + place(powder + dish, 142, BENCH_Y - 60)
        + place(goggles(), 136, 66)
        + place(glove(), 232, 92, -6)
        + place(glove(), 288, 92, 6, mirror=True)
    )


@scene("alkaline-dissolve")
def alkaline_dissolve() -> str:
    dish = place(
        path("p", "M-28 0H28Q24 17 12 17H-12Q-24 17 -28 0Z") + path("i", "M-18 0Q0 -18 20 0"),
        104,
        56,
        48,
    )
    falling = _grains(((116, 88), (108, 98), (120, 106), (100, 112), (112, 120)))
    spoon = path("i", "M70 70L92 164") + ellipse("p", 95, 176, 8, 13)
    return (
        bench()
        + glass(92, BENCH_Y, 92, 104, 76)
        + _grains(((76, 198), (88, 201), (102, 199), (114, 202), (126, 200)))
        + spoon
        + dish
        + falling
        + turn_arrow(92, 156, 32, 150, -20, 9)
        + arrow(148, 44, 148, 104)
        + next_arrow(150, 160)
        + jug(218, BENCH_Y, 58)
        + timer_glass(292, BENCH_Y)
    )


@scene("alkaline-crumbs")
def alkaline_crumbs() -> str:
    return (
        bowl_top(104, 122, 88)
        + crumbs(104, 122, 78, 44, (2.4, 3.6), 401)
        + dust(50, 68, 158, 176, 70, 405)
        + magnifier(250, 92, 56, 148, 108)
        + crumbs(250, 92, 50, 17, (5, 6.9), 403)
        + turn_arrow(104, 122, 62, 130, 230)
        + turn_arrow(104, 122, 62, -50, 50)
    )


@scene("alkaline-rest")
def alkaline_rest() -> str:
    bag = (
        "M22 198C12 150 26 116 66 102Q70 92 56 76Q79 84 102 76Q88 92 92 102"
        "C132 116 146 150 134 198Q78 206 22 198Z"
    )
    flat = "M180 200V162Q180 156 188 156H304Q312 156 312 162V200Q246 208 180 200Z"
    return (
        bench()
        + path("v", bag)
        + crumbs(78, 152, 46, 38, (3, 5), 411, 0.85)
        + path("i", bag)
        + path("i", "M65 102Q79 107 93 102")
        + next_arrow(146, 180)
        + path("v", flat)
        + box("f", 190, 164, 112, 36, 8)
        + path("i", flat)
        + pin_end(246, 132, 23)
        + arrow(246, 50, 246, 96)
        + timer_glass(162, 146)
    )


@scene("alkaline-roll")
def alkaline_roll() -> str:
    return (
        bench(12, 308, 84)
        + slab(34, 132, 84, 30)
        + pin_end(82, 31, 23)
        + next_arrow(146, 62)
        + slab(186, 304, 84, 16)
        + arrow(288, 50, 210, 50, -14)
        + bench()
        + timer_glass(34, BENCH_Y)
        + band("M100 200H176C190 200 190 182 176 182H100", 17)
        + next_arrow(198, 186)
        + path("f", "M234 200H304Q308 203 304 206H234Q230 203 234 200Z")
        + pin_end(270, 177, 23)
    )


@scene("alkaline-cut")
def alkaline_cut() -> str:
    waves = "".join(
        band(d, 8)
        for d in (
            "M214 200q11 -11 22 0t22 0t22 0t20 0",
            "M222 187q11 -11 22 0t22 0t24 0",
            "M212 174q11 -11 22 0t22 0t22 0t18 0",
            "M228 161q11 -11 22 0t22 0",
        )
    )
    layers = "".join(box("f", 14, 126 + 7 * k, 66, 7, 2) for k in range(4))
    cut = "".join(sections([(9, 9)] * 7, 92, 133 + 7 * k, 7, 4) for k in range(4))
    return (
        cutting_board(8, 190, 166)
        + layers
        + cut
        + place(guide_end(56), 74, 126)
        + place(knife_end(76), 86, 154)
        + mm_bar(18, 208, 9)
        + bench(202, 312)
        + waves
        + arrow(206, 116, 232, 144)
        + arrow(308, 116, 282, 144)
    )


@scene("alkaline-fault-specks")
def alkaline_fault_specks() -> str:
    def speck(x: float, y: float, r: float, seed: int) -> str:
        # The stain thins out from the grain: each ring of dots is as wide apart as the last.
        dots = (
            circle("k", x + r * share * cos(turn), y + r * share * sin(turn), 1.2)
            for share, count in ((0.5, 7), (0.72, 9), (0.95, 11))
            for turn in (2 * pi * k / count + seed for k in range(count))
        )
        return blob("of", x, y, r / 4, seed, 0.3) + "".join(dots)

    places = ((84, 84, 22), (156, 66, 15), (214, 106, 26), (118, 154, 19), (238, 166, 14))
    specks = "".join(speck(*place, 430 + k) for k, place in enumerate(places))
    return sheet_top(160, 120, 248, 168) + specks + ring(214, 106, 38)
