"""The drawings, each composed of shared parts: one function per drawing, registered by its name."""

from collections.abc import Callable
from math import cos, pi, sin

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    band,
    bench,
    bench_scale,
    blob,
    bowl_cut,
    bowl_side,
    bowl_top,
    box,
    caliper,
    card_corners,
    circle,
    cloth_over,
    crumbs,
    cutting_board,
    dough_ball,
    dust,
    ellipse,
    fist,
    folded_side,
    glass,
    guide_above,
    guide_end,
    hand_above,
    hand_flat,
    jug,
    knife_above,
    knife_end,
    knife_side,
    magnifier,
    measuring_card,
    mm_bar,
    moving,
    next_arrow,
    path,
    pin_end,
    pin_top,
    place,
    polygon,
    portion_side,
    pressing_finger,
    probe,
    ring,
    sections,
    sheet_top,
    slab,
    smooth,
    sock_side,
    sole,
    strand,
    timer_glass,
    turn_arrow,
)

Scene = Callable[[], str]
SCENES: dict[str, Scene] = {}


def scene(name: str) -> Callable[[Scene], Scene]:
    """Register a drawing under `name`, which is also its file name."""

    def register(function: Scene) -> Scene:
        SCENES[name] = function
        return function

    return register


# Mixing


@scene("mix-weigh")
def mix_weigh() -> str:
    flour = path("f", "M56 106Q84 96 100 76Q113 66 126 76Q142 96 170 106Z")
    return (
        bench()
        + bench_scale(113, BENCH_Y)
        + flour
        + bowl_side(113, BENCH_Y - 40, 124, 58)
        + dust(105, 36, 121, 62, 14, 3)
        + arrow(140, 26, 140, 60)
        + glass(216, BENCH_Y, 38, 78, 48)
        + path("p", "M254 186Q273 164 292 186Z")
        + path("p", "M246 186H300Q297 206 284 206H262Q249 206 246 186Z")
    )


@scene("mix-brine")
def mix_brine() -> str:
    crystals = "".join(
        place(box("p t", -2.5, -2.5, 5, 5), x, y, 20 * k)
        for k, (x, y) in enumerate(
            ((56, 60), (70, 74), (60, 88), (52, 199), (62, 194), (72, 200), (83, 198), (96, 200))
        )
    )
    spoon = path("i", "M112 58L86 160") + ellipse("p", 83, 172, 8, 13)
    return (
        bench()
        + glass(76, BENCH_Y, 74, 108, 78)
        + crystals
        + spoon
        + turn_arrow(76, 148, 26, 150, -20, 9)
        + next_arrow(128, 150)
        + glass(206, BENCH_Y, 74, 108, 78)
        + path("t", "M184 162l12 -12M188 178l26 -26")
        + timer_glass(280, BENCH_Y)
    )


@scene("mix-pour")
def mix_pour() -> str:
    flour = path("fn", "M78 146Q136 124 194 146C190 176 164 199 160 199H112C108 199 82 176 78 146Z")
    surface = path("i", "M78 146Q136 124 194 146")
    wet = path("bn", "M114 138Q136 131 158 138Q152 156 136 156T114 138Z")
    stream = path("bn", "M139 84C135 100 135 118 135 134H142C142 118 142 98 146 82Z") + path(
        "i", "M139 84C135 100 135 118 135 134M146 82C142 98 142 118 142 134"
    )
    return (
        bench()
        + bowl_cut(136, BENCH_Y, 128, 78, flour + surface + wet)
        + stream
        + jug(218, 92, 38, -52, thirds=True)
        + turn_arrow(136, 168, 34, 165, 15, 11)
    )


@scene("mix-claw")
def mix_claw() -> str:
    return (
        bowl_top(150, 118, 104)
        + crumbs(150, 118, 92, 58, (3, 7), 11)
        + place(hand_above((32, 38, 36, 28), 15, (-42, -2), 104), 164, 126, -28)
        + turn_arrow(150, 118, 80, 120, 210)
        + turn_arrow(150, 118, 80, -60, 30)
    )


@scene("mix-rub")
def mix_rub() -> str:
    flour = path(
        "f", "M84 170Q120 154 160 162T236 170C228 186 204 200 196 200H124C116 200 92 186 84 170Z"
    )
    return (
        bench()
        + crumbs(160, 128, 42, 22, (2, 4.5), 21, 0.6)
        + bowl_cut(160, BENCH_Y, 176, 58, flour)
        + place(hand_flat(), 168, 88, 180)
        + place(hand_flat(), 152, 80)
        + arrow(18, 60, 60, 60)
        + arrow(302, 108, 260, 108)
    )


