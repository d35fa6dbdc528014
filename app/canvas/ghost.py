"""An offer on the plate: where things would lie, drawn as ghosts, with the words and the key that takes it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import field
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen

from app.canvas.paths import posed_path, posed_solid
from layout.geometry.pose import Pose
from layout.geometry.value import Value

if TYPE_CHECKING:
    from app.canvas.canvas import Canvas

ROOM = 4.0  # pixels between an offer's words and the edge of the view


class Ghost(Value, frozen=True):
    """Dies and scraps of the pass shown, by number, where they are advised to lie."""

    words: str
    dies: Mapping[int, Pose] = field(default_factory=dict)
    scraps: Mapping[int, Pose] = field(default_factory=dict)


def paint_ghost(canvas: Canvas, painter: QPainter) -> None:
    """Paint what is advised, while nothing is in hand."""
    ghost, scene = canvas.ghost, canvas.scene
    if ghost is None or not canvas.draft.empty:
        return
    shapes = [posed_path(scene.scraps[i].scrap.outline, p) for i, p in ghost.scraps.items() if i < len(scene.scraps)]
    shapes += [posed_solid(scene.dies[i].die.body, p) for i, p in ghost.dies.items() if i < len(scene.dies)]
    if shapes:
        paint_offer(canvas, painter, [canvas.viewing.transform.map(shape) for shape in shapes], ghost.words)


def paint_offer(canvas: Canvas, painter: QPainter, paths: Sequence[QPainterPath], words: str) -> None:
    """Paint paths (pixels) as ghosts, with a plaque of words above them that stays in sight."""
    painter.setPen(QPen(QColor(canvas.look.good), 2.2))
    fill = QColor(canvas.look.good)
    fill.setAlpha(36)
    painter.setBrush(fill)
    around = QRectF()
    for path in paths:
        painter.drawPath(path)
        around = around.united(path.boundingRect())
    metrics, thick = QFontMetricsF(canvas.text_font), canvas.ruler_thickness + ROOM
    wide = min(metrics.horizontalAdvance(words) + 12, canvas.width() - thick - ROOM)
    plaque = QRectF(0, 0, wide, metrics.height() + 4)
    plaque.moveCenter(QPointF(around.center().x(), around.top() - metrics.height()))
    plaque.moveLeft(min(max(plaque.left(), thick), canvas.width() - wide - ROOM))
    plaque.moveTop(min(max(plaque.top(), thick), canvas.height() - plaque.height() - ROOM))
    painter.setFont(canvas.text_font)
    painter.setPen(QPen(QColor(canvas.look.good), 1.2))
    painter.setBrush(QColor(canvas.look.field))
    painter.drawRoundedRect(plaque, 4, 4)
    shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, wide - 8)
    painter.drawText(plaque, Qt.AlignmentFlag.AlignCenter, shown)
