"""A border mended by its corners: dragged, added, removed; what lies between two corners follows smoothly."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from itertools import accumulate, pairwise

from layout.geometry.outline import Outline, Point, Ring

LEAST_BEND = 0.15  # mm a border must leave the straight line to have a corner there
BEND_SHARE = 0.006  # of the thing's size


def corners_of(ring: Ring, kept: Collection[Point] = ()) -> list[int]:
    """Return the numbers of a ring's points that are corners to take hold of (Douglas and Peucker's choice)."""
    from shapely.geometry import LinearRing

    size = max(max(p[k] for p in ring) - min(p[k] for p in ring) for k in (0, 1))
    line = LinearRing(ring).simplify(max(LEAST_BEND, BEND_SHARE * size), preserve_topology=True)
    chosen = {*line.coords, *kept}
    return [k for k, point in enumerate(ring) if point in chosen]


def moved(ring: Ring, corners: Sequence[int], which: int, to: Point) -> Ring:
    """Return the ring with one corner elsewhere; the points up to the next corners follow by their distance."""
    at = corners[which]
    dx, dy = to[0] - ring[at][0], to[1] - ring[at][1]
    after = list(ring)
    after[at] = to
    for side in (_between(ring, corners[which - 1], at)[::-1], _between(ring, at, corners[(which + 1) % len(corners)])):
        for k, share in zip(side[1:-1], _shares(ring, side), strict=True):
            after[k] = (ring[k][0] + dx * share, ring[k][1] + dy * share)
    return tuple(after)


def added(ring: Ring, near: Point) -> tuple[Ring, Point]:
    """Return the ring with a point on the border nearest to a place, and that point."""
    side, point = min(
        ((k, _on_side(ring[k], ring[(k + 1) % len(ring)], near)) for k in range(len(ring))),
        key=lambda found: math.dist(found[1], near),
    )
    if point in ring:
        return ring, point
    return (*ring[: side + 1], point, *ring[side + 1 :]), point


def removed(ring: Ring, corners: Sequence[int], which: int) -> Ring | None:
    """Return the ring running straight between a corner's neighbours; None where three corners must stay."""
    if len(corners) <= 3:
        return None
    gone = set(_between(ring, corners[which - 1], corners[(which + 1) % len(corners)])[1:-1])
    return tuple(p for k, p in enumerate(ring) if k not in gone)


def rings_of(outline: Outline) -> tuple[Ring, ...]:
    """Return the outer ring and the openings, in that order."""
    return (outline.outer, *outline.holes)


def with_ring(outline: Outline, which: int, ring: Ring) -> Outline:
    """Return an outline with one of its rings replaced, unchecked."""
    rings = (*rings_of(outline)[:which], ring, *rings_of(outline)[which + 1 :])
    return Outline.trusted(rings[0], rings[1:])


def longest(outline: Outline) -> tuple[Point, Point]:
    """Return the two points of the border that lie farthest apart."""
    from shapely.geometry import MultiPoint

    hull = list(MultiPoint(outline.outer).convex_hull.exterior.coords)[:-1]
    return max(((a, b) for k, a in enumerate(hull) for b in hull[k + 1 :]), key=lambda ends: math.dist(*ends))


def _between(ring: Ring, start: int, end: int) -> list[int]:
    """Return the numbers from one point to another, both included, onward round the ring."""
    count = (end - start) % len(ring) or len(ring)
    return [(start + k) % len(ring) for k in range(count + 1)]


def _shares(ring: Ring, side: Sequence[int]) -> list[float]:
    """Return how far the inner points of a stretch follow its first one: all at the start, nothing at the end."""
    run = list(accumulate(math.dist(ring[a], ring[b]) for a, b in pairwise(side)))
    return [1.0 - r / run[-1] if run[-1] else 0.0 for r in run[:-1]]


def _on_side(a: Point, b: Point, near: Point) -> Point:
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    share = ((near[0] - a[0]) * dx + (near[1] - a[1]) * dy) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return (a[0] + dx * share, a[1] + dy * share)