@scene("mix-crumbs")
def mix_crumbs() -> str:
    return (
        bowl_top(104, 122, 88)
        + crumbs(104, 122, 78, 68, (4.8, 6.2), 31)
        + magnifier(250, 92, 56, 150, 108)
        + crumbs(250, 92, 51, 13, (10, 12), 37)
    )


@scene("mix-lump")
def mix_lump() -> str:
    squeezed = path("f", "M-26 -18Q-28 -40 -10 -36Q4 -48 17 -36Q32 -32 26 -12Z")
    lump = [
        (0, 0),
        (18, -18),
        (44, -15),
        (66, -24),
        (86, -12),
        (94, 10),
        (84, 28),
        (58, 30),
        (32, 36),
        (8, 24),
    ]
    return (
        place(fist(squeezed), 84, 112)
        + arrow(28, 52, 50, 78)
        + arrow(140, 52, 118, 78)
        + next_arrow(146, 116)
        + place(
            path("f", smooth(lump))
            + path("t", "M20 -2q7 12 3 24M41 -6q7 12 3 26M62 -10q7 12 3 26"),
            208,
            106,
        )
    )


@scene("mix-rest")
def mix_rest() -> str:
    return (
        bench()
        + dough_ball(120, BENCH_Y - 50, 96, 46)
        + bowl_side(120, BENCH_Y, 160, 72)
        + cloth_over(26, 214, 106, 152)
        + timer_glass(266, BENCH_Y)
    )


@scene("mix-buckwheat")
def mix_buckwheat() -> str:
    bowls = ""
    for k, cx in enumerate((60, 160, 260)):
        bowls += bowl_top(cx, 124, 46)
        if k == 0:
            bowls += crumbs(cx, 124, 38, 46, (1.8, 3), 51)
        elif k == 1:
            bowls += crumbs(cx, 124, 38, 13, (6, 9), 53)
        else:
            bowls += blob("f", cx, 124, 27, 57, 0.07)
    return (
        bowls
        + arrow(84, 58, 136, 58, 9)
        + arrow(184, 58, 236, 58, 9)
        + "".join(
            arrow(260 + 58 * dx, 124 + 58 * dy, 260 + 31 * dx, 124 + 31 * dy)
            for dx, dy in ((0.7, -0.7), (-0.7, -0.7), (-0.7, 0.7), (0.7, 0.7))
        )
    )


@scene("fault-dry-flour")
def fault_dry_flour() -> str:
    return (
        bowl_top(104, 122, 88)
        + crumbs(104, 100, 50, 16, (4, 9), 61)
        + path("fn", "M44 150Q70 136 104 150T164 150Q150 192 104 194T44 150Z")
        + dust(56, 152, 152, 186, 60, 63)
        + magnifier(250, 92, 56, 110, 170)
        + circle("fn", 250, 92, 54)
        + crumbs(250, 84, 44, 4, (7, 10), 65, fill="p")
        + dust(212, 56, 288, 128, 70, 67)
        + circle("i", 250, 92, 56)
    )


@scene("fault-paste")
def fault_paste() -> str:
    smear = [
        (54, 96),
        (90, 74),
        (120, 92),
        (156, 84),
        (164, 120),
        (140, 142),
        (150, 168),
        (112, 176),
        (92, 158),
        (58, 172),
        (40, 138),
        (62, 124),
    ]
    stretched = (
        "M228 68C232 62 240 68 249 65S268 62 270 70C272 80 262 84 258 92C255 102 266 114 296 124"
        "A56 56 0 0 1 204 124C234 114 244 104 241 92C238 84 226 80 228 68Z"
    )
    return (
        bowl_top(104, 122, 88)
        + path("f", smooth(smear))
        + path("t", "M70 110q18 -14 34 0M120 112q14 -10 26 2M84 146q14 -12 30 0")
        + magnifier(250, 92, 56, 140, 130)
        + band("M240 48V70M257 48V72", 17, "p")
        + path("f", stretched)
        + circle("i", 250, 92, 56)
    )


# Treading and resting


@scene("tread-film")
def tread_film() -> str:
    return (
        path("v", "M44 118H276V222H44Z")
        + path("i", "M44 118H276V222H44Z")
        + blob("f", 160, 172, 44, 71, 0.05)
        + path("v", "M44 118L66 40H254L276 118Z")
        + path("i", "M44 118L66 40H254L276 118")
        + path("l", "M44 118H276")
        + arrow(160, 52, 160, 138, -34)
    )


