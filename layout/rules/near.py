"""Things found by where they are, while one of them is dragged.

A plain look through all boxes: those of one plate or of one sheet are some dozens, for which an index with its upkeep
at every move costs ten times as much.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from typing import Generic, TypeVar

Box = tuple[float, float, float, float]
K = TypeVar("K", bound=Hashable)


class Near(Generic[K]):
    """Boxes (least x, least y, greatest x, greatest y in mm) by key."""

    def __init__(self) -> None:
        self._boxes: dict[K, Box] = {}

    def put(self, key: K, box: Box) -> None:
        """Add a thing, or move it where it is already there."""
        self._boxes[key] = box

    def remove(self, key: K) -> None:
        """Take a thing out; it may be put back later."""
        self._boxes.pop(key, None)

    def around(self, key: K, gap: float) -> Iterator[K]:
        """Give the other things whose boxes come nearer than `gap` mm to this one's, or touch it."""
        x0, y0, x1, y1 = self._boxes[key]
        x0, y0, x1, y1 = x0 - gap, y0 - gap, x1 + gap, y1 + gap
        for other, (a0, b0, a1, b1) in self._boxes.items():
            if a0 <= x1 and a1 >= x0 and b0 <= y1 and b1 >= y0 and other != key:
                yield other
