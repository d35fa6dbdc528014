"""A quick look at rings: whether they are plainly simple, so that the thorough check need not be loaded for them.

One sweep over the edges by their least x (Shamos and Hoey 1976 in its plainest form, without the ordered tree: outlines
have few edges over any x). It never calls a bad outline good; where it is in doubt it says so, and shapely decides.
"""

from __future__ import annotations

from collections.abc import Sequence

DOUBT = 1e-7  # mm: edges nearer than this to touching are left to the thorough check
LEAST_AREA = 1e-3  # square mm

Ring = Sequence[tuple[float, float]]
Edge = tuple[float, float, float, float, int, int, int]  # least and greatest x, the same of y, ring, number, edges


def plainly_simple(outer: Ring, holes: Sequence[Ring]) -> bool:
    """Whether the rings surely neither cross nor touch, and the holes surely lie in `outer` and beside each other."""
    rings = (outer, *holes)
    if any(abs(_area(ring)) < LEAST_AREA or _folds(ring) for ring in rings):
        return False
    return not _may_touch(rings) and _nested(outer, holes)


def _area(ring: Ring) -> float:
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, [*ring[1:], ring[0]], strict=True)) / 2


def _folds(ring: Ring) -> bool:
    """Whether a corner has no length on one side or turns back upon itself, or nearly so."""
    for i, at in enumerate(ring):
        before, after = ring[i - 1], ring[(i + 1) % len(ring)]
        ax, ay, bx, by = at[0] - before[0], at[1] - before[1], after[0] - at[0], after[1] - at[1]
        lengths = (ax * ax + ay * ay) * (bx * bx + by * by)
        if lengths < DOUBT**4:
            return True
        along, across = ax * bx + ay * by, ax * by - ay * bx
        if along < 0 and across * across < 1e-10 * lengths:
            return True
    return False


def _may_touch(rings: Sequence[Ring]) -> bool:
    edges = sorted(edge for number, ring in enumerate(rings) for edge in _edges(ring, number))
    open_edges: list[Edge] = []
    for edge in edges:
        least = edge[0] - DOUBT
        open_edges = [other for other in open_edges if other[1] >= least]
        for other in open_edges:
            if other[2] <= edge[3] + DOUBT and edge[2] <= other[3] + DOUBT and _doubtful(rings, edge, other):
                return True
        open_edges.append(edge)
    return False


def _edges(ring: Ring, number: int) -> list[Edge]:
    made: list[Edge] = []
    for i, a in enumerate(ring):
        b = ring[(i + 1) % len(ring)]
        made.append((min(a[0], b[0]), max(a[0], b[0]), min(a[1], b[1]), max(a[1], b[1]), number, i, len(ring)))
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