@scene("tread-middle")
def tread_middle() -> str:
    dough = (
        "M52 190C46 168 66 156 88 160C104 163 110 170 124 171H214"
        "C226 170 234 162 248 158C268 154 278 170 270 190Z"
    )
    over = (
        "M34 190C38 154 64 148 90 153C106 157 112 164 126 165H212"
        "C226 164 234 154 250 151C274 148 286 160 290 190"
    )
    return (
        bench()
        + box("b", 30, 198, 264, 8, 3)
        + path("f", dough)
        + path("i", over + "Q291 197 284 197H40Q33 197 34 190")
        + place(sock_side(), 130, 163)
        + arrow(102, 66, 102, 124)
        + arrow(132, 181, 86, 181)
        + arrow(194, 181, 240, 181)
    )


@scene("tread-turn")
def tread_turn() -> str:
    return (
        path("v", "M30 20H290V220H30Z")
        + path("i", "M30 20H290V220H30Z")
        + ellipse("f", 160, 120, 92, 78)
        + moving(
            "left",
            place(sole(56), 144, 146, -14),
            4,
            {
                4: "transform:none",
                12: "transform:translate(-14px,0)",
                36: "transform:translate(-14px,0)",
                44: "transform:translate(-28px,0)",
                68: "transform:translate(-28px,0)",
                88: "transform:none",
            },
        )
        + moving(
            "right",
            place(sole(56), 176, 146, 14, mirror=True),
            4,
            {
                20: "transform:none",
                28: "transform:translate(14px,0)",
                52: "transform:translate(14px,0)",
                60: "transform:translate(28px,0)",
                84: "transform:translate(28px,0)",
            },
        )
        + arrow(126, 120, 80, 120)
        + arrow(194, 120, 240, 120)
        + arrow(160, 82, 160, 52)
        + arrow(160, 160, 160, 190)
        + turn_arrow(160, 120, 112, -52, -14, 96)
    )


@scene("tread-fold")
def tread_fold() -> str:
    return (
        bench(12, 308, 96)
        + slab(30, 290, 96, 17)
        + path("l", "M116 72V102M204 72V102")
        + arrow(276, 76, 160, 72, -22)
        + arrow(60, 112, 60, 150)
        + bench()
        + band("M112 155H206C222 155 222 176 206 176H114C98 176 98 197 114 197H208", 18)
        + turn_arrow(266, 170, 24, -160, 110)
    )


@scene("tread-hand")
def tread_hand() -> str:
    lengths = (32, 37, 34, 26)
    return (
        path(
            "f",
            "M160 12C222 10 262 44 258 88C254 136 214 160 160 160S66 136 62 88C58 44 98 14 160 12Z",
        )
        + place(hand_above(lengths, 3, (-30, -12), 84), 128, 132, 12, mirror=True)
        + place(hand_above(lengths, 3, (-30, -12), 84), 192, 132, -12)
        + arrow(160, 82, 160, 28)
        + turn_arrow(160, 86, 120, -40, 10, 96)
    )


@scene("tread-rest")
def tread_rest() -> str:
    knot = "M206 116L238 88Q246 92 242 100Q252 102 250 110Q254 120 246 122Z"
    return (
        bench()
        + path(
            "v",
            "M26 204C22 128 66 98 120 98C160 98 190 104 208 118L214 126C222 148 224 176 220 204Z",
        )
        + dough_ball(122, BENCH_Y - 3, 156, 84)
        + path("v", knot)
        + path(
            "i",
            "M26 204C22 128 66 98 120 98C160 98 190 104 206 116M214 126C222 148 224 176 220 204H26",
        )
        + path("i", knot)
        + path("i", "M203 122L216 114")
        + path("t", "M52 144Q62 122 84 114M186 190Q200 176 200 156")
        + timer_glass(278, BENCH_Y)
    )


def _dent(cx: float, depth: float) -> str:
    base, half, top = 190.0, 40.0, 146.0
    return path(
        "f",
        f"M{cx - 30} {base}C{cx - half - 8} {base - 4} {cx - half - 2} {top} {cx - 16} {top}"
        f"C{cx - 6} {top} {cx - 6} {top + depth} {cx} {top + depth}"
        f"S{cx + 6} {top} {cx + 16} {top}"
        f"C{cx + half + 2} {top} {cx + half + 8} {base - 4} {cx + 30} {base}Z",
    )


