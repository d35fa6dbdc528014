"""Things found by where they are, in an index that changes while one of them is dragged."""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from typing import Generic, TypeVar

from rtree import index

Box = tuple[float, float, float, float]
K = TypeVar("K", bound=Hashable)


class Near(Generic[K]):
    """Boxes (least x, least y, greatest x, greatest y in mm) by key."""

    def __init__(self) -> None:
        self._tree = index.Index()
        self._boxes: dict[K, Box] = {}
        self._numbers: dict[K, int] = {}
        self._keys: list[K] = []

    def put(self, key: K, box: Box) -> None:
        """Add a thing, or move it where it is already there."""
        if key in self._boxes:
            self._tree.delete(self._numbers[key], self._boxes[key])
        elif key not in self._numbers:
            self._numbers[key] = len(self._keys)
            self._keys.append(key)
        self._boxes[key] = box
        self._tree.insert(self._numbers[key], box)

    def remove(self, key: K) -> None:
        """Take a thing out; it may be put back later."""
        if key in self._boxes:
            self._tree.delete(self._numbers[key], self._boxes.pop(key))

    def around(self, key: K, gap: float) -> Iterator[K]:
        """Give the other things whose boxes come nearer than `gap` mm to this one's, or touch it."""
        x0, y0, x1, y1 = self._boxes[key]
        for number in self._tree.intersection((x0 - gap, y0 - gap, x1 + gap, y1 + gap)):
            if self._keys[number] != key:
                yield self._keys[number]
