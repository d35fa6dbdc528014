"""How far a found outline is from the true one: both ways, along all borders, openings included."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

STEP = 0.15  # mm between the places where borders are compared
STARTS = 8  # turns from which one shape is laid over another: a star with a window fits nearly at each of its rays


def border_points(shape: Polygon) -> NDArray[np.float64]:
    """Points along all borders of a shape, evenly spaced."""
    rings = (shape.exterior, *shape.interiors)
    along = [shapely.line_interpolate_point(r, np.arange(0, r.length, STEP)) for r in rings]
    return np.concatenate([shapely.get_coordinates(points) for points in along])


def border_distance(found: Polygon, true: Polygon) -> tuple[float, float]:
    """The 98th percentile and the greatest of the distances from either border to the other (mm)."""
    there = shapely.distance(shapely.points(border_points(found)), true.boundary)
    back = shapely.distance(shapely.points(border_points(true)), found.boundary)
    ways = [np.percentile(d, 98) for d in (there, back)]
    return float(max(ways)), float(max(there.max(), back.max()))


def paired(found: list[Polygon], true: list[Polygon]) -> tuple[list[tuple[Polygon, Polygon]], int, int]:
    """Pairs of found and true shapes that cover each other, how many were missed, and how many were invented."""
    left, pairs = list(found), []
    for shape in true:
        best = max(left, key=lambda f: f.intersection(shape).area / f.union(shape).area, default=None)
        if best is not None and best.intersection(shape).area > 0.3 * best.union(shape).area:
            left.remove(best)
            pairs.append((best, shape))
    return pairs, len(true) - len(pairs), len(left)


def laid_over(found: Polygon, true: Polygon) -> Polygon:
    """The found shape turned and moved onto the true one as well as it goes (a photo's frame is free)."""
    at = border_points(found)[::3]
    starts = sorted((_turned(at, found, true, turn) for turn in np.arange(0, 360, 7.5)), key=lambda p: _gap(p, true))
    moved = min((_drawn_near(start, true) for start in starts[:STARTS]), key=lambda p: _gap(p, true))
    turn, shift = _rigid(at, moved)
    rings = [np.asarray(r.coords)[:, :2] @ turn + shift for r in (found.exterior, *found.interiors)]
    return Polygon(rings[0], rings[1:])


def _drawn_near(moved: NDArray[np.float64], true: Polygon) -> NDArray[np.float64]:
    for _ in range(30):
        turn, shift = _rigid(moved, _nearest(moved, true))
        moved = moved @ turn + shift
    return moved


def _turned(at: NDArray[np.float64], found: Polygon, true: Polygon, turn: float) -> NDArray[np.float64]:
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    middle, target = (shapely.get_coordinates(Polygon(g.exterior).centroid)[0] for g in (found, true))
    return (at - middle) @ np.array([[c, s], [-s, c]]) + target


def _gap(points: NDArray[np.float64], true: Polygon) -> float:
    return float(shapely.distance(shapely.points(points[::5]), true.boundary).mean())


def _nearest(points: NDArray[np.float64], true: Polygon) -> NDArray[np.float64]:
    return shapely.get_coordinates(shapely.shortest_line(shapely.points(points), true.boundary))[1::2]


def _rigid(a: NDArray[np.float64], b: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The turn and move (Kabsch's method) that carry one row of points best onto another; never a mirror."""
    u, _, v = np.linalg.svd((a - a.mean(0)).T @ (b - b.mean(0)))
    turn = u @ np.diag([1.0, np.linalg.det(u @ v)]) @ v
    return turn, b.mean(0) - a.mean(0) @ turn
