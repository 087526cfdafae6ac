"""Drawings of measuring: the caliper, the points, the strands, and writing it down."""

from itertools import pairwise

from training.drawings.parts import (
    arrow,
    band,
    bench,
    blob,
    box,
    caliper,
    card_corners,
    circle,
    cutting_board,
    folded_side,
    knife_side,
    measuring_card,
    mm_bar,
    next_arrow,
    path,
    place,
    ring,
    screen,
    sheet_top,
    strand,
)
from training.drawings.scenes import scene


@scene("measure-zero")
def measure_zero() -> str:
    return (
        caliper(34, 84, 0)
        + ring(40, 84, 20)
        + next_arrow(136, 84)
        + box("b", 176, 72, 44, 24, 2)
        + caliper(206, 84, 24)
        + arrow(214, 30, 214, 56)
        + arrow(214, 138, 214, 112)
        + mm_bar(20, 222, 12)
    )


@scene("measure-points")
def measure_points() -> str:
    spots = [(x, y) for y in (58, 116, 174) for x in (46, 98, 150)]
    cells = "".join(
        box("b t" if k < 4 else "p t", 221 + 24 * (k % 3), 82 + 26 * (k // 3), 20, 20, 3)
        for k in range(9)
    )
    way = [*spots[:3], *reversed(spots[3:6]), *spots[6:]]
    return (
        sheet_top(98, 116, 172, 180)
        + "".join(
            arrow(a[0] + 9 * sx, a[1] + 9 * sy, b[0] - 9 * sx, b[1] - 9 * sy)
            for a, b in pairwise(way)
            for sx, sy in [
                ((b[0] > a[0]) - (b[0] < a[0]), (b[1] > a[1]) - (b[1] < a[1])),
            ]
        )
        + "".join(circle("k", x, y, 4) for x, y in spots)
        + screen(204, 46, 102, 140)
        + cells
    )


@scene("measure-touch")
def measure_touch() -> str:
    def jaws(x: float, upper: float, lower: float) -> str:
        return path("p", f"M{x - 16} {upper}V34H{x + 16}V{upper}Z") + path(
            "b", f"M{x - 16} {lower}V176H{x + 16}V{lower}Z"
        )

    return (
        path("f", "M14 88H136V124H14Z")
        + path(
            "f",
            "M184 88H226Q232 88 232 96H264Q264 88 270 88H306V124H270Q264 124 264 116H232"
            "Q232 124 226 124H184Z",
        )
        + path("l", "M226 88H270M226 124H270")
        + jaws(75, 88, 124)
        + jaws(248, 96, 116)
        + arrow(292, 36, 292, 76)
        + arrow(292, 176, 292, 136)
        + ring(248, 106, 34)
        + mm_bar(15, 218, 12)
    )


@scene("measure-ask")
def measure_ask() -> str:
    rows = "".join(
        circle("k", 240, 62 + 20 * k, 4)
        + path("t", f"M252 {62 + 20 * k}h{(34, 24, 38, 28, 20)[k]}")
        for k in range(5)
    )
    return (
        bench(12, 200, 200)
        + cutting_board(18, 194, 200)
        + folded_side(58, 150, 187, 5, 9, 1)
        + place(knife_side(), 120, 96, 3)
        + screen(218, 20, 90, 182)
        + rows
        + box("b", 234, 160, 54, 18, 5)
        + arrow(210, 124, 168, 156, 10)
    )


@scene("measure-strand")
def measure_strand() -> str:
    return (
        path("o", "M160 26V178", 36)
        + path("f1", "M160 26V178", 31)
        + path("p", "M142 86V112H64V92L112 86Z")
        + path("b", "M178 86V112H256V92L208 86Z")
        + path("l", "M24 99H56M264 99H296")
        + arrow(92, 136, 134, 136)
        + arrow(228, 136, 186, 136)
        + path("l", "M142 184V202M178 184V202")
        + mm_bar(142, 222, 12)
    )


@scene("measure-log")
def measure_log() -> str:
    cells = ""
    for k in range(12):
        x, y = 172 + 30 * (k % 4), 50 + 32 * (k // 4)
        cells += box("b t" if k < 6 else "p t", x, y, 24, 24, 3)
        if k < 6:
            cells += path("t", f"M{x + 7} {y + 12}h10")
    return (
        caliper(20, 74, 20)
        + path("f", "M8 64H44V84H8Z")
        + path("i", "M91 188C91 220 150 226 158 190")
        + screen(152, 24, 150, 166)
        + cells
        + ring(244, 94, 21)
        + box("b", 172, 152, 114, 16, 5)
    )


@scene("measure-fault-tilt")
def measure_fault_tilt() -> str:
    jaws = path("p", "M-29 -13V13H-96V-7L-60 -13Z") + path("b", "M29 -13V13H96V-7L60 -13Z")
    return (
        path("o", "M160 26V182", 36)
        + path("f1", "M160 26V182", 31)
        + place(jaws, 160, 98, -34)
        + path("l", "M142 188V204M178 188V204M160 98L76 154M160 98L244 42")
        + ring(160, 98, 44)
        + mm_bar(142, 224, 12)
    )


@scene("measure-fault-touching")
def measure_fault_touching() -> str:
    corners = card_corners(296)
    row = "".join(strand(f"M{66 + 22 * k} 70V150") for k in range(4))
    (x, y) = corners[2]
    return (
        place(measuring_card(296), 160, 122)
        + row
        + strand("M160 70V150")
        + strand("M169 72V152")
        + band("M206 70L236 150", 9)
        + band("M236 70L206 150", 9)
        + ring(165, 112, 24)
        + ring(221, 110, 24)
        + blob("f", 160 + x - 2, 122 + y + 4, 21, 17)
        + ring(160 + x, 122 + y, 26)
    )
