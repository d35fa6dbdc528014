"""Broad strokes round things at rest, kept as small pictures: stroking a border of some hundred corners costs more than
all the rest of a move."""

from __future__ import annotations

import math
from collections.abc import Hashable
from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPixmap

if TYPE_CHECKING:
    from app.canvas.view import PlateView

MOST_SIDE = 640  # pixels: what is larger is stroked each time, so that a view from near keeps no large pictures


class Outlines:
    """Paints strokes in one view of one scene; another view or scene begins afresh."""

    def __init__(self) -> None:
        self._of: tuple[object, ...] = ()
        self._kept: dict[Hashable, tuple[QPointF, QPixmap]] = {}

    def paint(self, view: PlateView, painter: QPainter, thing: Hashable, path: QPainterPath, pen: QPen) -> None:
        """Stroke a path (pixels) that stands for a thing at rest."""
        of = (view.scene, view.viewing, view.look, view.devicePixelRatioF())
        if of != self._of:
            self._of, self._kept = of, {}
        key = (thing, pen.color().rgba(), pen.widthF())
        if key not in self._kept:
            room = path.boundingRect().adjusted(-4, -4, 4, 4)
            if max(room.width(), room.height()) > MOST_SIDE:
                _stroke(painter, path, pen)
                return
            self._kept[key] = _pictured(path, pen, room, view.devicePixelRatioF())
        painter.drawPixmap(*self._kept[key])


def _pictured(path: QPainterPath, pen: QPen, room: QRectF, ratio: float) -> tuple[QPointF, QPixmap]:
    corner = QPointF(math.floor(room.left()), math.floor(room.top()))
    size = QSize(math.ceil(room.right() - corner.x()), math.ceil(room.bottom() - corner.y()))
    pixmap = QPixmap(size * ratio)
    pixmap.setDevicePixelRatio(ratio)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(-corner)
        _stroke(painter, path, pen)
    finally:
        painter.end()
    return corner, pixmap


def _stroke(painter: QPainter, path: QPainterPath, pen: QPen) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(pen)
    painter.drawPath(path)
