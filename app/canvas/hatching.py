"""Hatches that tell papers and stains apart where colour does not."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF, QRectF
from PySide6.QtGui import QColor, QPainter, QPen

STEP = 9.0


def hatch(painter: QPainter, around: QRectF, kind: str, ink: QColor) -> None:
    """Fill a rectangle with one hatch; the caller clips."""
    painter.setPen(QPen(ink, 1.0))
    if kind == "dots":
        painter.setPen(QPen(ink, 2.0))
        painter.drawPoints(_dots(around))
    elif kind == "dashes":
        painter.drawLines([QLineF(p.x(), p.y(), p.x() + STEP * 0.55, p.y()) for p in _dots(around)])
    else:
        painter.drawLines(_lines(around, kind))


def _dots(around: QRectF) -> list[QPointF]:
    columns, rows = int(around.width() / STEP) + 2, int(around.height() / STEP) + 2
    left, top = around.left() - around.left() % STEP, around.top() - around.top() % STEP
    return [QPointF(left + (i + (j % 2) / 2) * STEP, top + j * STEP) for i in range(columns) for j in range(rows)]


def _lines(around: QRectF, kind: str) -> list[QLineF]:
    lines: list[QLineF] = []
    high, wide = around.height(), around.width()
    for k in range(int((high + wide) / STEP) + 2):
        at = k * STEP
        if kind in ("rising", "crossed"):
            lines.append(QLineF(around.left() + at, around.top(), around.left() + at - high, around.bottom()))
        if kind in ("falling", "crossed"):
            lines.append(QLineF(around.right() - at, around.top(), around.right() - at + high, around.bottom()))
        if kind == "level" and at <= high:
            lines.append(QLineF(around.left(), around.top() + at, around.right(), around.top() + at))
        if kind == "upright" and at <= wide:
            lines.append(QLineF(around.left() + at, around.top(), around.left() + at, around.bottom()))
    return lines
