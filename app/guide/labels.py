"""Finding room for words: inside what they name, over no line and over no other words."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
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
COARSE = 0.2
"""Where only the middle of a face is sought, its border may be off by this much (mm)."""
SPARE = 0.3
"""Words may be wider than a kept box by this much (mm)."""
Spots = NDArray[np.float64]
"""Points in rows of x and y, mm."""
Found = tuple[int, Box] | None
"""Which of the sizes asked for, and the box."""


@dataclass(slots=True)
class Labels:
    """The boxes already written in on one page."""

    page: object = None
    taken: list[Box] = field(default_factory=list)

    def place(self, free: BaseGeometry, *sizes: tuple[float, float]) -> Found:
        """Find room in `free`, as deep as it can be and over no box already taken, for the first size (mm) that fits.

        Returns which size it is, and its box, which is now taken.
        """
        faces = [_Face(face) for face in _faces(free, min(min(size) for size in sizes))]
        for which, (width, height) in enumerate(sizes):
            for face in faces:
                spot = self._first(face, width, height) if face.could_hold(width, height) else None
                if spot is not None:
                    box = Box(float(spot[0]) - width / 2, float(spot[1]) - height / 2, width, height)
                    self.taken.append(box)
                    return which, box
        return None

    def again(
        self,
        key: object,
        kept: dict[Any, Any],
        free: Callable[[], BaseGeometry],
        *sizes: tuple[float, float],
        still: Callable[[int, Box], bool] = lambda *_: True,
    ) -> Found:
        """Like `place`, but with an answer kept from before, if that is free and large enough here and `still` agrees.

        So words stay where they were from pass to pass, and a page painted again comes out the same.
        """
        own = (self.page, key)
        if own not in kept:
            known = kept.get(key)
            if known is None or not self._is_free(*known, sizes) or not still(*known):
                known = self.place(free(), *sizes)
            else:
                self.taken.append(known[1])
            kept[key] = kept[own] = known
        elif kept[own] is not None:
            self.taken.append(kept[own][1])
        return kept[own]  # type: ignore[no-any-return]

    def _is_free(self, which: int, place: Box, sizes: tuple[tuple[float, float], ...]) -> bool:
        large = which < len(sizes) and place.width >= sizes[which][0] - SPARE and place.height >= sizes[which][1]
        return large and not any(place.touches(box) for box in self.taken)

    def take(self, box: Box) -> None:
        """Keep a box free of later words."""
        self.taken.append(box)

    def _first(self, face: _Face, width: float, height: float) -> Spots | None:
        """Return the first centre round which a box lies wholly in the face and on no taken box."""
        spots = face.spots
        half = np.array([width / 2, height / 2])
        low, high = spots - half, spots + half
        good = np.ones(len(spots), dtype=bool)
        for box in self.taken:
            good &= (high[:, 0] <= box.x) | (low[:, 0] >= box.right) | (high[:, 1] <= box.y) | (low[:, 1] >= box.bottom)
        boxes = shapely.box(low[good, 0], low[good, 1], high[good, 0], high[good, 1])
        found = np.flatnonzero(shapely.contains(face.shape, boxes))
        return None if len(found) == 0 else spots[good][found[0]]


def _faces(free: BaseGeometry, least: float) -> list[Polygon]:
    """Return the connected parts that could hold something `least` mm high, largest first."""
    parts = list(free.geoms) if isinstance(free, MultiPolygon) else [free]
    wide = [p for p in parts if isinstance(p, Polygon) and not p.is_empty and p.area >= least * least]
    return sorted(wide, key=lambda part: -part.area)[:MOST_FACES]


class _Face:
    """A connected part of the free ground, with the places where the middle of something may stand in it."""

    def __init__(self, shape: Polygon) -> None:
        self.shape = shape
        x0, y0, x1, y1 = shape.bounds
        self._sides = (x1 - x0, y1 - y0)

    def could_hold(self, width: float, height: float) -> bool:
        """Whether a box this large is not too large at first sight."""
        return width <= self._sides[0] and height <= self._sides[1] and min(width, height) <= 2 * self._deep[0]

    @cached_property
    def _deep(self) -> tuple[float, Spots]:
        """How deep the face is, and its deepest point (pole of inaccessibility)."""
        line = shapely.maximum_inscribed_circle(shapely.simplify(self.shape, COARSE), tolerance=1.0)
        return shapely.length(line) + COARSE, shapely.get_coordinates(line)[:1]

    @cached_property
    def spots(self) -> Spots:
        """Candidate centres, the deepest first: the pole of inaccessibility, then a grid by depth."""
        shapely.prepare(self.shape)
        x0, y0, x1, y1 = self.shape.bounds
        xs, ys = np.meshgrid(np.linspace(x0, x1, GRID), np.linspace(y0, y1, GRID))
        points = shapely.points(xs.ravel(), ys.ravel())
        inside = shapely.contains(self.shape, points)
        depths = shapely.distance(shapely.simplify(self.shape.boundary, COARSE), points[inside])
        grid = np.column_stack((xs.ravel()[inside], ys.ravel()[inside]))[np.argsort(-depths, kind="stable")]
        return np.vstack((self._deep[1], grid))


def pointer(start: tuple[float, float], shape: BaseGeometry, gap: float = 2.6) -> list[tuple[float, float]]:
    """Return a short line from the edge of a badge at `start` to just inside the nearest part of a shape."""
    inner = shape.buffer(-0.7)
    _, near = nearest_points(Point(start), inner if not inner.is_empty else shape)
    length = math.hypot(near.x - start[0], near.y - start[1])
    share = min(1.0, gap / length) if length else 0.0
    return [(start[0] + share * (near.x - start[0]), start[1] + share * (near.y - start[1])), (near.x, near.y)]
