"""Drawings of closing: dough and flour put away, tools cleaned, the day written down."""

from training.drawings.parts import (
    arrow,
    bench,
    box,
    bunched_cloth,
    circle,
    clipboard,
    crumbs,
    dough_ball,
    drops,
    hand_above,
    knife_side,
    path,
    pin_top,
    place,
    ring,
    sack,
    scraper,
    snowflake,
    sun,
    tub,
    wall_thermometer,
    waste_bin,
    wheat_ear,
)
from training.drawings.scenes import scene


@scene("close-dough")
def close_dough() -> str:
    tag = (
        box("p", 0, 0, 46, 34, 4) + circle("i", 8, 8, 2.5) + path("t", "M16 10H38M8 18H38M8 26H28")
    )
    return (
        box("p", 56, 14, 214, 214, 10)
        + box("i", 70, 28, 186, 186, 5)
        + snowflake(102, 62, 20)
        + wall_thermometer(226, 38, 76, 0.3)
        + path("i", "M70 192H256")
        + path(
            "v", "M82 190C78 140 104 114 142 112L160 96L176 104L168 116C196 124 212 152 208 190Z"
        )
        + dough_ball(145, 188, 104, 54)
        + path("i", "M82 190C78 140 104 114 142 112L160 96L176 104L168 116C196 124 212 152 208 190")
        + path("t", "M140 116L168 118")
        + path("i", "M166 116Q190 108 196 126")
        + place(tag, 190, 128, 10)
    )


@scene("close-flour")
def close_flour() -> str:
    return (
        tub(70, 174, 76, 84, wheat_ear(40))
        + tub(164, 174, 76, 84, wheat_ear(40))
        + sack(256, 176, 74, 96, wheat_ear(40))
        + box("p", 18, 176, 286, 10, 3)
        + path("i", "M34 186V220M288 186V220")
        + bench(8, 312, 222)
        + arrow(288, 46, 34, 46)
        + arrow(160, 192, 160, 218, both=True)
    )


@scene("close-pin")
def close_pin() -> str:
    lengths = (26, 30, 28, 21)
    return (
        place(pin_top(296, 11), 160, 92)
        + place(bunched_cloth(), 176, 92)
        + place(hand_above(lengths, 3, (-28, -12), 92), 184, 116, -10)
        + arrow(60, 56, 134, 56)
        + arrow(222, 56, 290, 56)
    )


@scene("close-board")
def close_board() -> str:
    rack = (
        "M96 206V194H126V150Q126 146 132 146T138 150V194H182V150Q182 146 188 146T194 150V194H224"
        "V206Z"
    )
    return (
        bench()
        + box("p", 146, 36, 28, 158, 3)
        + path("b", rack)
        + drops(((120, 112), (206, 96), (214, 136)), 4)
        + arrow(36, 72, 112, 72)
        + arrow(36, 132, 92, 132)
        + arrow(288, 72, 222, 72)
        + arrow(288, 132, 238, 132)
    )


@scene("close-knife")
def close_knife() -> str:
    cloth = path("b", "M-34 -16Q-12 -24 8 -18T36 -16Q40 2 34 14Q10 24 -8 18T-36 16Q-40 0 -34 -16Z")
    return (
        box("p", 14, 22, 292, 150, 8)
        + place(knife_side(), 134, 58, 180)
        + place(cloth, 164, 98)
        + place(hand_above((24, 28, 26, 20), 3, (-26, -8), 92), 168, 130, -8)
        + arrow(220, 102, 220, 38)
    )


@scene("close-film")
def close_film() -> str:
    peg = box("b", -4, -8, 8, 20, 2)
    sheet = "M40 56Q110 62 176 55V178Q154 170 132 178T86 178T40 178Z"
    thrown = "M226 156Q232 138 246 146Q254 128 266 142Q282 138 282 158"
    return (
        path("i", "M12 50Q110 66 208 50")
        + path("v", sheet)
        + path("i", sheet)
        + place(peg, 62, 56)
        + place(peg, 154, 56)
        + circle("p", 112, 114, 4)
        + path("l", "M244 68L132 108M92 121L52 135")
        + ring(112, 114, 14)
        + sun(264, 60, 18)
        + path("v", thrown + "Z")
        + path("t", thrown + "M246 146L242 156M266 142L262 154")
        + waste_bin(254, 226)
    )


@scene("close-bench")
def close_bench() -> str:
    return (
        box("p", 14, 22, 292, 196, 8)
        + path("a", "M270 52H54Q38 52 38 70T54 88H262Q278 88 278 106T262 124H96")
        + arrow(110, 124, 82, 124)
        + place(bunched_cloth(), 222, 172, -8)
        + crumbs(66, 172, 26, 8, (2, 5), 13)
        + place(scraper(), 108, 178, 70)
    )


@scene("close-records")
def close_records() -> str:
    rows = "".join(
        f"M146 {y}h{w}" for y, w in ((66, 62), (94, 48), (122, 56), (150, 62), (178, 40))
    )
    ticks = "".join(f"M118 {y - 4}l6 7l11 -14" for y in (66, 94, 122, 150))
    return (
        wall_thermometer(42, 60, 116, 0.28)
        + snowflake(42, 34, 16)
        + clipboard(92, 20, 140, 200)
        + path("t", rows)
        + path("i", ticks)
        + box("t", 117, 170, 16, 16, 2)
        + ring(125, 178, 18)
        + place(
            path("p", "M0 0L-6 -16V-92H6V-16Z")
            + path("t", "M-6 -16H6")
            + box("b", -6, -104, 12, 14, 3),
            214,
            190,
            32,
        )
    )


@scene("close-fault-board")
def close_fault_board() -> str:
    return (
        bench(12, 308, 166)
        + path("p", "M34 112Q160 162 286 112L292 136Q160 196 28 136Z")
        + path("l", "M24 138H296")
        + ring(44, 150, 24)
        + ring(276, 150, 24)
        + arrow(290, 74, 290, 100)
    )
