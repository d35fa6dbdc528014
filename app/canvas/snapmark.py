"""What a thing in hand was drawn to, as plain marks: a ring, a line, bars of equal length, an outline."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from msgspec import field
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen

from app.canvas.draft import Draft
from layout.geometry.units import format_length
from layout.geometry.value import Value

if TYPE_CHECKING:
    from app.canvas.canvas import Canvas

Point = tuple[float, float]
Line = tuple[Point, Point]

RING = 6.0  # pixels
TICK = 5.0
IMAGE_WORDS = "on its image"


class SnapMark(Value, frozen=True):
    """One thing that drew what is in hand; lines in mm of the plate, `gap` is the length of an equal gap in mm."""

    kind: Literal["touch", "edge", "equal", "image"]
    lines: tuple[Line, ...]
    gap: float = 0.0


class Snapped(Value, frozen=True):
    """A draft where it was drawn to, and by what."""

    draft: Draft
    marks: tuple[SnapMark, ...] = field(default_factory=tuple)


def paint_snap_marks(canvas: Canvas, painter: QPainter) -> None:
    """Paint what drew the things in hand; nothing where they lie freely."""
    painter.setFont(canvas.text_font)
    for mark in canvas.snap_marks:
        lines = [(canvas.viewing.to_screen(QPointF(*a)), canvas.viewing.to_screen(QPointF(*b))) for a, b in mark.lines]
        if mark.kind == "touch":
            _paint_touch(canvas, painter, lines[0])
        elif mark.kind == "edge":
            _stroke(canvas, painter, lines, [])
        elif mark.kind == "equal":
            _stroke(canvas, painter, lines, lines)
            words = format_length(mark.gap, canvas.unit)
            written = QRectF()
            for a, b in lines:
                spot = _plaque(canvas, (a + b) / 2, words)
                if not spot.intersects(written):  # at large text once is enough: both are equal
                    _write(canvas, painter, spot, words)
                    written = spot
        else:
            _stroke(canvas, painter, lines, [])
            _write(canvas, painter, _plaque(canvas, (lines[0][0] + lines[0][1]) / 2, IMAGE_WORDS), IMAGE_WORDS)


def _paint_touch(canvas: Canvas, painter: QPainter, line: tuple[QPointF, QPointF]) -> None:
    path = QPainterPath()
    path.addEllipse((line[0] + line[1]) / 2, RING, RING)
    _paint_path(canvas, painter, path)


def _stroke(
    canvas: Canvas,
    painter: QPainter,
    lines: list[tuple[QPointF, QPointF]],
    ticked: list[tuple[QPointF, QPointF]],
) -> None:
    path = QPainterPath()
    for a, b in lines:
        path.moveTo(a)
        path.lineTo(b)
    for a, b in ticked:
        long = math.hypot(b.x() - a.x(), b.y() - a.y()) or 1.0
        tick = QPointF(-(b.y() - a.y()), b.x() - a.x()) * (TICK / long)
        for end in (a, b):
            path.moveTo(end - tick)
            path.lineTo(end + tick)
    _paint_path(canvas, painter, path)


def _paint_path(canvas: Canvas, painter: QPainter, path: QPainterPath) -> None:
    """Paint a path in the accent on a pale hem, so that it is seen on any paper and any metal."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for ink, wide in ((canvas.look.field, 4.0), (canvas.look.good, 1.8)):
        painter.setPen(QPen(QColor(ink), wide))
        painter.drawPath(path)


def _plaque(canvas: Canvas, at: QPointF, words: str) -> QRectF:
    """Return the room of some words above a point."""
    metrics = QFontMetricsF(canvas.text_font)
    plaque = QRectF(0, 0, metrics.horizontalAdvance(words) + 8, metrics.height() + 2)
    plaque.moveCenter(at + QPointF(0, -metrics.height()))
    return plaque


def _write(canvas: Canvas, painter: QPainter, plaque: QRectF, words: str) -> None:
    painter.setPen(QPen(QColor(canvas.look.good), 1.0))
    painter.setBrush(QColor(canvas.look.field))
    painter.drawRoundedRect(plaque, 4, 4)
    painter.drawText(plaque, Qt.AlignmentFlag.AlignCenter, words)