@scene("tread-dent")
def tread_dent() -> str:
    return (
        bench(8, 312, 190)
        + _dent(54, 24)
        + place(pressing_finger(), 54, 168)
        + next_arrow(98, 214)
        + _dent(164, 22)
        + next_arrow(206, 214)
        + timer_glass(218, 122)
        + _dent(270, 6)
        + arrow(270, 178, 270, 158)
    )


@scene("tread-ball")
def tread_ball() -> str:
    from_middle = [
        (0.30, 0.72),
        (0.26, 0.60),
        (0.30, 0.78),
        (0.24, 0.62),
        (0.30, 0.7),
        (0.26, 0.64),
        (0.28, 0.76),
        (0.26, 0.6),
        (0.3, 0.72),
    ]
    pleats = ""
    for k, (near, far) in enumerate(from_middle):
        angle = 2 * pi * k / len(from_middle)
        (x1, y1), (xm, ym), (x2, y2) = (
            (160 + 84 * r * cos(angle + b), 120 + 84 * r * sin(angle + b))
            for r, b in ((near, 0), ((near + far) / 2, 0.22), (far, 0.18))
        )
        pleats += path("t", f"M{x1:.0f} {y1:.0f}Q{xm:.0f} {ym:.0f} {x2:.0f} {y2:.0f}")
    return (
        circle("f", 160, 120, 84)
        + pleats
        + blob("t", 160, 120, 13, 77, 0.3)
        + "".join(
            arrow(160 + 116 * dx, 120 + 116 * dy, 160 + 70 * dx, 120 + 70 * dy)
            for dx, dy in ((0.8, -0.6), (-0.8, -0.6), (0.8, 0.6), (-0.8, 0.6))
        )
    )


@scene("fault-cold-dough")
def fault_cold_dough() -> str:
    return (
        bench()
        + dough_ball(140, BENCH_Y, 196, 110)
        + probe(146, 152, 28)
        + path("l", "M146 152L128 186")
    )


@scene("fault-torn-skin")
def fault_torn_skin() -> str:
    tear = (
        "M150 74L158 96L148 104L162 122L152 132L168 158L176 134L170 124L184 108L176 98L190 75"
        "Q170 71 150 74Z"
    )
    small = path("p", "M0 0L14 -9L20 -4L36 -8L26 3L12 5Z")
    return (
        bench()
        + dough_ball(160, BENCH_Y, 226, 132)
        + path("p", tear)
        + path("p1", "M154 74H186", 5)
        + place(small, 86, 134)
        + place(small, 222, 166, 24)
        + path("t", "M96 160q10 -6 20 0M110 176q10 -6 20 0M206 128q10 -4 16 4")
    )


@scene("fault-dry-rim")
def fault_dry_rim() -> str:
    cracks = (
        "M100 90L110 108L104 122L116 136M110 108L128 112L140 104L148 84M128 112L134 132L122 146"
        "M140 104L166 112L178 98L176 76M166 112L164 134L180 146M178 98L204 106L218 92"
        "M204 106L206 128L222 140L244 136M206 128L190 140M104 122L84 124L70 140"
        "M116 136L100 154L80 160"
        "M222 140L226 160M134 132L150 140L164 134"
    )
    return (
        bench()
        + dough_ball(160, BENCH_Y, 226, 132)
        + path("t", cracks)
        + path("f", "M130 84L146 62L168 64L174 77L150 86Z")
        + path("f", "M222 106L244 96L258 112L246 121Z")
    )


@scene("fault-tight-dough")
def fault_tight_dough() -> str:
    return (
        circle("l", 116, 120, 96)
        + blob("f", 116, 120, 62, 79, 0.04)
        + "".join(
            arrow(116 + 94 * dx, 120 + 94 * dy, 116 + 68 * dx, 120 + 68 * dy)
            for dx, dy in ((0, -1), (1, 0), (0, 1), (-1, 0))
        )
        + timer_glass(270, 152)
    )


# Rolling


@scene("roll-press")
def roll_press() -> str:
    return (
        bench()
        + path("l", "M92 206C62 196 60 96 156 96S250 196 220 206")
        + path("f", "M66 206C44 200 48 158 80 156H232C266 158 268 200 248 206Z")
        + place(hand_flat(), 158, 152)
        + arrow(166, 70, 166, 114)
        + arrow(46, 180, 18, 180)
        + arrow(270, 180, 298, 180)
    )


