"""The room for words as coarse cells of the screen, all of them the bits of one number, so that they are asked at once.

Sums over a finer grid, as the guide has them, would need a library that takes as long to load as the whole start.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPainter, QPainterPath, QPen

CELL = 3.0
"""Side of a cell in pixels; words keep so far clear of a line."""

Bits = int
"""The cells of a mask: the first of the top row is the highest bit. Each row has as many empty cells again at its end,
so that what is shifted sideways does not come into another row."""
Spot = tuple[int, int]
"""Row and column of a cell."""


class Cells:
    """A part of the screen in cells."""

    def __init__(self, room: QRectF) -> None:
        self.room = room
        self.wide, self.high = max(1, int(room.width() / CELL)), max(1, int(room.height() / CELL))
        self._row = (2 * self.wide + 31) // 32 * 32  # bits of a row: whole words, as a picture has them
        self._ends = ((1 << self._row * self.high) - 1) // ((1 << self._row) - 1)  # the last cell of every row
        self.every: Bits = self._runs(0, self.wide, 0, self.high)

    def covered(self, paths: Iterable[QPainterPath]) -> Bits:
        """Return the cells on which paths (pixels) lie, with a rim that words keep clear."""
        return self._drawn(paths, Qt.GlobalColor.white)

    def inside(self, path: QPainterPath) -> Bits:
        """Return the cells that lie within a path, without the rim that words keep clear."""
        return self._drawn([path], Qt.GlobalColor.black)

    def under(self, boxes: Iterable[QRectF]) -> Bits:
        """Return the cells that boxes (pixels) touch, and those beside them."""
        mask = 0
        for box in boxes:
            left, top = (box.left() - self.room.left()) / CELL, (box.top() - self.room.top()) / CELL
            right, bottom = left + box.width() / CELL, top + box.height() / CELL
            first, last = max(0, math.floor(left) - 1), min(self.wide, math.ceil(right) + 1)
            upper, lower = max(0, math.floor(top) - 1), min(self.high, math.ceil(bottom) + 1)
            if first < last and upper < lower:
                mask |= self._runs(first, last, upper, lower)
        return mask

    def fitting(self, free: Bits, width: float, height: float) -> Bits:
        """Return the top left cells of all boxes of a size (pixels) that are wholly free."""
        for step in _steps(_cells(height)):
            free &= free << step * self._row
        for step in _steps(_cells(width)):
            free &= free << step
        return free & self.every

    def touching(self, mask: Bits, width: float, height: float) -> Bits:
        """Return the top left cells of all boxes of a size (pixels) that have a cell of the mask in them."""
        return self._spread(mask, _cells(width), _cells(height)) & self.every

    def grown(self, mask: Bits, by: int) -> Bits:
        """Return a mask with so many cells more on each side."""
        return (self._spread(mask, 2 * by + 1, 2 * by + 1) >> by * (self._row + 1)) & self.every

    def first(self, mask: Bits, other: Bits) -> Spot | None:
        """Return the first cell that is in both masks, from the top, then from the left."""
        if not mask & other:
            return None
        return divmod(self._row * self.high - (mask & other).bit_length(), self._row)

    def point(self, spot: Spot) -> QPointF:
        """Return the middle of a cell in pixels."""
        row, column = spot
        return self.room.topLeft() + QPointF((column + 0.5) * CELL, (row + 0.5) * CELL)

    def _runs(self, first: int, last: int, upper: int, lower: int) -> Bits:
        """Return the cells of some columns in some rows."""
        rows = self._ends & ((1 << self._row * (lower - upper)) - 1)
        run = ((1 << (last - first)) - 1) << (self._row - last)
        return run * rows << self._row * (self.high - lower)

    def _spread(self, mask: Bits, across: int, down: int) -> Bits:
        """Return the cells from which a box of so many cells reaches a cell of a mask."""
        for step in _steps(down):
            mask |= mask << step * self._row
        for step in _steps(min(across, self.wide)):
            mask |= mask << step
        return mask

    def _drawn(self, paths: Iterable[QPainterPath], rim: Qt.GlobalColor) -> Bits:
        image = QImage(self._row, self.high, QImage.Format.Format_Mono)
        image.setColorTable([0xFF000000, 0xFFFFFFFF])
        image.fill(0)
        painter = QPainter(image)
        painter.scale(1 / CELL, 1 / CELL)
        painter.translate(-self.room.topLeft())
        painter.setBrush(Qt.GlobalColor.white)
        painter.setPen(QPen(rim, 2 * CELL))
        for path in paths:
            painter.drawPath(path)
        painter.end()
        return int.from_bytes(image.constBits(), "big") & self.every


def _cells(length: float) -> int:
    return math.ceil(length / CELL) + 1


def _steps(cells: int) -> list[int]:
    """Return the shifts that bring a run of so many cells together, each at most as far as was reached before."""
    steps, reach = [], 1
    while reach < cells:
        steps.append(min(reach, cells - reach))
        reach += steps[-1]
    return steps
