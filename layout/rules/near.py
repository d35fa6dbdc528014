"""Things found by where they are, in an index that changes while one of them is dragged.

Those that moved last are looked through plainly: for some dozens that costs less than an index with its upkeep at every
move. Where there are more, the ones that rest lie in an R-tree.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    from rtree.index import Index

Box = tuple[float, float, float, float]
K = TypeVar("K", bound=Hashable)
MANY = 256  # boxes; measured: a plain look through 400 takes as long as one question to the tree with its upkeep


class Near(Generic[K]):
    """Boxes (least x, least y, greatest x, greatest y in mm) by key."""

    def __init__(self) -> None:
        self._moved: dict[K, Box] = {}  # in the order of their moves
        self._resting: dict[K, Box] = {}
        self._numbers: dict[K, int] = {}
        self._keys: list[K] = []
        self._tree: Index | None = None

    def put(self, key: K, box: Box) -> None:
        """Add a thing, or move it where it is already there."""
        self.remove(key)
        self._moved[key] = box
        if len(self._moved) > MANY:
            self._lay_to_rest()

    def remove(self, key: K) -> None:
        """Take a thing out; it may be put back later."""
        self._moved.pop(key, None)
        box = self._resting.pop(key, None)
        if box is not None and self._tree is not None:
            self._tree.delete(self._numbers[key], box)

    def around(self, key: K, gap: float) -> Iterator[K]:
        """Give the other things whose boxes come nearer than `gap` mm to this one's, or touch it."""
        x0, y0, x1, y1 = self._moved[key] if key in self._moved else self._resting[key]
        x0, y0, x1, y1 = x0 - gap, y0 - gap, x1 + gap, y1 + gap
        for other, (a0, b0, a1, b1) in self._moved.items():
            if a0 <= x1 and a1 >= x0 and b0 <= y1 and b1 >= y0 and other != key:
                yield other
        if self._tree is not None:
            for number in self._tree.intersection((x0, y0, x1, y1)):
                if self._keys[number] != key:
                    yield self._keys[number]

    def _lay_to_rest(self) -> None:
        """Put the half that moved longest ago into the tree."""
        if self._tree is None:
            from rtree.index import Index  # loaded where it is needed: most plates never hold so many

            self._tree = Index()
        for key in list(self._moved)[: MANY // 2]:
            if key not in self._numbers:
                self._numbers[key] = len(self._keys)
                self._keys.append(key)
            self._resting[key] = self._moved.pop(key)
            self._tree.insert(self._numbers[key], self._resting[key])