def _hands_on_pin(y: float, left: float, right: float) -> str:
    lengths = (26, 30, 28, 21)
    return place(hand_above(lengths, 2, (-27, -14), 74), left, y, 8, mirror=True) + place(
        hand_above(lengths, 2, (-27, -14), 74), right, y, -8
    )


@scene("roll-centre")
def roll_centre() -> str:
    return (
        circle("f", 160, 104, 92)
        + moving(
            "pin",
            place(pin_top(292, 8), 160, 108) + _hands_on_pin(140, 96, 224),
            3.2,
            {
                6: "transform:none",
                34: "transform:translate(0,-70px)",
                56: "transform:none",
                82: "transform:translate(0,62px)",
            },
        )
        + arrow(160, 88, 160, 24)
        + arrow(160, 128, 160, 184)
    )


@scene("roll-turn")
def roll_turn() -> str:
    return (
        circle("f", 160, 124, 92)
        + dust(94, 60, 226, 190, 90, 91)
        + circle("k", 160, 44, 4)
        + ring(160, 44, 10)
        + circle("l", 240, 124, 10)
        + turn_arrow(160, 124, 106, -84, -4)
    )


@scene("roll-corners")
def roll_corners() -> str:
    return (
        path("l", "M160 10L270 120L160 230L50 120Z")
        + path(
            "f",
            "M208.5 64.2L166 26Q160 20 154 26L111.5 64.2A74 74 0 1 0 208.5 64.2Z",
        )
        + place(pin_top(270, 8), 160, 132)
        + arrow(160, 116, 160, 38)
        + turn_arrow(160, 120, 108, 28, 66)
    )


@scene("roll-wind")
def roll_wind() -> str:
    spiral = (
        "M298 200H146C114 200 92 176 92 148S114 96 146 96S196 120 196 146S176 188 146 188"
        "S104 170 104 148S122 108 146 108S184 126 184 146"
    )
    return (
        bench()
        + band(spiral, 10)
        + pin_end(144, 148, 31)
        + arrow(286, 170, 226, 170)
        + turn_arrow(144, 148, 74, 20, -90)
        + dust(200, 190, 296, 193, 16, 95)
    )


@scene("roll-unroll")
def roll_unroll() -> str:
    return (
        box("l", 36, 92, 16, 132, 5)
        + turn_arrow(116, 152, 88, 196, 262, 116)
        + path("f", "M132 66H280V226H132Z")
        + box("p", 98, 52, 212, 12, 5)
        + box("f", 124, 40, 164, 36, 16)
        + path("t", "M136 49H276M136 67H276")
        + arrow(206, 96, 206, 190)
    )


@scene("roll-points")
def roll_points() -> str:
    marks = "".join(circle("k", x, y, 4) for y in (42, 120, 198) for x in (82, 160, 238))
    return (
        sheet_top(160, 120, 208, 208)
        + path("l", "M82 42H238M82 120H238M82 198H238M82 42V198M160 42V198M238 42V198")
        + marks
        + ring(82, 42, 13)
        + ring(160, 120, 13)
        + ring(238, 120, 13)
    )


@scene("roll-caliper")
def roll_caliper() -> str:
    return (
        path("f", "M12 96H176Q182 98 182 108T176 120H12")
        + caliper(146, 108, 24)
        + arrow(160, 40, 160, 70)
        + arrow(160, 178, 160, 148)
        + mm_bar(16, 196, 12)
    )


@scene("fault-thick-edge")
def fault_thick_edge() -> str:
    return (
        bench(12, 308, 132)
        + path("f", "M24 132V84Q40 82 58 94Q80 106 110 108H300V132Z")
        + path("l", "M12 108H308")
        + arrow(40, 36, 40, 74)
        + mm_bar(100, 190, 12)
    )


@scene("fault-thick-middle")
def fault_thick_middle() -> str:
    return (
        bench(12, 308, 132)
        + path("f", "M24 132V112C90 108 124 84 160 84S230 108 296 112V132Z")
        + path("l", "M12 104H308")
        + arrow(160, 36, 160, 74)
        + mm_bar(100, 190, 12)
    )


@scene("fault-one-side-thick")
def fault_one_side_thick() -> str:
    return (
        bench(12, 308, 132)
        + path("f", "M24 132V80L296 114V132Z")
        + path("l", "M12 98H308")
        + arrow(42, 34, 42, 72)
        + arrow(278, 80, 278, 104)
        + mm_bar(100, 190, 12)
    )


