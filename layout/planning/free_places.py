"""Where a piece of fixed turn may lie on a sheet: the exact set of its moves, by Minkowski sums of convex parts.

The piece is taken as its convex hull, which only makes the set smaller, never wrong. Lengths are mm.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np
from shapely import convex_hull, multipoints, unary_union
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from layout.planning.extents import Floats

FAR = 1e5


def polygons(shape: BaseGeometry) -> list[Polygon]:
    """Return the polygons of a geometry, largest first; lines and points are left out."""
    parts = shape.geoms if hasattr(shape, "geoms") else [shape]
    found = [p for p in parts if isinstance(p, Polygon) and not p.is_empty]
    return sorted(found, key=lambda p: -p.area)


def moves_within(room: BaseGeometry, hull: Floats) -> BaseGeometry:
    """Return all moves that keep a convex piece within a room: the room less its border swept by the piece."""
    if all(_is_convex(p) for p in polygons(room)):
        return unary_union([_drawn_in(p, hull) for p in polygons(room)])
    centre = hull.mean(axis=0)
    inside = translate(room, -centre[0], -centre[1])
    return inside.difference(unary_union([s for p in polygons(room) for s in _swept(p, hull)]))


def moves_into(obstacles: Iterable[BaseGeometry], hull: Floats) -> BaseGeometry:
    """Return all moves that bring a convex piece onto one of the obstacles."""
    return unary_union([s for o in obstacles for p in polygons(o) for s in _onto(p, hull)])


def out_of_reach(sheet: Polygon, turn: float, reach: float, mouth: float) -> BaseGeometry:
    """Return the moves of a punch, turned by degrees, at which the sheet would have to go in deeper than `reach`.

    In the punch's frame the paper goes in along +y; only what lies within the mouth's width about x = 0 counts.
    """
    upright = rotate(sheet, -turn, origin=(0, 0))
    half = min(mouth / 2, FAR / 10)
    corners = np.asarray(upright.exterior.coords)
    a, b = corners[:-1] - (0.0, reach), corners[1:] - (0.0, reach)
    tops = [p + np.array([s * half, 0.0]) for p in (a, b) for s in (-1, 1)]
    dropped = [np.stack([p[:, 0], np.full(len(p), -FAR)], axis=1) for p in tops]
    return rotate(unary_union(_hulls(np.stack([*tops, *dropped], axis=1))), turn, origin=(0, 0))


def outward_turns(sheet: Polygon, most: int) -> list[float]:
    """Return turns at which a punch goes straight in over an edge of the sheet, the longest edges first."""
    corners = np.asarray(sheet.convex_hull.exterior.normalize().reverse().coords)
    edges = np.diff(corners, axis=0)
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    normals = np.degrees(np.arctan2(-edges[:, 0], edges[:, 1])) - 90.0
    order = [float(normals[k] % 360.0) for k in np.argsort(-lengths, kind="stable")]
    return list(_apart(order))[:most]


def best_corner(places: BaseGeometry, turn: float) -> tuple[float, float] | None:
    """Return the corner of the set of moves that lies farthest towards the mouth's end of the sheet; None if empty."""
    a = math.radians(turn)
    corners = [c for p in polygons(places) for c in p.exterior.coords[:-1]]
    deepest = max(corners, key=lambda c: _rank(c, a), default=None)
    return None if deepest is None else (float(deepest[0]), float(deepest[1]))


def _rank(corner: Sequence[float], a: float) -> tuple[float, float]:
    along, across = (
        -math.sin(a) * corner[0] + math.cos(a) * corner[1],
        math.cos(a) * corner[0] + math.sin(a) * corner[1],
    )
    return round(along, 3), round(-across, 3)


def _apart(turns: Iterable[float]) -> Iterator[float]:
    """Leave out turns that are nearly those before."""
    seen: list[float] = []
    for turn in turns:
        if all(abs((turn - s + 180.0) % 360.0 - 180.0) > 3.0 for s in seen):
            seen.append(turn)
            yield turn


def _is_convex(shape: Polygon) -> bool:
    return not shape.interiors and shape.convex_hull.area - shape.area <= 1e-5 * shape.area


def _drawn_in(room: Polygon, hull: Floats) -> BaseGeometry:
    """Return the moves that keep a piece within a convex room: each side drawn in by what the piece reaches over it."""
    left: BaseGeometry = box(-FAR, -FAR, FAR, FAR)
    for a, b in pairwise(np.asarray(room.exterior.normalize().reverse().coords)):
        normal = np.array([b[1] - a[1], a[0] - b[0]]) / math.hypot(b[0] - a[0], b[1] - a[1])
        left = left.intersection(_half_plane(normal, float(normal @ a) - float(np.max(hull @ normal))))
    return left


def _half_plane(normal: Floats, offset: float) -> Polygon:
    """Return what lies behind the line with this unit normal, as far as matters."""
    at, along = normal * offset, np.array([-normal[1], normal[0]]) * FAR
    return Polygon([at + along, at - along, at - along - normal * 2 * FAR, at + along - normal * 2 * FAR])


def _onto(obstacle: Polygon, hull: Floats) -> list[BaseGeometry]:
    """Return moves that together bring the piece anywhere onto the obstacle."""
    if _is_convex(obstacle):
        return [_convex_sum(np.asarray(obstacle.convex_hull.exterior.normalize().reverse().coords[:-1]), -hull)]
    centre = hull.mean(axis=0)
    over = translate(obstacle, -centre[0], -centre[1])
    return [over, *_swept(obstacle, hull)]


def _convex_sum(a: Floats, b: Floats) -> Polygon:
    """Return the Minkowski sum of two convex polygons, corners counter-clockwise: their edges put in order of slope."""
    edges = np.concatenate([_steps(a), _steps(b)])
    start = a[np.lexsort((a[:, 0], a[:, 1]))[0]] + b[np.lexsort((b[:, 0], b[:, 1]))[0]]
    order = np.argsort(np.arctan2(edges[:, 1], edges[:, 0]) % (2 * math.pi), kind="stable")
    corners = start + np.concatenate([[[0.0, 0.0]], np.cumsum(edges[order], axis=0)[:-1]])
    return Polygon(corners)


def _steps(corners: Floats) -> Floats:
    steps: Floats = np.roll(corners, -1, axis=0) - corners
    return steps


def _swept(shape: Polygon, hull: Floats) -> list[BaseGeometry]:
    """Return, for each border line of a shape, the moves that bring a convex piece onto it."""
    found: list[BaseGeometry] = []
    for ring in (shape.exterior, *shape.interiors):
        corners = np.asarray(ring.coords)[:, None, :] - hull[None, :, :]
        found += _hulls(np.concatenate([corners[:-1], corners[1:]], axis=1))
    return found


def _hulls(points: Floats) -> list[BaseGeometry]:
    """Return the convex hull of each row of points, shape (n, k, 2)."""
    n, k = points.shape[:2]
    return list(convex_hull(multipoints(points.reshape(-1, 2), indices=np.repeat(np.arange(n), k))))
