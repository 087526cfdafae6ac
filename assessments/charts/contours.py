"""Outlines of where a surface reaches a level, for pictures of a sheet as a map."""

import numpy as np

# Corners of a cell of the grid clockwise from its upper left: (row, column).
_CORNERS = ((0, 0), (0, 1), (1, 1), (1, 0))


def outlines(x, y, values, level):
    """Return the outlines, each a closed list of (x, y), of where ``values`` reach ``level``.

    ``values`` lie on the grid of ``y`` (rows) and ``x`` (columns). Where the area goes beyond the
    grid, its outline runs along the edge. Marching squares (Lorensen and Cline 1987, Computer
    Graphics 21, 163-169, in two dimensions), straight between the points of the grid.
    """
    # A border of points that lie on the edge itself and never reach the level closes every line.
    x, y = (np.concatenate([axis[:1], axis, axis[-1:]]) for axis in (x, y))
    above = np.pad(values - level, 1, constant_values=-1.0)
    reaches = np.pad(values >= level, 1, constant_values=False)
    following, place = {}, {}
    mixed = (reaches[:-1, :-1] | reaches[:-1, 1:] | reaches[1:, 1:] | reaches[1:, :-1]) & ~(
        reaches[:-1, :-1] & reaches[:-1, 1:] & reaches[1:, 1:] & reaches[1:, :-1]
    )
    for row, column in np.argwhere(mixed).tolist():
        entry, leaves = [], []
        for (top, left), (bottom, right) in zip(
            _CORNERS, (*_CORNERS[1:], _CORNERS[0]), strict=True
        ):
            a, b = (row + top, column + left), (row + bottom, column + right)
            if reaches[a] == reaches[b]:
                continue
            edge = (min(a, b), max(a, b))
            (leaves if reaches[a] else entry).append(edge)
            part = above[a] / (above[a] - above[b])
            place[edge] = (
                float(x[a[1]] + part * (x[b[1]] - x[a[1]])),
                float(y[a[0]] + part * (y[b[0]] - y[a[0]])),
            )
        # Of two areas that meet in a cell at a corner each keeps its own.
        if len(entry) == 2 and reaches[row, column]:
            entry.reverse()
        following.update(zip(leaves, entry, strict=True))
    found = []
    while following:
        edge, after = following.popitem()
        line = [place[edge]]
        while after in following:
            line.append(place[after])
            after = following.pop(after)
        found.append(line)
    return found