@scene("fault-cracked-edge")
def fault_cracked_edge() -> str:
    edge = (
        "V204Q256 210 250 206L244 182L238 208Q222 212 212 208Q210 180 202 158"
        "Q200 184 196 209Q176 212 164 208"
        "L156 186L152 208Q132 212 118 208Q112 176 102 148Q102 182 100 208"
        "Q88 211 82 208L74 188L70 207Q58 208 52 203Z"
    )
    return path("f", "M52 16H268" + edge) + dust(70, 30, 250, 136, 40, 99) + ring(104, 178, 34)


@scene("fault-creased-sheet")
def fault_creased_sheet() -> str:
    return (
        sheet_top(160, 118, 236, 180)
        + path("i", "M78 62C120 80 150 78 196 112C220 130 236 160 262 172")
        + path(
            "t",
            (
                "M84 56C126 74 156 72 202 106C226 124 242 154 266 164M110 180"
                "C130 160 160 158 186 168M106 174C128 152 160 150 188 160"
            ),
        )
    )


# Folding and cutting


@scene("cut-dust")
def cut_dust() -> str:
    return (
        path("f", "M36 36H216L284 104V208H36Z")
        + dust(50, 50, 208, 198, 100, 101)
        + dust(214, 120, 274, 198, 24, 105)
        + path("f", "M216 36L284 104Q246 108 224 98Q214 74 216 36Z")
        + dust(226, 66, 250, 96, 14, 103)
        + arrow(288, 44, 238, 122, -22)
    )


@scene("cut-fold")
def cut_fold() -> str:
    way = (
        "M70 200H236C254 200 254 180 236 180H76C58 180 58 160 76 160H232"
        "C270 158 272 96 226 88C188 82 150 92 112 78"
    )
    # Laid down from its end: a dash longer than the whole way, let out layer by layer.
    out = "stroke-dasharray:780;stroke-dashoffset:"
    laid = {0: 577, 6: 577, 32: 379, 40: 379, 76: 0, 100: 0}
    return (
        bench()
        + moving("sheet", band(way, 11), 4, {k: f"{out}{left}" for k, left in laid.items()})
        + moving(
            "dust",
            dust(84, 169, 230, 171, 20, 111),
            4,
            {0: "opacity:0", 32: "opacity:0", 38: "opacity:1"},
        )
        + dust(84, 189, 230, 191, 20, 113)
        + arrow(206, 60, 90, 92, -22)
        + ring(64, 170, 24)
    )


@scene("cut-guide")
def cut_guide() -> str:
    return (
        box("f", 28, 52, 214, 104, 4)
        + path("t", "M28 60H242M28 148H242")
        + "".join(path("t", f"M{num_x} 52V156") for num_x in range(196, 242, 6))
        + place(guide_above(120, 144), 184, 34)
        + place(knife_above(160, 52), 188, 184)
        + place(hand_above((15, 18, 17, 13), 2, (-22, -2), 80, bent=True), 116, 116, 40)
    )


@scene("cut-down")
def cut_down() -> str:
    return (
        bench()
        + cutting_board(24, 296)
        + folded_side(84, 216, BENCH_Y - 13, 6, 9, 1)
        + place(knife_side(), 198, 122, 3)
        + arrow(70, 40, 56, 128)
    )


@scene("cut-tilt")
def cut_tilt() -> str:
    layers = "".join(box("f", 24, 154 + 10 * k, 184, 10, 2) for k in range(4))
    cut = "".join(
        box("f", 220 + 15 * c, 154 + 10 * k, 11, 10, 2) for k in range(4) for c in range(5)
    )
    # One beat: the upright blade tilts and pushes the guide, is lifted, and comes down beside it.
    before, upright, shifted = "transform:translate(12px,0)", "rotate(9deg)", "translate(-12px,"
    guide = {0: before, 12: before, 32: "transform:none", 100: "transform:none"}
    knife = {
        0: f"transform:translate(0,0) {upright}",
        12: f"transform:translate(0,0) {upright}",
        32: "transform:none",
        42: "transform:none",
        58: f"transform:{shifted}-46px) {upright}",
        70: f"transform:{shifted}0) {upright}",
        100: f"transform:{shifted}0) {upright}",
    }
    return (
        cutting_board(14, 306, 206)
        + layers
        + cut
        + moving("guide", place(guide_end(150), 196, 154), 2.4, guide)
        + place(moving("knife", place(knife_end(108), turn=-9), 2.4, knife), 211, 194)
        + arrow(222, 62, 170, 56, 4)
        + arrow(150, 132, 100, 132)
        + mm_bar(30, 228, 11)
    )


