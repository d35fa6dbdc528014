"""Finding room for words: inside what they name, over no line and over no other words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from shapely.geometry import Point
from shapely.geometry import box as rectangle
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from app.guide.room import Ground, Room
from app.guide.sheet import Box

SPARE = 0.3
"""Words may be wider than a kept box by this much (mm)."""
Sizes = tuple[tuple[float, float], ...]
Found = tuple[int, Box] | None
"""Which of the sizes asked for, and the box."""


@dataclass(slots=True)
class Labels:
    """The words of one page, in the room that is left; `kept` holds where words stood on pages of the same dies.

    `bare` is the room that the dies alone leave: what finds no place on a die there finds none on any of their pages.
    """

    page: object
    room: Room
    bare: Room
    kept: dict[Any, Any]

    def place_on_die(self, die: int, ground: Ground, within: Box, *sizes: tuple[float, float]) -> Found:
        """Do as `place` does on the face of a die, passing over sizes that never fit there."""
        key, first = (die, *sizes), 0
        while first < len(sizes) and not self._ever(die, ground, within, sizes[first]):
            first += 1
        found = self.place(key, ground, within, *sizes[first:])
        return None if found is None else (first + found[0], found[1])

    def place(self, key: object, ground: Ground, within: Box, *sizes: tuple[float, float]) -> Found:
        """Find room on a ground in a part of the page for the first size (mm) that fits, as deep as it can be.

        Returns which size it is, and its box, which is now taken. Words stay where they were on another page of the
        same dies if that is free here and no larger size fits, and a page painted again comes out the same.
        """
        own = (self.page, key)
        if own not in self.kept:
            found = self._again(self.kept.get(key), ground, within, sizes)
            self.kept[own] = found
            if found is not None:
                self.kept[key] = found
        found = self.kept[own]
        if found is not None:
            self.room.take(found[1])
        return found  # type: ignore[no-any-return]

    def _ever(self, die: int, ground: Ground, within: Box, size: tuple[float, float]) -> bool:
        key = ("ever", die, size)
        if key not in self.kept:
            self.kept[key] = self.bare.fit(ground, within, (size,)) is not None
        return bool(self.kept[key])

    def _again(self, known: Found, ground: Ground, within: Box, sizes: Sizes) -> Found:
        if known is not None and (known[0] >= len(sizes) or not self._still(*known, ground, sizes)):
            known = None
        larger = sizes if known is None else sizes[: known[0]]
        return (self.room.fit(ground, within, larger) if larger else None) or known

    def _still(self, which: int, place: Box, ground: Ground, sizes: Sizes) -> bool:
        large = place.width >= sizes[which][0] - SPARE and place.height >= sizes[which][1]
        return large and self.room.is_free(place, ground)


def pointer(start: tuple[float, float], shape: BaseGeometry, gap: float = 2.6) -> list[tuple[float, float]]:
    """Return a short line from the edge of a badge at `start` to just inside the nearest part of a shape."""
    inner = shape.buffer(-0.7)
    _, near = nearest_points(Point(start), inner if not inner.is_empty else shape)
    length = math.hypot(near.x - start[0], near.y - start[1])
    share = min(1.0, gap / length) if length else 0.0
    return [(start[0] + share * (near.x - start[0]), start[1] + share * (near.y - start[1])), (near.x, near.y)]


def lead(place: Box, shape: BaseGeometry) -> list[tuple[float, float]]:
    """Return the shortest line from a box's border to just inside a shape."""
    inner = shape.buffer(-0.7)
    around = rectangle(place.x, place.y, place.right, place.bottom)
    return [(at.x, at.y) for at in nearest_points(around, inner if not inner.is_empty else shape)]
