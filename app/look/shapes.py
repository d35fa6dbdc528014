"""Small pictures of outlines: the shape of a die beside its name, the shape of a scrap in its paper."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap, QTransform

SIDE = 28
DENSITY = 2


def shape_icon(path: QPainterPath, ground: str, edge: str) -> QIcon:
    """Return a path (mm, y upward) fitted into a small square, filled and edged."""
    pixmap = QPixmap(SIDE * DENSITY, SIDE * DENSITY)
    pixmap.setDevicePixelRatio(DENSITY)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(QPen(QColor(edge), 1.2))
    painter.setBrush(QColor(ground))
    painter.drawPath(_fitted(path.boundingRect()).map(path))
    painter.end()
    return QIcon(pixmap)


def _fitted(around: QRectF) -> QTransform:
    scale = (SIDE - 4) / max(around.width(), around.height(), 1e-6)
    middle = around.center()
    return QTransform(scale, 0, 0, -scale, SIDE / 2 - middle.x() * scale, SIDE / 2 + middle.y() * scale)