@scene("cut-loosen")
def cut_loosen() -> str:
    behind = "".join(
        strand(f"M{x} 84C{x + 4} 110 {x - 6} 130 {x + 2} 166", 9) for x in (142, 160, 178, 196)
    )
    front = "".join(
        strand(
            f"M{x} 66C{x - 3} 74 {x - 5} 90 {x - 3} 110S{x + 5} 150 {x - 1} {186 - 4 * (k % 2)}", 9
        )
        for k, x in enumerate((134, 152, 170, 188, 206))
    )
    palm_up = place(place(hand_flat(), 0, 0, 180), 160, 62, mirror=True)
    return (
        behind
        + palm_up
        + front
        + dust(120, 196, 216, 226, 36, 121)
        + arrow(64, 116, 64, 176, both=True)
        + arrow(272, 86, 272, 146, both=True)
    )


@scene("cut-portion")
def cut_portion() -> str:
    return (
        bench()
        + bench_scale(86, BENCH_Y, 116)
        + portion_side(86, BENCH_Y - 42)
        + portion_side(206, BENCH_Y - 6)
        + portion_side(272, BENCH_Y - 6)
        + path("i", "M154 192V202Q154 205 157 205H309Q312 205 312 202V192")
        + arrow(116, 96, 190, 128, 18)
    )


@scene("cut-pick")
def cut_pick() -> str:
    chosen = (1, 4, 8, 10, 15, 18)
    row = "".join(band(f"M{30 + 13 * k} {74 if k in chosen else 40}v118", 9) for k in range(21))
    return row + "".join(ring(30 + 13 * k, 206, 6) for k in chosen) + arrow(24, 20, 296, 20)


@scene("fault-wedge-strand")
def fault_wedge_strand() -> str:
    tapered = "".join(
        polygon("f", [(x, 40), (x + 9, 40), (x + 21, 184), (x - 3, 184)])
        for x in range(188, 296, 34)
    )
    return (
        polygon("f", [(20, 40), (132, 40), (120, 184), (20, 184)])
        + place(guide_above(84, 176), 138, 24, 5)
        + path("l", "M144 20V208")
        + tapered
        + arrow(120, 214, 86, 206, -6)
        + mm_bar(184, 222, 12)
    )


@scene("fault-leaning-knife")
def fault_leaning_knife() -> str:
    leaning = "".join(
        polygon("f", [(x + 12, 132), (x + 36, 132), (x + 24, 172), (x, 172)])
        for x in range(28, 220, 34)
    )
    return (
        leaning
        + cutting_board(14, 306, 186)
        + place(knife_end(72), 252, 172, 17)
        + path("l", "M252 172V56")
        + mm_bar(100, 222, 12)
    )


@scene("fault-every-second")
def fault_every_second() -> str:
    return (
        sections([(28, 28), (16, 16)] * 4 + [(28, 28)], 26, 132, 28, 8)
        + bench(12, 308, 132)
        + "".join(arrow(x, 64, x, 94) for x in (40, 100, 160, 220, 280))
        + mm_bar(100, 190, 12)
    )


@scene("fault-drift")
def fault_drift() -> str:
    widths = [16, 18, 20, 22, 25, 28, 31, 34]
    return (
        sections([(w, w) for w in widths], 26, 132, 30, 10)
        + bench(12, 308, 132)
        + arrow(26, 76, 298, 76)
        + mm_bar(100, 190, 12)
    )


@scene("fault-joined-strands")
def fault_joined_strands() -> str:
    comb = "M116 40H200V190H188V78H176V190H164V88H152V190H140V74H128V190H116Z"
    free = "".join(strand(f"M{x} 46V184", 12) for x in (34, 62, 90, 228, 256, 284))
    return free + path("f", comb) + ring(158, 70, 38)


@scene("fault-broken-at-fold")
def fault_broken_at_fold() -> str:
    whole = strand("M36 62H232C258 62 258 94 232 94H36", 12)
    snapped = strand("M36 148H214M36 180H220", 12) + strand("M244 151C258 156 258 174 243 178", 12)
    return whole + snapped + ring(238, 164, 36)


# The measuring card


@scene("card-print")
def card_print() -> str:
    return (
        box("p", 52, 64, 216, 74, 10)
        + place(measuring_card(172), 160, 132, 90)
        + box("p", 92, 14, 136, 60, 2)
        + box("p", 52, 64, 216, 56, 10)
        + box("b", 208, 80, 42, 18, 3)
        + circle("p", 78, 89, 7)
        + arrow(250, 150, 250, 204)
    )


