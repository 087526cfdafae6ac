"""Drawings of what comes before the first flour: person, bench, knife and allergens."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    band,
    bench,
    box,
    bubbles,
    buckwheat_grain,
    circle,
    guide_above,
    hand_above,
    hand_flat,
    knife_above,
    knife_end,
    knife_side,
    magnifier,
    merged,
    next_arrow,
    num,
    path,
    pin_top,
    place,
    polyline,
    ring,
    scraper,
    tap,
    tub,
    turn_arrow,
    water_jet,
    wheat_ear,
)
from training.drawings.scenes import scene


def _apron(x: float, y: float) -> str:
    """Return an apron that hangs by its neck loop from a hook at (x, y)."""
    body = "M-24 34H24V62Q26 86 48 92V166Q48 172 42 172H-42Q-48 172 -48 166V92Q-26 86 -24 62Z"
    return place(
        path("i", "M-22 35Q-14 4 0 0Q14 4 22 35M-48 94Q-58 106 -54 132M48 94Q58 106 54 132")
        + path("p", body)
        + path("t", "M-24 42H24M-18 112H18V134Q18 140 12 140H-12Q-18 140 -18 134Z"),
        x,
        y,
    )


def _rail(x1: float, x2: float, y: float, hooks: tuple[float, ...]) -> str:
    pegs = "".join(path("i", f"M{num(x)} {num(y)}v8q0 6 6 6") for x in hooks)
    return box("b", x1, y - 8, x2 - x1, 10, 3) + pegs


@scene("start-dress")
def start_dress() -> str:
    cap = (
        path("p", "M-38 -8Q-52 -42 -24 -46Q-12 -60 4 -50Q26 -60 34 -42Q52 -36 38 -8Z")
        + box("b", -40, -12, 80, 24, 5)
        + path("t", "M-16 -14Q-20 -28 -14 -36M16 -14Q20 -28 16 -38")
    )
    watch = box("b", -6, -30, 12, 60, 3) + circle("p", 0, 0, 13) + path("t", "M0 -7V0L5 4")
    band_ring = circle("i", 0, 0, 11) + circle("i", 0, 0, 7)
    dish = path("p", "M196 176H304Q300 198 284 198H216Q200 198 196 176Z")
    return (
        _rail(20, 300, 24, (78, 226))
        + _apron(80, 30)
        + path("i", "M228 30V50")
        + place(cap, 228, 104)
        + place(watch, 232, 164, 62)
        + place(band_ring, 274, 166)
        + dish
        + path("i", "M184 206H308")
    )


@scene("start-hands")
def start_hands() -> str:
    return (
        water_jet(164, 62, 190, 11)
        + tap(164, 62)
        + path("b", "M20 190H300L292 216Q288 230 270 230H50Q32 230 28 216Z")
        + place(hand_flat(), 168, 132, 180)
        + place(hand_flat(), 152, 124)
        + bubbles(104, 98, 220, 166, 17, (3, 8), 5)
        + arrow(20, 102, 60, 102)
        + arrow(304, 154, 264, 154)
    )


def _glove(x: float, y: float, turn: float) -> str:
    """Return a thin glove on a hand seen from above, with its rolled cuff."""
    roots = [(-17.2, -13), (-5.7, -17), (5.8, -16), (17.2, -10)]
    fingers = [
        (polyline([(rx, ry + 8), (rx + 1.4 * k, ry - length)]), 16.0)
        for k, ((rx, ry), length) in enumerate(zip(roots, (30, 35, 31, 24), strict=True), start=-2)
    ]
    thumb = (polyline([(-12, 20), (-21, 12), (-36, -8)]), 17.0)
    palm = "M-23 -12C-25 4 -24 20 -17 34L-20 62H20L17 34C22 20 24 4 24 -8Z"
    return place(
        merged([*fingers, thumb], [palm], fill="b")
        + box("b", -23, 58, 46, 10, 5)
        + path("t", "M-12 44Q0 38 12 44"),
        x,
        y,
        turn,
    )


@scene("start-cuts")
def start_cuts() -> str:
    plaster = box("b", -10, -8, 20, 17, 4) + box("p t", -5, -5, 10, 11, 2)
    return (
        place(hand_above((36, 42, 38, 29), 7, (-37, -4), 84), 82, 122)
        + place(plaster, 62.5, 86, -11)
        + ring(62.5, 86, 20)
        + next_arrow(142, 122)
        + _glove(244, 122, 0)
    )


@scene("start-ill")
def start_ill() -> str:
    house = "M20 112L90 46L160 112H148V206H32V112Z"
    calls = "".join(
        f"M{112 + 9 * k} {148 - 7 * k}q{7 + 2 * k} {14 + 3 * k} 0 {28 + 8 * k}" for k in range(3)
    )
    return (
        path("p", house)
        + path("i", "M20 112L90 46L160 112")
        + box("p", 66, 122, 40, 72, 7)
        + box("t", 71, 132, 30, 46, 2)
        + path("a", calls)
        + bench(12, 308)
        + path("l", "M182 34V198")
        + _rail(200, 304, 24, (248,))
        + place(_apron(0, 0), 252, 30)
    )


@scene("start-bench")
def start_bench() -> str:
    cloth = "M28 186Q26 172 42 171Q72 175 100 171T158 171T216 171T274 171Q294 170 294 180T284 186Z"
    return (
        bench(12, 308, 186)
        + path("b", cloth)
        + box("p", 46, 147, 230, 24, 4)
        + path("l", "M46 132V216M276 132V216")
        + place(hand_flat(), 164, 145)
        + arrow(116, 86, 212, 86, both=True)
        + ring(44, 174, 20)
    )


@scene("start-tools")
def start_tools() -> str:
    brush = (
        box("b", -6, 0, 12, 44, 5)
        + path("p", "M-14 0H14L18 -30H-18Z")
        + path("t", "M-8 -6L-10 -26M0 -6V-26M8 -6L10 -26")
    )
    cloth = path("b", "M-44 -22Q-20 -28 0 -22T44 -22V22Q20 28 0 22T-44 22Z") + path(
        "t", "M-30 -8Q-10 -14 4 -8M-8 10Q14 4 32 10"
    )
    return (
        box("l", 10, 14, 300, 212, 10)
        + place(pin_top(272, 8), 160, 44)
        + place(guide_above(88, 118), 116, 84)
        + place(knife_above(98, 40), 146, 178)
        + place(scraper(), 210, 128)
        + place(brush, 276, 116)
        + place(cloth, 224, 182)
    )


@scene("start-carry")
def start_carry() -> str:
    guard = path("b", "M-118 -22H44V4Q44 12 36 12H-110Q-118 12 -118 4Z") + path("t", "M-104 2H30")
    return (
        place(knife_side(), 186, 88)
        + place(guard, 186, 168)
        + arrow(100, 140, 100, 104)
        + arrow(212, 140, 212, 104)
    )


@scene("start-sharpen")
def start_sharpen() -> str:
    edge = path("p", "M-30 26L34 -22L42 -8L-20 28Q-30 30 -33 22L-29 21Q-29 25 -24 24Z")
    return (
        bench()
        + path("p", "M14 206Q12 190 28 189H246Q264 190 260 206Z")
        + box("b", 34, 158, 206, 30, 4)
        + path("l", "M42 174H232")
        + place(knife_end(126), 68, 157, 73)
        + path("l", "M68 157H232")
        + path("a", "M168 157A100 100 0 0 0 163.6 127.8")
        + arrow(58, 116, 112, 100, both=True)
        + magnifier(254, 60, 46, 68, 157)
        + path("t", "M211 76H297")
        + place(edge, 256, 50)
    )


@scene("start-allergens")
def start_allergens() -> str:
    egg = path("p", "M0 -28C16 -28 24 -4 24 8A24 22 0 0 1 -24 8C-24 -4 -16 -28 0 -28Z")
    fish = (
        path("b", "M-40 0Q-14 -28 20 -10L42 -22Q36 0 42 20L20 9Q-14 26 -40 0Z")
        + circle("k", -24, -3, 2.5)
        + path("t", "M-12 -13Q-6 0 -12 13M2 -8Q6 0 2 7")
    )
    pod = (
        path("b", "M-40 10Q-36 -14 -8 -12T38 -22Q44 6 14 14T-40 10Z")
        + circle("f t", -22, 1, 8)
        + circle("f t", 0, 0, 8)
        + circle("f t", 21, -6, 8)
    )
    seed = path("f t", "M0 -9Q7 0 4 6Q0 10 -4 6Q-7 0 0 -9Z")
    seeds = "".join(
        place(seed, x, y, turn)
        for x, y, turn in (
            (-30, -12, 20),
            (-8, -20, -40),
            (16, -14, 70),
            (34, 4, -15),
            (-22, 14, 100),
            (2, 6, 15),
            (20, 20, -60),
            (-4, 28, 40),
        )
    )
    places = ((58, 68), (160, 68), (262, 68), (58, 176), (160, 176), (262, 176))
    signs = (
        wheat_ear(78),
        place(buckwheat_grain(36), -18, 10, -14)
        + place(buckwheat_grain(36), 20, 12, 16)
        + place(buckwheat_grain(36), 1, -20),
        egg,
        fish,
        pod,
        seeds,
    )
    return "".join(
        box("t", x - 48, y - 48, 96, 96, 10) + place(sign, x, y)
        for sign, (x, y) in zip(signs, places, strict=True)
    )


@scene("start-apart")
def start_apart() -> str:
    scoop = path("p", "M-20 0H18V14Q18 22 8 22H-8Q-18 20 -20 0Z") + path("i", "M18 6H46")

    def flour(cls: str) -> str:
        return path(cls, "M-19 0Q-10 -2 -1 -15Q8 -2 17 0Z")

    return (
        bench()
        + tub(74, BENCH_Y, 100, 92, wheat_ear(50))
        + tub(246, BENCH_Y, 100, 92, buckwheat_grain(42))
        + place(flour("f") + scoop, 64, 30)
        + place(flour("b") + scoop, 236, 30)
        + path("l", "M160 16V226")
        + arrow(74, 62, 74, 94)
        + arrow(246, 62, 246, 94)
    )


@scene("start-fault-pin")
def start_fault_pin() -> str:
    return (
        bench(12, 308, 176)
        + band("M34 166Q160 132 286 166", 22, "p")
        + path("t", "M49 152L54 172M271 152L266 172")
        + ring(160, 168, 22)
        + turn_arrow(160, 120, 46, 200, 340, 34)
    )
