"""Drawings of mixing buckwheat: water by hand, beads, one mass, folds to a point."""

from math import cos, pi, sin

from training.drawings.parts import (
    BENCH_Y,
    arrow,
    bench,
    blob,
    bowl_cut,
    bowl_top,
    circle,
    crumbs,
    drop,
    dust,
    heap,
    num,
    path,
    ring,
    turn_arrow,
)
from training.drawings.scenes import scene


def _sieve(cx: float, rim: float, w: float, h: float) -> str:
    """Return a sieve from the side: a hoop with a net below it, flour inside, grip on the right."""
    half = w / 2
    net = "".join(f"M{num(cx - half + w * k / 8)} {num(rim + h)}v5" for k in range(1, 8))
    return (
        heap(cx, rim + h, w * 0.8, h * 1.7)
        + path("i", f"M{num(cx - half)} {num(rim)}V{num(rim + h)}H{num(cx + half)}V{num(rim)}")
        + path("t", net)
        + path("i", f"M{num(cx + half)} {num(rim + 6)}h40")
    )


@scene("buck-sift")
def buck_sift() -> str:
    flour = path("f", "M96 186Q160 150 224 186C214 196 204 200 196 200H124C116 200 106 196 96 186Z")
    return (
        bench()
        + bowl_cut(160, BENCH_Y, 220, 62, flour)
        + dust(112, 96, 208, 158, 60, 201)
        + _sieve(160, 54, 116, 26)
        + arrow(52, 36, 120, 36, both=True)
    )


@scene("buck-ring")
def buck_ring() -> str:
    return (
        bowl_top(160, 120, 108)
        + circle("fn", 160, 120, 102)
        + dust(96, 56, 224, 184, 70, 203)
        + circle("b", 160, 120, 66)
        + circle("f", 160, 120, 42)
        + dust(136, 96, 184, 144, 26, 205)
        + turn_arrow(160, 120, 54, -100, 130)
        + circle("i", 160, 120, 102)
    )


@scene("buck-beads")
def buck_beads() -> str:
    grains = ((30, (1.4, 2)), (20, (3, 4)), (10, (5.5, 7)), (4, (10, 12)))
    stages = ""
    for k, (count, size) in enumerate(grains):
        cx = 44 + 77.5 * k
        stages += circle("p", cx, 146, 35) + crumbs(cx, 146, 31, count, size, 211 + k)
        if k < 3:
            stages += drop(cx + 39, 78, (11, 7, 4)[k]) + arrow(cx + 14, 102, cx + 64, 102, 7)
    return stages


@scene("buck-gather")
def buck_gather() -> str:
    lumps = ""
    for k in range(9):
        angle = 2 * pi * k / 9 + 0.2
        lumps += blob("f", 160 + 78 * cos(angle), 120 + 78 * sin(angle), 11 + k % 3, 221 + k)
    return (
        bowl_top(160, 120, 108)
        + lumps
        + blob("f", 160, 120, 38, 231, 0.12)
        + path("t", "M140 112q12 -8 22 0M160 132q10 -8 20 0M144 134q4 -6 10 -4")
        + "".join(
            arrow(160 + 68 * dx, 120 + 68 * dy, 160 + 44 * dx, 120 + 44 * dy)
            for dx, dy in ((0.81, 0.59), (-0.31, -0.95), (-0.81, 0.59), (0.81, -0.59))
        )
    )


@scene("buck-petals")
def buck_petals() -> str:
    petals, cx, cy = "", 150, 124
    for k in range(12):
        angle = 2 * pi * k / 12
        points = [
            (cx + r * cos(angle + b), cy + r * sin(angle + b))
            for r, b in ((84, -0.06), (96, 0.26), (84, 0.58), (56, 0.62), (22, 0.5))
        ]
        (x1, y1), (x2, y2), (x3, y3), (x4, y4), (x5, y5) = points
        petals += (
            f"M{x1:.0f} {y1:.0f}Q{x2:.0f} {y2:.0f} {x3:.0f} {y3:.0f}"
            f"Q{x4:.0f} {y4:.0f} {x5:.0f} {y5:.0f}"
        )
    return (
        circle("fn", cx, cy, 87)
        + path("i", petals)
        + circle("f", cx, cy, 15)
        + arrow(286, 100, 206, 116, 8)
        + turn_arrow(cx, cy, 108, 120, 200)
    )


@scene("buck-cone")
def buck_cone() -> str:
    cone = (
        "M26 206C14 196 18 158 44 132C62 114 78 94 84 70Q88 62 92 70C98 94 114 114 132 132"
        "C158 158 162 196 150 206Z"
    )
    return (
        bench()
        + path("f", cone)
        + path("t", "M86 80C84 108 74 128 60 150M88 80V154M90 80C92 108 102 128 116 150")
        + turn_arrow(88, 60, 36, 170, 10, 11)
        + arrow(160, 150, 188, 150)
        + path("f", "M204 206C190 204 190 172 206 170H292C308 172 308 204 294 206Z")
        + path("l", "M204 206C196 160 232 130 249 104C266 130 302 160 294 206")
        + arrow(249, 60, 249, 96)
    )


@scene("buck-fault-cracks")
def buck_fault_cracks() -> str:
    depths, r, cx, cy = (30, 14, 22, 10, 34, 16, 12, 26, 18), 92, 160, 120
    d = ""
    for k, depth in enumerate(depths):
        angle = 2 * pi * k / len(depths) + 0.1 * (k % 3)
        (x1, y1), (xm, ym), (x2, y2) = (
            (cx + away * cos(angle + b), cy + away * sin(angle + b))
            for away, b in ((r, -0.06), (r - depth, 0.02), (r, 0.06))
        )
        to = f"A{r} {r} 0 0 1 " if d else "M"
        d += f"{to}{num(x1)} {num(y1)}L{num(xm)} {num(ym)}L{num(x2)} {num(y2)}"
    closing = f"A{r} {r} 0 0 1 {num(cx + r * cos(-0.06))} {num(cy + r * sin(-0.06))}Z"
    return path("f", d + closing) + dust(96, 70, 220, 170, 30, 239) + ring(238, 122, 30)


@scene("buck-fault-core")
def buck_fault_core() -> str:
    return (
        blob("f", 84, 124, 66, 251, 0.06)
        + blob("p", 84, 124, 34, 253, 0.12)
        + dust(64, 104, 104, 144, 26, 241)
        + blob("f", 236, 124, 66, 257, 0.06)
        + blob("p", 236, 124, 34, 259, 0.12)
        + dust(216, 104, 256, 144, 26, 243)
        + arrow(152, 40, 112, 40)
        + arrow(168, 40, 208, 40)
        + ring(84, 124, 48)
    )
