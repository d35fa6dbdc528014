"""Finding room for words: inside what they name, over no line and over no other words."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points, polylabel

from app.guide.sheet import Box

GRID = 14


@dataclass(slots=True)
class Labels:
    """The boxes already written in on one page."""

    taken: list[Box] = field(default_factory=list)

    def place(self, free: BaseGeometry, width: float, height: float) -> Box | None:
        """Find a box of this size (mm) wholly in `free`, over no box already taken, as deep as it can be."""
        for face in _faces(free, min(width, height)):
            for centre in _centres(face):
                box = Box(centre[0] - width / 2, centre[1] - height / 2, width, height)
                if self._is_free(box) and face.contains(_polygon(box)):
                    self.taken.append(box)
                    return box
        return None

    def take(self, box: Box) -> None:
        """Keep a box free of later words."""
        self.taken.append(box)

    def _is_free(self, box: Box) -> bool:
        return not any(box.touches(other) for other in self.taken)


def _faces(free: BaseGeometry, least: float) -> list[Polygon]:
    """Return the connected parts that could hold something `least` mm high, largest first."""
    parts = list(free.geoms) if isinstance(free, MultiPolygon) else [free]
    wide = [p for p in parts if isinstance(p, Polygon) and not p.is_empty and p.area >= least * least]
    for part in wide:
        shapely.prepare(part)
    return sorted(wide, key=lambda part: -part.area)


def _centres(face: Polygon) -> list[tuple[float, float]]:
    """Return candidate centres, the deepest first: the pole of inaccessibility, then a grid by depth."""
    pole = polylabel(face, tolerance=0.5)
    x0, y0, x1, y1 = face.bounds
    xs, ys = np.meshgrid(np.linspace(x0, x1, GRID), np.linspace(y0, y1, GRID))
    points = shapely.points(xs.ravel(), ys.ravel())
    inside = points[shapely.contains(face, points)]
    depth = shapely.distance(face.boundary, inside)
    order = np.argsort(-depth, kind="stable")
    return [(pole.x, pole.y), *((p.x, p.y) for p in inside[order])]


def _polygon(box: Box) -> Polygon:
    return shapely.box(box.x, box.y, box.right, box.bottom)


def pointer(start: tuple[float, float], shape: BaseGeometry, gap: float = 2.6) -> list[tuple[float, float]]:
    """Return a short line from the edge of a badge at `start` to just inside the nearest part of a shape."""
    inner = shape.buffer(-0.7)
    _, near = nearest_points(Point(start), inner if not inner.is_empty else shape)
    length = math.hypot(near.x - start[0], near.y - start[1])
    share = min(1.0, gap / length) if length else 0.0
    return [(start[0] + share * (near.x - start[0]), start[1] + share * (near.y - start[1])), (near.x, near.y)]
