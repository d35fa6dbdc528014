"""The room for words as coarse cells of the screen: rows of bits, so that all places are asked at once.

Sums over a finer grid, as the guide has them, would need a library that takes as long to load as the whole start.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QImage, QPainter, QPainterPath, QPen

CELL = 3.0
"""Side of a cell in pixels; words keep so far clear of a line."""

Bits = list[int]
"""Rows of cells from the top; of a row the leftmost cell is the highest bit."""
Spot = tuple[int, int]
"""Row and column of a cell."""


class Cells:
    """A part of the screen in cells; masks of it are rows of bits."""

    def __init__(self, room: QRectF) -> None:
        self.room = room
        self.wide, self.high = max(1, int(room.width() / CELL)), max(1, int(room.height() / CELL))
        self._full = (1 << self.wide) - 1
        self.every: Bits = [self._full] * self.high

    def covered(self, paths: Iterable[QPainterPath]) -> Bits:
        """Return the cells on which paths (pixels) lie, with a rim that words keep clear."""
        return self._drawn(paths, Qt.GlobalColor.white)

    def inside(self, path: QPainterPath) -> Bits:
        """Return the cells that lie within a path, without the rim that words keep clear."""
        return self._drawn([path], Qt.GlobalColor.black)

    def under(self, boxes: Iterable[QRectF]) -> Bits:
        """Return the cells that boxes (pixels) touch, and those beside them."""
        mask = [0] * self.high
        for box in boxes:
            left, top = (box.left() - self.room.left()) / CELL, (box.top() - self.room.top()) / CELL
            right, bottom = left + box.width() / CELL, top + box.height() / CELL
            first, last = max(0, math.floor(left) - 1), min(self.wide, math.ceil(right) + 1)
            if first < last:
                row = ((1 << (last - first)) - 1) << (self.wide - last)
                for k in range(max(0, math.floor(top) - 1), min(self.high, math.ceil(bottom) + 1)):
                    mask[k] |= row
        return mask

    def fitting(self, free: Bits, width: float, height: float) -> Bits:
        """Return the top left cells of all boxes of a size (pixels) that are wholly free."""
        across, rows = _steps(_cells(width)), free
        for step in _steps(_cells(height)):
            rows = [a & b for a, b in zip(rows, rows[step:] + [0] * step, strict=False)]
        return [_together(row, across) if row else 0 for row in rows]

    def touching(self, mask: Bits, width: float, height: float) -> Bits:
        """Return the top left cells of all boxes of a size (pixels) that have a cell of the mask in them."""
        across, rows = _steps(_cells(width)), _stacked(mask, _steps(_cells(height)))
        return [_spread(row, across) & self._full if row else 0 for row in rows]

    def grown(self, mask: Bits, by: int) -> Bits:
        """Return a mask with so many cells more on each side."""
        steps, rim = _steps(2 * by + 1), [0] * by
        rows = _stacked([*rim, *mask, *rim], steps)[: self.high]
        return [_spread(row, steps) >> by & self._full if row else 0 for row in rows]

    def first(self, mask: Bits, other: Bits) -> Spot | None:
        """Return the first cell that is in both masks, from the top, then from the left."""
        for row, (a, b) in enumerate(zip(mask, other, strict=True)):
            if a & b:
                return row, self.wide - (a & b).bit_length()
        return None

    def point(self, spot: Spot) -> QPointF:
        """Return the middle of a cell in pixels."""
        row, column = spot
        return self.room.topLeft() + QPointF((column + 0.5) * CELL, (row + 0.5) * CELL)

    def _drawn(self, paths: Iterable[QPainterPath], rim: Qt.GlobalColor) -> Bits:
        image = QImage(self.wide, self.high, QImage.Format.Format_Mono)
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
        bits, step, used = bytes(image.constBits()), image.bytesPerLine(), (self.wide + 7) // 8
        return [int.from_bytes(bits[k * step : k * step + used], "big") >> -self.wide % 8 for k in range(self.high)]


def both(mask: Bits, other: Bits) -> Bits:
    """Return the cells that are in both."""
    return [a & b for a, b in zip(mask, other, strict=True)]


def either(mask: Bits, other: Bits) -> Bits:
    """Return the cells that are in one of them."""
    return [a | b for a, b in zip(mask, other, strict=True)]


def without(mask: Bits, other: Bits) -> Bits:
    """Return a mask's cells that are not in the other."""
    return [a & ~b for a, b in zip(mask, other, strict=True)]


def _cells(length: float) -> int:
    return math.ceil(length / CELL) + 1


def _steps(cells: int) -> list[int]:
    """Return the shifts that bring a run of so many cells together, each at most as far as was reached before."""
    steps, reach = [], 1
    while reach < cells:
        steps.append(min(reach, cells - reach))
        reach += steps[-1]
    return steps


def _stacked(rows: Bits, steps: Iterable[int]) -> Bits:
    """Return for each row the cells of it and of those below it that the steps reach."""
    for step in steps:
        rows = [a | b for a, b in zip(rows, rows[step:] + [0] * step, strict=False)]
    return rows


def _together(row: int, steps: Iterable[int]) -> int:
    """Keep the bits that begin a run of set ones."""
    for step in steps:
        row &= row << step
    return row


def _spread(row: int, steps: Iterable[int]) -> int:
    """Set the bits from which a run reaches a set one."""
    for step in steps:
        row |= row << step
    return row
