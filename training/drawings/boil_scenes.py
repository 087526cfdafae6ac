"""Drawings of the module on boiling."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    band,
    bench,
    bench_scale,
    box,
    bubbles,
    burner,
    chopsticks,
    circle,
    deep_basket,
    drops,
    jug,
    ladle,
    mm_bar,
    next_arrow,
    path,
    place,
    portion_side,
    pot_cut,
    ring,
    steam,
    strand,
    timer_dial,
    timer_glass,
    turn_arrow,
)
from training.drawings.scenes import scene


@scene("boil-load")
def boil_load() -> str:
    water = "".join(box("b t", 122 + 18 * k, 24, 14, 14, 2) for k in range(10))
    return (
        bench()
        + bench_scale(66, BENCH_Y)
        + portion_side(66, BENCH_Y - 42)
        + box("f t", 58, 24, 14, 14, 2)
        + path("l", "M66 48V120M210 48V76")
        + pot_cut(211, BENCH_Y, 158, 120, 92)
        + arrow(78, 112, 124, 70, 18)
        + water
    )


@scene("boil-full")
def boil_full() -> str:
    still = bubbles(42, 172, 126, 180, 7, (1.5, 3), 201)
    rolling = bubbles(198, 126, 280, 174, 17, (3, 8), 203)
    return (
        bench()
        + burner(82, BENCH_Y, 84, 8)
        + pot_cut(82, BENCH_Y - 18, 104, 96, 72, still)
        + steam(82, 82, 24, 1)
        + next_arrow(148, 140)
        + burner(240, BENCH_Y, 84)
        + pot_cut(240, BENCH_Y - 18, 104, 96, 72, rolling, boil=True)
        + steam(240, 82, 56, 4)
    )


@scene("boil-drop")
def boil_drop() -> str:
    falling = "".join(
        strand(d, 8)
        for d in (
            "M146 84C154 96 146 106 152 120",
            "M166 92C176 102 166 114 172 128",
            "M124 92C134 104 126 112 130 130",
            "M184 84C198 94 188 108 196 122",
        )
    )
    tray = box("p", -66, 0, 120, 8, 3) + path("i", "M-66 4V-8")
    return (
        bench()
        + burner(166, BENCH_Y, 150)
        + pot_cut(166, BENCH_Y - 18, 190, 70, 46, bubbles(84, 160, 250, 180, 18, (2, 5), 207), True)
        + falling
        + place(portion_side(-20, -1) + tray, 84, 62, 24)
        + arrow(228, 60, 228, 112)
        + steam(276, 96, 48, 2)
    )


@scene("boil-stir")
def boil_stir() -> str:
    strands = "".join(
        strand(f"M{x} {y}q14 -9 28 0t28 0t28 0", 8)
        for x, y in ((66, 190), (150, 191), (82, 177), (164, 178), (182, 164), (100, 163))
    )
    return (
        bench()
        + pot_cut(160, BENCH_Y, 226, 140, 112, strands, boil=True)
        + chopsticks(136, 192, 24, 12, 190)
        + arrow(112, 148, 96, 112, 8)
        + arrow(216, 148, 232, 112, -8)
        + turn_arrow(184, 72, 44, 150, 20, 9)
    )


@scene("boil-keep")
def boil_keep() -> str:
    strands = "".join(
        strand(f"M{x} {y}q10 -8 20 0t20 0", 7)
        for x, y in ((50, 140), (58, 158), (46, 174), (186, 140), (176, 158), (188, 174))
    )
    rising = bubbles(112, 116, 126, 178, 9, (2, 4), 211) + bubbles(
        146, 116, 160, 178, 9, (2, 4), 213
    )
    return (
        bench()
        + burner(136, BENCH_Y, 140)
        + pot_cut(136, BENCH_Y - 18, 204, 116, 90, rising + strands, boil=True)
        + arrow(136, 176, 136, 110)
        + arrow(98, 124, 70, 130, 4)
        + arrow(174, 124, 202, 130, -4)
        + steam(136, 66, 48, 4)
        + timer_dial(286, 166, 27, 0.7)
    )


@scene("boil-skim")
def boil_skim() -> str:
    foam = path("p t", "M40 118q-6 -12 8 -13q4 -10 15 -5q9 -9 18 0q12 -7 18 4q13 0 10 14z")
    scoop = path("p t", "M-20 0q0 -10 10 -9q6 -8 14 -2q12 -3 16 11z")
    return (
        bench()
        + pot_cut(140, BENCH_Y, 208, 116, 88)
        + foam
        + place(scoop + ladle(0, 0), 128, 88)
        + arrow(94, 92, 62, 46, -8)
        + path("bn", "M216 74C213 86 213 100 213 118H220C220 104 220 86 223 72Z")
        + path("t", "M216 74C213 86 213 100 213 118M223 72C220 86 220 104 220 118")
        + jug(276, 92, 30, -44)
    )


@scene("boil-test")
def boil_test() -> str:
    ends = ""
    for k, core in enumerate((26, 9, 0)):
        x = 28 + 100 * k
        ends += box("f", x, 112, 52, 52, 6)
        ends += box("p", x + 26 - core / 2, 138 - core / 2, core, core, core / 3) if core else ""
    return (
        strand("M112 70C124 74 140 80 152 76S186 66 206 74", 11)
        + chopsticks(152, 78, -38, 14, 82)
        + path("l", "M206 52V96")
        + ends
        + next_arrow(91, 138)
        + next_arrow(183, 138)
        + ring(254, 138, 42)
        + mm_bar(95, 220, 13)
    )


@scene("boil-sizes")
def boil_sizes() -> str:
    glasses = "".join(timer_glass(x, BENCH_Y) for x in (154, 198, 242, 286))
    return (
        bench()
        + box("f", 46, 60, 32, 32, 3)
        + path("t", "M46 112v-8M78 112v-8M46 108h32M188 112v-8M252 112v-8M188 108h64")
        + timer_glass(62, BENCH_Y)
        + path("l", "M114 28V196")
        + box("f", 188, 28, 64, 64, 4)
        + path("l", "M220 30V90M190 60H250")
        + glasses
    )


@scene("boil-lift")
def boil_lift() -> str:
    tangle = "".join(
        strand(f"M{-x} {y}q{x / 2} {bend} {x} 0t{x} 0", 7)
        for x, y, bend in ((18, 10, -8), (18, 22, 8), (16, 34, -8), (12, 46, 6))
    )
    return (
        bench()
        + pot_cut(140, BENCH_Y, 200, 74, 50, bubbles(54, 168, 228, 196, 16, (2, 5), 223), True)
        + place(deep_basket(tangle), 150, 58)
        + drops(((134, 134), (150, 142), (166, 132)))
        + arrow(98, 124, 98, 46)
        + steam(54, 120, 72, 3)
    )


@scene("boil-clump")
def boil_clump() -> str:
    lump = "".join(
        band(f"M{92 + 2 * k} {126 + 9 * k}q26 {-14 + 5 * k} 60 {-4 + k}t56 {2 - k}", 9)
        for k in range(6)
    )
    return (
        bench()
        + pot_cut(160, BENCH_Y, 226, 130, 104, lump + bubbles(60, 190, 260, 198, 8, (1.5, 3), 227))
        + ring(152, 150, 66)
    )


@scene("boil-broken")
def boil_broken() -> str:
    short = "".join(
        place(strand("M-10 0q10 -5 20 0", 8), x, y, turn)
        for x, y, turn in (
            (78, 176, 10),
            (108, 150, -40),
            (92, 128, 70),
            (140, 186, -8),
            (150, 136, 20),
            (172, 164, 60),
            (206, 184, 0),
            (204, 138, -30),
            (236, 162, 80),
            (240, 190, -14),
            (126, 168, 50),
        )
    )
    return (
        bench()
        + pot_cut(160, BENCH_Y, 226, 130, 100, short, boil=True)
        + strand("M40 40q24 -14 48 0t48 0t48 0t48 0", 8)
        + path("t", "M36 62v-8M236 62v-8M36 58h200")
    )


@scene("boil-over")
def boil_over() -> str:
    dome = (
        "M60 84Q68 56 88 62Q102 40 124 54Q144 36 164 54Q186 42 196 64Q216 62 222 84"
        "Q236 88 234 112Q236 132 228 134Q218 132 220 110V96H62Q66 124 56 128Q46 124 50 104"
        "Q48 88 60 84Z"
    )
    return (
        bench()
        + burner(140, BENCH_Y, 120, 17)
        + pot_cut(140, BENCH_Y - 18, 156, 100, 92)
        + path("p", dome)
        + bubbles(86, 64, 198, 84, 13, (4, 8), 229)
        + drops(((52, 156), (230, 164), (228, 190)))
        + circle("p", 282, 174, 13)
        + path("i", "M282 174V164")
        + turn_arrow(282, 174, 24, -30, -170)
    )
