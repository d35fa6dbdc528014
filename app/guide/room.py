"""The room for words on a page as a fine grid: what is free, which die a place belongs to, where a box still fits.

A grid of 0.4 mm answers at once what exact geometry would have to cut out anew for each of a thousand names. Nothing
is drawn by it: a place a little larger than the words is all that is asked. The largest margin that still fits is found
by halving, each size tried at all places at once by sums over the grid (summed-area table: Crow 1984, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen

from app.guide.sheet import Box
from app.guide.typeface import UNITS_PER_MM

CELL = 0.4
"""Side of a cell of the grid, mm."""
CLEAR = 0.5
"""Words keep this far (mm) from lines, less half a cell."""
MOST_MARGIN = 20
"""Words are put no deeper than so many cells: deeper looks no better."""
Mask = NDArray[np.bool_]
Sums = NDArray[np.int32]
Span = tuple[slice, slice]


class Canvas:
    """A raster of a box of the page to which lines and areas are brought by number; 0 where nothing lies."""

    def __init__(self, box: Box) -> None:
        self._image = QImage(int(box.width / CELL), int(box.height / CELL), QImage.Format.Format_RGB32)
        self._image.fill(0xFF000000)
        self._painter = QPainter(self._image)
        self._painter.scale(1 / CELL / UNITS_PER_MM, 1 / CELL / UNITS_PER_MM)
        self._painter.translate(-box.x * UNITS_PER_MM, -box.y * UNITS_PER_MM)

    def area(self, path: QPainterPath, number: int = 1) -> None:
        """Fill a path."""
        self._painter.fillPath(path, QColor(number))

    def line(self, path: QPainterPath, number: int = 1) -> None:
        """Draw a path with the margin that words keep."""
        self._painter.strokePath(path, QPen(QColor(number), 2 * CLEAR * UNITS_PER_MM))

    def numbers(self) -> NDArray[np.uint32]:
        """Return what was drawn, row by row."""
        self._painter.end()
        return np.frombuffer(self._image.constBits(), dtype=np.uint32).reshape(self._image.height(), -1) & 0xFFFFFF


class Ground(NamedTuple):
    """The cells of a grid that bear one number."""

    numbers: NDArray[np.uint32]
    number: int

    def over(self, span: Span) -> Mask:
        """Return which cells of a part are of it."""
        return self.numbers[span] == self.number  # type: ignore[no-any-return]


class Room:
    """Which cells of a box of the page are taken."""

    def __init__(self, box: Box, taken: Mask) -> None:
        self.box, self.taken = box, taken

    def copy(self) -> Room:
        """Return the same room, to be filled for one page."""
        return Room(self.box, self.taken.copy())

    def take(self, box: Box) -> None:
        """Keep a box free of later words."""
        self.taken[self._over(box)] = True

    def is_free(self, box: Box, ground: Ground) -> bool:
        """Whether a box lies wholly on a ground and on nothing taken."""
        over = self._over(box)
        return bool(ground.over(over).all()) and not self.taken[over].any()

    def fit(self, ground: Ground, within: Box, sizes: Sequence[tuple[float, float]]) -> tuple[int, Box] | None:
        """Return the first of the sizes (mm) that fits on free ground in a part of the page, and its box there.

        It lies as deep as it can; None where no size fits.
        """
        rows, columns = self._over(within)
        sums = summed(ground.over((rows, columns)) & ~self.taken[rows, columns])
        for which, (width, height) in enumerate(sizes):
            across, down = math.ceil(width / CELL) + 1, math.ceil(height / CELL) + 1
            spot = deepest(sums, across, down)
            if spot is not None:
                row, column = spot[0] + rows.start + down / 2, spot[1] + columns.start + across / 2
                middle = self.box.x + column * CELL, self.box.y + row * CELL
                return which, Box(middle[0] - width / 2, middle[1] - height / 2, width, height)
        return None

    def _over(self, box: Box) -> Span:
        """Return the cells that a box touches."""
        high, wide = self.taken.shape
        left, top = (box.x - self.box.x) / CELL, (box.y - self.box.y) / CELL
        right, bottom = left + box.width / CELL, top + box.height / CELL
        rows = slice(min(max(int(top), 0), high), min(max(math.ceil(bottom), 0), high))
        return rows, slice(min(max(int(left), 0), wide), min(max(math.ceil(right), 0), wide))


def summed(free: Mask) -> Sums:
    """Return for each corner of the grid how many cells above and to the left of it are free."""
    sums = np.zeros((free.shape[0] + 1, free.shape[1] + 1), dtype=np.int32)
    np.cumsum(np.cumsum(free, axis=0, dtype=np.int32), axis=1, out=sums[1:, 1:])
    return sums


def deepest(sums: Sums, across: int, down: int) -> tuple[int, int] | None:
    """Return row and column of the box of so many cells that has the widest free margin; of equals the middle one."""
    best, low, high = _fits(sums, across, down), 0, MOST_MARGIN + 1
    if len(best) == 0:
        return None
    while high - low > 1:
        margin = (low + high) // 2
        found = _fits(sums, across + 2 * margin, down + 2 * margin)
        if len(found):
            best, low = found + margin, margin
        else:
            high = margin
    nearest = np.argmin(((best - best.mean(axis=0)) ** 2).sum(axis=1))
    return int(best[nearest, 0]), int(best[nearest, 1])


def _fits(sums: Sums, across: int, down: int) -> NDArray[np.intp]:
    """Return the first cells of all boxes of so many cells that are wholly free."""
    if down >= sums.shape[0] or across >= sums.shape[1]:
        return np.empty((0, 2), dtype=np.intp)
    inside = sums[down:, across:] - sums[:-down, across:] - sums[down:, :-across] + sums[:-down, :-across]
    return np.argwhere(inside == across * down)