@scene("card-check")
def card_check() -> str:
    ticks = "".join(
        f"M{50 + 11 * k} 134v{18 if k % 10 == 0 else 12 if k % 2 == 0 else 6}" for k in range(21)
    )
    return (
        box("b", 10, 30, 300, 94, 3)
        + path("i", "M50 92H270M50 82v20M270 82v20")
        + path("l", "M50 106V132M270 106V132")
        + box("p", 22, 134, 276, 60, 3)
        + path("t", ticks)
        + ring(50, 116, 22)
        + ring(270, 116, 22)
    )


@scene("card-laminate")
def card_laminate() -> str:
    return (
        bench()
        + path("i", "M12 96C60 98 116 108 158 124M12 160C60 158 116 148 158 132")
        + path("o", "M30 128H158M220 128H302", 11)
        + path("b1", "M30 128H158M220 128H302", 6)
        + box("p", 132, 62, 96, 144, 8)
        + path("t", "M132 184H228M232 128H302")
        + circle("b", 180, 105, 21)
        + circle("b", 180, 151, 21)
        + arrow(40, 64, 104, 64)
        + arrow(248, 96, 300, 96)
    )


@scene("card-wipe")
def card_wipe() -> str:
    cloth = (
        "M104 96Q128 82 158 90Q190 80 216 96Q226 118 218 138Q194 150 164 142Q130 152 106 138"
        "Q96 116 104 96Z"
    )
    return (
        place(measuring_card(288), 160, 114)
        + path("p", cloth)
        + path("t", "M116 106Q140 98 152 104M112 128Q124 136 140 132M186 104Q200 100 208 110")
        + place(hand_above((30, 35, 32, 24), 5, (-32, -8), 92), 168, 124, -16)
        + arrow(90, 60, 236, 60, both=True)
    )


@scene("card-lay")
def card_lay() -> str:
    (x, y), *_others = card_corners(296)
    strands = "".join(
        strand(f"M{62 + 18 * k} {66 + 3 * (k % 2)}V{156 - 4 * (k % 3)}") for k in range(6)
    )
    return (
        place(measuring_card(296), 160, 122)
        + strands
        + place(strand("M0 -44V44"), 222, 112, 12)
        + arrow(208, 112, 178, 112)
        + ring(160 + x, 122 + y, 22)
        + arrow(64, 44, 250, 44)
    )


@scene("card-above")
def card_above() -> str:
    strands = "".join(box("f t", 112 + 14 * k, 190, 8, 7) for k in range(7))
    return (
        bench()
        + path("l", "M160 68L44 198M160 68L276 198M160 68V186")
        + box("b", 58, 197, 204, 9, 2)
        + strands
        + place(hand_flat(), 94, 56)
        + box("p", 110, 40, 110, 16, 6)
        + box("b", 148, 56, 24, 8, 2)
        + place(path("p", "M0 0C14 -8 34 -8 42 -2C46 3 40 7 34 6C22 4 10 6 2 10"), 94, 38)
        + arrow(292, 190, 292, 60, both=True)
    )


@scene("card-view")
def card_view() -> str:
    corners = card_corners(198)
    strands = "".join(
        strand(f"M{104 + 13 * k} {96 + 2 * (k % 2)}V{146 - 3 * (k % 3)}", 7) for k in range(8)
    )
    return (
        box("p", 8, 34, 304, 172, 18)
        + box("i", 34, 46, 232, 148, 2)
        + circle("i", 290, 120, 12)
        + place(measuring_card(198), 150, 120)
        + strands
        + "".join(ring(150 + x, 120 + y, 17) for x, y in corners)
    )


@scene("card-apart")
def card_apart() -> str:
    falling = "".join(
        strand(d, 8)
        for d in (
            "M74 92C84 100 80 112 86 120",
            "M62 108C70 116 64 128 72 136",
            "M96 104C102 114 96 126 104 134",
        )
    )
    return (
        bench(12, 308)
        + path("p", "M44 150H126L116 206H54Z")
        + path("t", "M64 162L69 194M85 162V194M106 162L101 194")
        + falling
        + box("p", 38, 142, 94, 10, 4)
        + place(box("b", -70, -5, 140, 10, 3), 132, 66, -28)
        + portion_side(222, BENCH_Y - 6)
        + portion_side(268, BENCH_Y - 6)
        + path("i", "M180 190V202Q180 205 183 205H309Q312 205 312 202V190")
        + path("l", "M156 84V196")
    )
