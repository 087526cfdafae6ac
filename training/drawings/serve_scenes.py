"""Drawings of the module on serving."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    band,
    bench,
    bowl_top,
    box,
    bubbles,
    chopsticks,
    circle,
    deep_basket,
    drops,
    egg_half,
    fish_cake,
    fried_tofu,
    fritter,
    ladle,
    leek_rings,
    next_arrow,
    order_slip,
    path,
    place,
    pot_cut,
    ring,
    soup_bowl,
    soup_level,
    steam,
    strand,
    timer_dial,
    turn_arrow,
)
from training.drawings.scenes import scene


def _folds(cx: float, cy: float, w: float, count: int = 7) -> str:
    """Return noodles laid in one fold, seen from above: strands side by side, all one way."""
    half = w / 2
    return "".join(
        band(
            f"M{cx - half + abs(k - count // 2) * 5:g} {cy + (k - count // 2) * 11 - 4:g}"
            f"q{half / 2:g} 8 {half:g} 2t{half - 2 * abs(k - count // 2) * 5:g} 2",
            9,
        )
        for k in range(count)
    )


def _side_noodles(cx: float, base: float, w: float, count: int = 4) -> str:
    """Return folded noodles lying in a cut bowl, `base` their foot."""
    return "".join(
        strand(
            f"M{cx - w * r:g} {base - 10 * k:g}q{w * r / 2:g} {9 if k % 2 else -9} {w * r:g} 0"
            f"t{w * r:g} 0",
            9,
        )
        for k in range(count)
        for r in (0.26 + 0.06 * min(k, 3),)
    )


@scene("serve-order")
def serve_order() -> str:
    return (
        box("b", 30, 26, 260, 12, 3)
        + order_slip(52, 34, 92, 124, 6)
        + order_slip(176, 34, 92, 124, 6)
        + ring(222, 120, 26)
        + soup_bowl(98, 226, 84, 38)
        + steam(98, 182, 16, 3)
        + soup_bowl(222, 226, 84, 38)
    )


@scene("serve-bowl")
def serve_bowl() -> str:
    return (
        bench()
        + soup_bowl(82, BENCH_Y, 124, 76, soup_level(82, BENCH_Y, 124, 76, 0.85), cut=True)
        + steam(82, 124, 56, 4)
        + next_arrow(150, 160)
        + place(soup_bowl(0, 0, 112, 68), 274, 104, -100)
        + drops(((214, 180), (206, 194), (222, 196)), 4)
        + turn_arrow(262, 106, 62, -55, -125)
    )


@scene("serve-move")
def serve_move() -> str:
    tight = "".join(
        strand(f"M-16 {y}q8 {bend} 16 0t16 0", 8)
        for y, bend in ((22, -6), (30, 6), (38, -6), (46, 4))
    )
    loose = "".join(
        strand(d, 7)
        for d in (
            "M-21 4C-14 16 -24 26 -16 42",
            "M-8 -2C2 14 -14 28 -4 48",
            "M4 6C12 18 0 32 7 49",
            "M17 -2C24 14 10 26 17 40",
        )
    )
    return (
        bench()
        + pot_cut(76, BENCH_Y, 104, 118, 92, bubbles(32, 184, 120, 198, 7, (2, 4), 401), True)
        + place(deep_basket(tight), 94, 114, 18, mirror=True)
        + next_arrow(147, 182)
        + pot_cut(244, BENCH_Y, 104, 118, 92, bubbles(200, 184, 288, 198, 7, (2, 4), 403), True)
        + place(deep_basket(loose), 226, 114, -18)
        + arrow(196, 74, 232, 74, both=True)
        + timer_dial(160, 44, 22, 0.12)
    )


@scene("serve-shake")
def serve_shake() -> str:
    packed = "".join(
        strand(f"M{-x} {y}q{x / 2} {bend} {x} 0t{x} 0", 8)
        for x, y, bend in ((18, 22, -8), (17, 32, 8), (14, 42, -8), (10, 50, 4))
    )
    return (
        bench()
        + pot_cut(140, BENCH_Y, 200, 62, 40)
        + place(deep_basket(packed), 140, 54)
        + drops(((124, 132), (140, 126), (156, 134), (132, 150), (150, 152)), 4)
        + arrow(82, 56, 82, 116, both=True)
        + steam(258, 140, 48, 2)
    )


@scene("serve-fold")
def serve_fold() -> str:
    return (
        bowl_top(150, 126, 104)
        + _folds(150, 122, 148)
        + chopsticks(214, 122, 52, 12, 100)
        + arrow(86, 60, 206, 60, 6)
    )


@scene("serve-stock")
def serve_stock() -> str:
    stock = soup_level(126, BENCH_Y, 184, 88, 0.76)
    return (
        bench()
        + soup_bowl(126, BENCH_Y, 184, 88, stock + _side_noodles(118, 184, 140, 6), cut=True)
        + path("bn", "M191 98C185 108 185 118 185 138H192C192 122 192 112 198 102Z")
        + path("t", "M191 98C185 108 185 118 185 138M198 102C192 112 192 122 192 138")
        + ladle(215, 94, -24)
        + turn_arrow(215, 94, 56, -20, -64)
        + steam(84, 108, 56, 3)
    )


@scene("serve-toppings")
def serve_toppings() -> str:
    return (
        bowl_top(150, 122, 108)
        + circle("b t", 150, 122, 100)
        + _folds(146, 136, 150, 6)
        + fried_tofu(112, 84, -14)
        + egg_half(188, 92)
        + fish_cake(204, 140, 14)
        + leek_rings(118, 150, 26, 9, 411)
    )


@scene("serve-two")
def serve_two() -> str:
    return (
        path("i", "M20 104H246M20 188H246")
        + box("b", 24, 84, 222, 20, 3)
        + timer_dial(46, 50, 20, 0.92)
        + box("f", 82, 36, 28, 28, 3)
        + box("b", 164, 168, 82, 20, 3)
        + timer_dial(186, 136, 20, 0.34)
        + box("f", 216, 130, 13, 13, 2)
        + path("l", "M246 24V214")
        + soup_bowl(284, 112, 52, 30)
        + steam(284, 72, 34, 3, 14)
        + soup_bowl(284, 196, 52, 30)
        + steam(284, 156, 34, 3, 14)
    )


@scene("serve-wipe")
def serve_wipe() -> str:
    cloth = "M196 70Q216 54 238 62Q262 56 268 78Q276 98 258 106Q238 100 222 108Q198 108 196 88Z"
    return (
        box("p", 14, 20, 292, 204, 12)
        + box("t", 24, 30, 272, 184, 8)
        + bowl_top(136, 120, 80)
        + circle("b t", 136, 120, 73)
        + _folds(134, 124, 106, 5)
        + leek_rings(140, 112, 16, 5, 421)
        + path("p", cloth)
        + path("t", "M206 80Q220 70 232 76M228 96Q244 88 256 94")
        + turn_arrow(136, 120, 98, 4, 46)
        + chopsticks(266, 206, 0, 8, 84)
    )


@scene("serve-lump")
def serve_lump() -> str:
    return (
        bowl_top(84, 118, 74)
        + circle("b t", 84, 118, 67)
        + "".join(band(f"M{54} {96 + 9 * k}q30 {-12 + 4 * k} 60 0", 9) for k in range(6))
        + path("l", "M163 30V206")
        + bowl_top(242, 118, 74)
        + circle("b t", 242, 118, 67)
        + _folds(240, 118, 104)
    )


@scene("serve-full")
def serve_full() -> str:
    def bowl(cx: float, share: float) -> str:
        return soup_bowl(
            cx,
            BENCH_Y,
            124,
            78,
            soup_level(cx, BENCH_Y, 124, 78, share) + _side_noodles(cx, 186, 92, 4),
            cut=True,
        )

    return (
        bench()
        + bowl(84, 0.98)
        + drops(((18, 150), (152, 152), (16, 178)), 4)
        + ring(144, 128, 22)
        + path("l", "M163 40V196")
        + bowl(242, 0.7)
        + arrow(242, 92, 242, 140, both=True)
    )


@scene("serve-crisp")
def serve_crisp() -> str:
    return (
        bowl_top(80, 118, 70)
        + circle("b t", 80, 118, 63)
        + _folds(78, 118, 92, 6)
        + fritter(84, 118, 34, 431)
        + path("v", "M22 112Q50 100 80 112T138 112Q142 150 110 170Q76 190 44 166Q20 146 22 112Z")
        + path("l", "M160 30V206")
        + bowl_top(220, 92, 54)
        + circle("b t", 220, 92, 47)
        + _folds(218, 92, 70, 5)
        + circle("p", 276, 178, 36)
        + circle("t", 276, 178, 30)
        + fritter(276, 178, 22, 431)
    )
