"""Finding room for words: inside what they name, over no line and over no other words."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from app.guide.sheet import Box

GRID = 12
MOST_FACES = 5
Spots = NDArray[np.float64]
"""Points in rows of x and y, mm."""
Found = tuple[int, Box] | None
"""Which of the sizes asked for, and the box."""


@dataclass(slots=True)
class Labels:
    """The boxes already written in on one page."""

    taken: list[Box] = field(default_factory=list)

    def place(self, free: BaseGeometry, *sizes: tuple[float, float]) -> Found:
        """Find room in `free`, as deep as it can be and over no box already taken, for the first size (mm) that fits.

        Returns which size it is, and its box, which is now taken.
        """
        least = min(min(size) for size in sizes)
        found = [(face, _centres(face, least / 2)) for face in _faces(free, least)]
        faces = [face for face, spots in found if len(spots)]
        centres = [spots for _, spots in found if len(spots)]
        for face in faces:
            shapely.prepare(face)
        for which, (width, height) in enumerate(sizes):
            for face, spots in zip(faces, centres, strict=True):
                spot = self._first(face, spots, width, height)
                if spot is not None:
                    box = Box(float(spot[0]) - width / 2, float(spot[1]) - height / 2, width, height)
                    self.taken.append(box)
                    return which, box
        return None

    def again(self, key: object, kept: dict[Any, Any], free: BaseGeometry, *sizes: tuple[float, float]) -> Found:
        """Like `place`, but with an answer kept from before, where its box is free here too."""
        known = kept.get(key)
        if known is not None and not any(known[1].touches(box) for box in self.taken):
            self.taken.append(known[1])
            return known  # type: ignore[no-any-return]
        kept[key] = self.place(free, *sizes)
        return kept[key]  # type: ignore[no-any-return]

    def take(self, box: Box) -> None:
        """Keep a box free of later words."""
        self.taken.append(box)

    def _first(self, face: Polygon, spots: Spots, width: float, height: float) -> Spots | None:
        """Return the first centre round which a box lies wholly in the face and on no taken box."""
        half = np.array([width / 2, height / 2])
        low, high = spots - half, spots + half
        good = np.ones(len(spots), dtype=bool)
        for box in self.taken:
            good &= (high[:, 0] <= box.x) | (low[:, 0] >= box.right) | (high[:, 1] <= box.y) | (low[:, 1] >= box.bottom)
        boxes = shapely.box(low[good, 0], low[good, 1], high[good, 0], high[good, 1])
        found = np.flatnonzero(shapely.contains(face, boxes))
        return None if len(found) == 0 else spots[good][found[0]]


def _faces(free: BaseGeometry, least: float) -> list[Polygon]:
    """Return the connected parts that could hold something `least` mm high, largest first."""
    parts = list(free.geoms) if isinstance(free, MultiPolygon) else [free]
    wide = [p for p in parts if isinstance(p, Polygon) and not p.is_empty and p.area >= least * least]
    return sorted(wide, key=lambda part: -part.area)[:MOST_FACES]


def _centres(face: Polygon, depth: float) -> Spots:
    """Return candidate centres, the deepest first: the pole of inaccessibility, then a grid by depth.

    There are none in a face that nowhere is `depth` deep.
    """
    line = shapely.maximum_inscribed_circle(face, tolerance=1.0)
    if shapely.length(line) < depth:
        return np.empty((0, 2))
    pole = shapely.get_coordinates(line)[:1]
    x0, y0, x1, y1 = face.bounds
    xs, ys = np.meshgrid(np.linspace(x0, x1, GRID), np.linspace(y0, y1, GRID))
    points = shapely.points(xs.ravel(), ys.ravel())
    inside = shapely.contains(face, points)
    depths = shapely.distance(shapely.simplify(face.boundary, 0.2), points[inside])
    grid = np.column_stack((xs.ravel()[inside], ys.ravel()[inside]))[np.argsort(-depths, kind="stable")]
    return np.vstack((pole, grid))


def pointer(start: tuple[float, float], shape: BaseGeometry, gap: float = 2.6) -> list[tuple[float, float]]:
    """Return a short line from the edge of a badge at `start` to just inside the nearest part of a shape."""
    inner = shape.buffer(-0.7)
    _, near = nearest_points(Point(start), inner if not inner.is_empty else shape)
    length = math.hypot(near.x - start[0], near.y - start[1])
    share = min(1.0, gap / length) if length else 0.0
    return [(start[0] + share * (near.x - start[0]), start[1] + share * (near.y - start[1])), (near.x, near.y)]
