"""A quick look at rings: whether they are plainly simple, so that the thorough check need not be loaded for them.

One sweep over the edges by their least x (Shamos and Hoey 1976 in its plainest form, without the ordered tree: outlines
have few edges over any x). It never calls a bad outline good; where it is in doubt it says so, and shapely decides.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

DOUBT = 1e-7  # mm: edges nearer than this to touching are left to the thorough check
LEAST_AREA = 1e-3  # square mm
LEAST_LENGTHS = DOUBT**4
LEAST_SWEPT = 1e-4  # square mm: over any outline's length still wider than DOUBT

Ring = Sequence[tuple[float, float]]
Edge = tuple[float, float, float, float, int, int, int]  # least and greatest x, the same of y, ring, number, edges


def plainly_simple(outer: Ring, holes: Sequence[Ring]) -> bool:
    """Whether the rings surely neither cross nor touch, and the holes surely lie in `outer` and beside each other."""
    rings = (outer, *holes)
    if any(abs(_area(ring)) < LEAST_AREA or _folds(ring) for ring in rings):
        return False
    if not holes and _star_shaped(outer):
        return True
    return not _may_touch(rings) and _nested(outer, holes)


def _star_shaped(ring: Ring) -> bool:
    """Whether the corners lie once round their middle, plainly one after another: such a ring cannot cross itself."""
    mx, my = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
    ax, ay = ring[-1][0] - mx, ring[-1][1] - my
    way, rounds = 0.0, 0
    for x, y in ring:
        bx, by = x - mx, y - my
        swept = ax * by - ay * bx
        way = way or math.copysign(1.0, swept)
        if swept * way < LEAST_SWEPT:
            return False
        rounds += ay <= 0 < by
        ax, ay = bx, by
    return rounds == 1


def _area(ring: Ring) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)) / 2


def _folds(ring: Ring) -> bool:
    """Whether a corner has no length on one side or turns back upon itself, or nearly so."""
    px, py = ring[-1]
    ax, ay = px - ring[-2][0], py - ring[-2][1]
    for x, y in ring:
        bx, by = x - px, y - py
        lengths = (ax * ax + ay * ay) * (bx * bx + by * by)
        if lengths < LEAST_LENGTHS:
            return True
        if ax * bx + ay * by < 0 and (ax * by - ay * bx) ** 2 < 1e-10 * lengths:
            return True
        px, py, ax, ay = x, y, bx, by
    return False


def _may_touch(rings: Sequence[Ring]) -> bool:
    edges = [edge for number, ring in enumerate(rings) for edge in _edges(ring, number)]
    edges.sort()
    open_edges: list[Edge] = []
    for edge in edges:
        least, low, high = edge[0] - DOUBT, edge[2] - DOUBT, edge[3] + DOUBT
        still_open = [edge]
        for other in open_edges:
            if other[1] < least:
                continue
            still_open.append(other)
            if other[2] <= high and low <= other[3] and _doubtful(rings, edge, other):
                return True
        open_edges = still_open
    return False


def _edges(ring: Ring, number: int) -> list[Edge]:
    made: list[Edge] = []
    ax, ay = ring[-1]
    count = len(ring)
    for i, (bx, by) in enumerate(ring):
        low_x, high_x = (ax, bx) if ax <= bx else (bx, ax)
        low_y, high_y = (ay, by) if ay <= by else (by, ay)
        made.append((low_x, high_x, low_y, high_y, number, i - 1 if i else count - 1, count))
        ax, ay = bx, by
    return made


def _doubtful(rings: Sequence[Ring], one: Edge, other: Edge) -> bool:
    """Whether two edges that are not neighbours may meet: neither lies wholly on one side of the other's line."""
    if one[4] == other[4] and (one[5] - other[5]) % one[6] in (0, 1, one[6] - 1):
        return False
    a, b = _ends(rings[one[4]], one[5])
    c, d = _ends(rings[other[4]], other[5])
    return not (_beside(a, b, c, d) or _beside(c, d, a, b))


def _ends(ring: Ring, at: int) -> tuple[tuple[float, float], tuple[float, float]]:
    return ring[at], ring[(at + 1) % len(ring)]


def _beside(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    dx, dy = b[0] - a[0], b[1] - a[1]
    room = DOUBT * (abs(dx) + abs(dy))
    left = dx * (c[1] - a[1]) - dy * (c[0] - a[0])
    right = dx * (d[1] - a[1]) - dy * (d[0] - a[0])
    return (left > room and right > room) or (left < -room and right < -room)


def _nested(outer: Ring, holes: Sequence[Ring]) -> bool:
    if not all(inside(outer, hole[0]) for hole in holes):
        return False
    return not any(inside(other, hole[0]) for hole in holes for other in holes if other is not hole)


def inside(ring: Ring, at: tuple[float, float]) -> bool:
    """Whether a point lies inside a ring (even-odd); points on the border may fall either way."""
    x, y = at
    odd = False
    for a, b in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (a[1] > y) != (b[1] > y) and x < (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]) + a[0]:
            odd = not odd
    return odd
