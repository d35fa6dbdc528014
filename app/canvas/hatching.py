"""Hatches that tell papers and stains apart where colour does not."""

from __future__ import annotations

from PySide6.QtCore import QLineF, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPixmap, QTransform

STEP = 9.0
DASH = 0.55  # of a step


def hatch(kind: str, ink: QColor, density: float) -> QBrush:
    """Return a brush that fills with one hatch; `density` is the screen's pixels to a logical one.

    A tile laid again and again: to draw each stroke of a sheet on its own took longer than all else on the plate.
    """
    side = max(2, round(STEP * density))  # whole pixels, so that no seam is seen
    rows = 2 if kind in _STAGGERED else 1
    tile = QPixmap(side, side * rows)
    tile.fill(Qt.GlobalColor.transparent)
    painter = QPainter(tile)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(ink, (2.0 if kind == "dots" else 1.0) * density))
    painter.drawLines(_strokes(kind, float(side)))
    painter.end()
    brush = QBrush(tile)
    brush.setTransform(QTransform.fromScale(1 / density, 1 / density))
    return brush


def _strokes(kind: str, side: float) -> list[QLineF]:
    """Return the strokes of a tile; those over its corners go on in the next tile."""
    half = side / 2
    if kind == "dots":
        return [QLineF(x, y, x + 0.01, y) for x, y in ((half, half), (0.0, half + side), (side, half + side))]
    if kind == "dashes":
        long = side * DASH
        return [QLineF(x, y, x + long, y) for x, y in ((0.0, half), (half, half + side), (half - side, half + side))]
    if kind == "level":
        return [QLineF(0, half, side, half)]
    if kind == "upright":
        return [QLineF(half, 0, half, side)]
    return [line for name in _SLANTS[kind] for line in _slanted(name, side)]


def _slanted(name: str, side: float) -> list[QLineF]:
    across = [QLineF(k * side - side, 2 * side, k * side + side, 0) for k in range(3)]  # rising, and its neighbours
    if name == "rising":
        return across
    return [QLineF(side - line.x1(), line.y1(), side - line.x2(), line.y2()) for line in across]


_STAGGERED = ("dots", "dashes")
_SLANTS = {"plain": (), "rising": ("rising",), "falling": ("falling",), "crossed": ("rising", "falling")}
