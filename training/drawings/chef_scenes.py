"""Drawings for the head chef: looking, saying, reading the evidence, deciding."""

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    bench,
    box,
    circle,
    clipboard,
    cutting_board,
    dough_ball,
    drop,
    folded_side,
    knife_side,
    mm_bar,
    num,
    path,
    pin_end,
    place,
    polygon,
    ring,
    screen,
    sections,
    timer_glass,
)
from training.drawings.scenes import scene


def _eye(cx: float, cy: float) -> str:
    return (
        path(
            "p",
            f"M{num(cx - 34)} {num(cy)}Q{num(cx)} {num(cy - 36)} {num(cx + 34)} {num(cy)}"
            f"Q{num(cx)} {num(cy + 36)} {num(cx - 34)} {num(cy)}Z",
        )
        + circle("b", cx, cy, 12)
        + circle("k", cx, cy, 5)
    )


def _signs(x: float, y: float, gap: float) -> str:
    """Return the four things looked at: dough, bench, clean water, knife, below each other."""
    return (
        dough_ball(x, y + 8, 20, 15)
        + path(
            "i", f"M{num(x - 11)} {num(y + gap - 2)}h22M{num(x - 7)} {num(y + gap - 2)}v9m14 -9v9"
        )
        + drop(x, y + 2 * gap + 3, 5.5)
        + path("p t", f"M{num(x - 12)} {num(y + 3 * gap - 5)}h14v10h-14z")
        + path("i", f"M{num(x + 3)} {num(y + 3 * gap - 3)}h9")
    )


def _marks(x: float, y: float, gap: float, chosen: tuple[int, ...]) -> str:
    return "".join(
        circle("k" if column == mark else "p t", x + 22 * column, y + gap * row, 6)
        for row, mark in enumerate(chosen)
        for column in range(3)
    )


def _bell(cx: float, base: float, half: float, h: float) -> str:
    """Return a heap of many widths: most in the middle, few at the ends."""
    return path(
        "f",
        f"M{num(cx - half)} {num(base)}C{num(cx - half * 0.55)} {num(base)} "
        f"{num(cx - half * 0.45)} {num(base - h)} {num(cx)} {num(base - h)}"
        f"S{num(cx + half * 0.55)} {num(base)} {num(cx + half)} {num(base)}Z",
    )


def _pen(x: float, y: float, turn: float) -> str:
    """Return a pen whose point is at (x, y)."""
    return place(
        polygon("p", [(0, 0), (-6, -16), (6, -16)]) + box("b", -6, -78, 12, 62, 4), x, y, turn
    )


@scene("chef-watch")
def chef_watch() -> str:
    return (
        bench()
        + path("l", "M84 64L96 176M100 62L236 112")
        + cutting_board(70, 296)
        + folded_side(106, 196, BENCH_Y - 13, 5, 9, 1)
        + place(knife_side(), 226, 134, 3)
        + _eye(66, 50)
        + timer_glass(34, BENCH_Y)
    )


@scene("chef-same")
def chef_same() -> str:
    return (
        clipboard(20, 22, 132, 200)
        + _signs(46, 62, 42)
        + _marks(78, 62, 42, (1, 2, 2, 1))
        + clipboard(170, 22, 132, 200)
        + _signs(196, 62, 42)
        + _marks(228, 62, 42, (2, 1, 2, 2))
    )


@scene("chef-apart")
def chef_apart() -> str:
    return (
        sections([(14, 14), (12, 12), (14, 14), (16, 16), (13, 13), (14, 14)], 108, 40, 18, 4)
        + bench(96, 224, 40)
        + arrow(116, 56, 82, 84, 8)
        + arrow(204, 56, 238, 84, -8)
        + path("l", "M160 58V226")
        + clipboard(26, 98, 108, 126)
        + _marks(58, 128, 26, (1, 2, 1, 2))
        + clipboard(186, 98, 108, 126)
        + _marks(218, 128, 26, (1, 2, 2, 2))
        + ring(80, 180, 14)
        + ring(262, 180, 14)
    )


@scene("chef-say")
def chef_say() -> str:
    bubble = (
        "M104 20H284Q300 20 300 36V108Q300 124 284 124H150L112 152L120 124H104Q88 124 88 108V36"
        "Q88 20 104 20Z"
    )
    return (
        bench()
        + path("f", "M24 206V160Q44 158 66 170Q92 184 124 186H296V206Z")
        + path("l", "M12 186H296")
        + ring(44, 176, 26)
        + path("p", bubble)
        + path("f", "M116 98V92H276V98Q276 106 268 106H124Q116 106 116 98Z")
        + pin_end(216, 72, 18)
        + arrow(190, 62, 122, 62)
    )


@scene("chef-evidence")
def chef_evidence() -> str:
    batches = ((88, 108, 58), (84, 104, 66), (96, 114, 74), (88, 102, 80), (90, 103, 84))
    dots = ""
    for k, (top, low, middle) in enumerate(batches):
        x = 66 + 46 * k
        dots += "".join(
            circle("k", x + dx, y, 2.6)
            for dx, y in ((-7, top), (5, low), (-2, (top + low) / 2), (9, middle + 14))
        )
    return (
        screen(14, 14, 292, 212)
        + box("bn", 32, 84, 256, 30)
        + path("l", "M32 84H288M32 114H288")
        + path("t", "M32 46V142H288")
        + dots
        + ring(75, 72, 12)
        + box("p", 40, 162, 240, 12, 6)
        + box("h", 42, 164, 176, 8, 4)
        + box("p", 40, 186, 240, 12, 6)
        + box("h", 42, 188, 92, 8, 4)
    )


@scene("chef-tolerance")
def chef_tolerance() -> str:
    return (
        _bell(160, 150, 112, 104)
        + bench(20, 300, 150)
        + path("l", "M78 40V164M242 40V164")
        + arrow(46, 62, 102, 62, both=True)
        + arrow(218, 62, 274, 62, both=True)
        + sections([(20, 20), (24, 24), (28, 28), (32, 32), (36, 36)], 70, 192, 22, 10)
        + mm_bar(106, 226, 11)
    )


@scene("chef-sign")
def chef_sign() -> str:
    bars = "".join(
        box("p", 24, 72 + 34 * k, 112, 14, 7) + box("h", 26, 74 + 34 * k, 108, 10, 5)
        for k in range(3)
    )
    squiggle = "M196 168C204 150 214 150 210 168S226 152 230 164S244 152 248 166"
    return (
        bars
        + path("l", "M160 30V214")
        + box("p", 180, 42, 126, 164, 3)
        + path("t", "M196 66H290M196 84H276M196 102H284M196 120H262M196 178H290")
        + path("a", squiggle)
        + _pen(252, 166, 34)
    )


@scene("chef-fault-tight")
def chef_fault_tight() -> str:
    return (
        _bell(160, 176, 118, 116)
        + bench(20, 300, 176)
        + path("l", "M134 36V190M186 36V190")
        + arrow(92, 48, 128, 48)
        + arrow(228, 48, 192, 48)
        + ring(96, 160, 24)
        + ring(224, 160, 24)
    )


@scene("chef-fault-alike")
def chef_fault_alike() -> str:
    return (
        clipboard(20, 22, 132, 200)
        + _signs(46, 62, 42)
        + _marks(78, 62, 42, (2, 2, 2, 2))
        + clipboard(170, 22, 132, 200)
        + _signs(196, 62, 42)
        + _marks(228, 62, 42, (2, 2, 2, 2))
        + box("a", 110, 48, 24, 152, 12)
        + box("a", 260, 48, 24, 152, 12)
    )
