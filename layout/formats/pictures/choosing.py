"""Chooses between two finders' outlines die by die, by what needs no truth: edges, metal within, ground without."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from layout.formats.pictures.border import even, normals, strip
from layout.formats.pictures.ground import Floats

BESIDE = (0.4, 0.7, 1.0)  # mm to either side of a border where metal and ground are looked for
SAME = 0.1  # share of the smaller of two things by which they overlap where they are one
TRUST = 3.0  # what a border in wrong company counts, beside 1 for one without an edge
STAY = 0.05  # by how much the first finder must be the better to be believed
CLEAR = 0.003  # share without an edge of a border that is clear all along
BACKED = 0.9  # support, at least, of a border that is believed for its edge alone
BARE = 0.5  # support below which what only one finder saw is dirt
FARTHEST = 3.0  # mm: two finders' borders are told to be this far apart at most


@dataclass(frozen=True, slots=True)
class Seen:
    """An outline in pixels, the share of its border without an edge, and how far (mm) another finder's lies off it."""

    shape: Polygon
    unseen: float
    apart: float = 0.0


def chosen(first: Sequence[Seen], second: Sequence[Seen], sure: Floats, mm: float) -> list[Seen]:
    """Return each thing once, as the finder with the better border drew it; `sure` is how sure metal is, 0 to 1."""
    found: list[Seen] = []
    for one, other in _alike(first, second):
        found += _better(one, other, sure, mm)
    return found


def _alike(first: Sequence[Seen], second: Sequence[Seen]) -> Iterator[tuple[list[Seen], list[Seen]]]:
    """Yield what of either finder covers the same ground."""
    things = [*first, *second]
    solid = [Polygon(t.shape.exterior).buffer(0) for t in things]
    links = [_joined(solid, k) for k in range(len(things))]
    left = set(range(len(things)))
    while left:
        group, todo = set[int](), [min(left)]
        while todo:
            k = todo.pop()
            todo += [n for n in links[k] if n not in group]
            group.add(k)
        left -= group
        yield (
            [things[k] for k in sorted(group) if k < len(first)],
            [things[k] for k in sorted(group) if k >= len(first)],
        )


def _joined(solid: list[Polygon], k: int) -> list[int]:
    return [n for n, other in enumerate(solid) if n != k and _overlap(solid[k], other)]


def _overlap(a: Polygon, b: Polygon) -> bool:
    return bool(a.intersects(b) and a.intersection(b).area > SAME * min(a.area, b.area))


def _better(one: list[Seen], other: list[Seen], sure: Floats, mm: float) -> list[Seen]:
    if not one or not other:
        return [replace(s, apart=FARTHEST) for s in one or other if support(s.shape, sure, mm) > BARE]
    first = _clearer(one, other, sure, mm) or fault(one, sure, mm) + STAY < fault(other, sure, mm)
    taken, left = (one, other) if first else (other, one)
    return [replace(s, apart=_apart(s.shape, left, mm)) for s in taken]


def _clearer(one: list[Seen], other: list[Seen], sure: Floats, mm: float) -> bool:
    """Tell whether the first finder saw a sharp edge all along metal, and the second did not."""
    return (
        max(s.unseen for s in one) < CLEAR < max(s.unseen for s in other)
        and min(support(s.shape, sure, mm) for s in one) > BACKED
    )


def fault(things: list[Seen], sure: Floats, mm: float) -> float:
    """Return the share of borders that is doubtful: without an edge, or in wrong company."""
    lengths = [t.shape.length for t in things]
    faults = [t.unseen + TRUST * (1.0 - support(t.shape, sure, mm)) for t in things]
    return float(np.average(faults, weights=lengths))


def support(shape: Polygon, sure: Floats, mm: float) -> float:
    """Return how much surer metal is just inside a border than just outside, 0 to 1."""
    sides = [_sides(r, sure, mm) for r in rings(shape)]
    inside, outside = (np.concatenate([s[k].ravel() for s in sides]).mean() for k in (0, 1))
    return float(max(0.0, inside - outside))


def rings(shape: Polygon) -> list[NDArray[np.float64]]:
    """Return a shape's borders, each with its metal to the left of the way (y down)."""
    turned = shapely.geometry.polygon.orient(shape, 1.0)
    return [np.asarray(r.coords, np.float64)[:-1, :2] for r in (turned.exterior, *turned.interiors)]


def _sides(ring: NDArray[np.float64], sure: Floats, mm: float) -> tuple[Floats, Floats]:
    points = even(ring, 0.4 / mm)
    reach = np.array(BESIDE) / mm
    seen = strip(sure, points, normals(points), np.concatenate([-reach, reach]))
    return seen[:, : len(reach)], seen[:, len(reach) :]


def _apart(shape: Polygon, others: list[Seen], mm: float) -> float:
    """Return the 98th percentile (mm) of how far a border and the nearest of others' lie apart, the worse way round."""
    near = [o.shape for o in others if o.shape.intersects(shape)]
    if len(near) != 1:
        return FARTHEST
    ways = [_beyond(shape, near[0], mm), _beyond(near[0], shape, mm)]
    return min(FARTHEST, max(ways) * mm)


def _beyond(shape: Polygon, other: Polygon, mm: float) -> float:
    points = np.concatenate([even(r, 0.3 / mm) for r in rings(shape)])
    return float(np.percentile(shapely.distance(shapely.points(points), other.boundary), 98))
