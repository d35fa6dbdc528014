"""What is drawn over the plate: what is picked, what is wrong, the turn handle, the box being pulled."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPainterPath, QPen, QPolygonF

from app.canvas.ghost import paint_ghost, paint_offer
from app.canvas.paths import posed_path, posed_solid
from app.canvas.scene import DieItem, ScrapItem
from app.canvas.snapmark import paint_snap_marks
from layout.geometry.pose import Pose

if TYPE_CHECKING:
    from app.canvas.canvas import Canvas
    from app.canvas.painting import PlatePainter

HANDLE = 9.0  # pixels, the radius of the turn handle
BETWEEN = 4.0  # pixels between two plaques
WRAPPED = int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap)
ARM = 30.0  # pixels from what is picked to its turn handle


def paint_marks(canvas: Canvas, plate: PlatePainter) -> None:
    """Paint every mark over the plate."""
    painter = plate.painter
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _paint_faults(canvas, plate)
    for path in picked_paths(canvas):
        _paint_picked(canvas, painter, canvas.viewing.transform.map(path))
    for i in canvas.selection.dies:
        if canvas.scene.dies[i].held:  # else the line round it would hide its tape
            plate.tape(canvas.scene.dies[i])
    middle = handle_at(canvas)
    if middle is not None:
        _paint_handle(canvas, painter, middle)
    paint_snap_marks(canvas, painter)
    _paint_clear_place(canvas, painter)
    paint_ghost(canvas, painter)
    box = canvas.gesture.box if canvas.gesture is not None else None
    if box is not None:
        painter.setPen(QPen(QColor(canvas.look.accent), 1.4, Qt.PenStyle.DashLine))
        fill = QColor(canvas.look.accent)
        fill.setAlpha(30)
        painter.setBrush(fill)
        painter.drawRect(box)
    if canvas.focus_by_keys:
        painter.setClipping(False)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(canvas.look.focus), 2))
        painter.drawRect(QRectF(canvas.rect()).adjusted(1, 1, -1, -1))


def picked_paths(canvas: Canvas) -> list[QPainterPath]:
    """Return the outlines of what is picked, where it lies now, in mm of the plate."""
    scene, draft = canvas.scene, canvas.draft
    paths = [scrap_path(scene.scraps[i], draft.scraps.get(i)) for i in canvas.selection.scraps]
    return paths + [die_path(scene.dies[i], draft.dies.get(i)) for i in canvas.selection.dies]


def die_path(item: DieItem, pose: Pose | None) -> QPainterPath:
    """Return a die's outer border at a pose, or where the document has it."""
    return item.solid if pose is None else posed_solid(item.die.body, pose)


def scrap_path(item: ScrapItem, pose: Pose | None) -> QPainterPath:
    """Return a scrap's border at a pose, or where the document has it."""
    return item.shape if pose is None else posed_path(item.scrap.outline, pose)


def handle_at(canvas: Canvas) -> QPointF | None:
    """Return where the turn handle is on screen, None when nothing is picked."""
    around = picked_box(canvas)
    if around is None:
        return None
    return QPointF(around.center().x(), max(around.top() - ARM, canvas.ruler_thickness + HANDLE + 3))


def picked_box(canvas: Canvas) -> QRectF | None:
    """Return the box on screen round all that is picked."""
    around = QRectF()
    for path in picked_paths(canvas):
        around = around.united(canvas.viewing.transform.mapRect(path.boundingRect()))
    return None if around.isNull() else around


def _paint_picked(canvas: Canvas, painter: QPainter, path: QPainterPath) -> None:
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(QColor(canvas.look.field), 5.0))
    painter.drawPath(path)
    painter.setPen(QPen(QColor(canvas.look.accent), 2.6))
    painter.drawPath(path)


def _paint_handle(canvas: Canvas, painter: QPainter, middle: QPointF) -> None:
    around = picked_box(canvas)
    painter.setPen(QPen(QColor(canvas.look.accent), 1.6))
    if around is not None and around.top() > middle.y() + HANDLE:
        painter.drawLine(QPointF(middle.x(), middle.y() + HANDLE), QPointF(middle.x(), around.top()))
    painter.setBrush(QColor(canvas.look.field))
    painter.setPen(QPen(QColor(canvas.look.accent), 2.2))
    painter.drawEllipse(middle, HANDLE, HANDLE)
    inner = QRectF(middle.x() - 4.5, middle.y() - 4.5, 9, 9)
    painter.drawArc(inner, 40 * 16, 270 * 16)
    painter.setBrush(QColor(canvas.look.accent))
    tip = QPointF(inner.right() - 0.6, middle.y() - 2.6)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.drawPolygon(QPolygonF([tip + QPointF(-3.2, 0.6), tip + QPointF(2.4, 0.8), tip + QPointF(0.6, -4.2)]))


def _paint_clear_place(canvas: Canvas, painter: QPainter) -> None:
    """Offer the nearest clear place as a ghost, with the key that takes it."""
    if canvas.draft.empty or canvas.clear_place.pose is None:
        return
    place = canvas.clear_place
    path = canvas.viewing.transform.map(posed_solid(canvas.scene.dies[place.die].die.body, place.pose))
    paint_offer(canvas, painter, [path], "clear here: press C")


def _paint_faults(canvas: Canvas, plate: PlatePainter) -> None:
    """Outline what breaks a rule and hang a sign on it, so that the fault is seen beside its thing."""
    dies, scraps = canvas.faulty()
    scene, draft, painter = canvas.scene, canvas.draft, plate.painter
    things = [("scrap", i, scrap_path(scene.scraps[i], draft.scraps.get(i))) for i in sorted(scraps)]
    things += [("die", i, die_path(scene.dies[i], draft.dies.get(i))) for i in sorted(dies)]
    # No dashes: a dashed border of some hundred corners takes longer to draw than all the rest of a move.
    pen = QPen(QColor(canvas.look.fault), 2.6)
    for kind, i, path in things:
        shown = canvas.viewing.transform.map(path)
        if i in (draft.scraps if kind == "scrap" else draft.dies):
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(pen)
            painter.drawPath(shown)
        else:
            canvas.outlines.paint(canvas, painter, (kind, i), shown, pen)
    for _, _, path in things:
        around = canvas.viewing.transform.mapRect(path.boundingRect())
        paint_sign(painter, QPointF(around.right() - 6, around.top() + 8), canvas.look.fault, canvas.look.field)
    _paint_fault_words(canvas, painter)


def _paint_fault_words(canvas: Canvas, painter: QPainter) -> None:
    told, around = canvas.fault_words(), picked_box(canvas)
    if not told or around is None:
        return
    painter.setFont(canvas.text_font)
    for plaque, words in zip(plaques_about(canvas, told, around), told, strict=False):
        painter.setPen(QPen(QColor(canvas.look.fault), 1.2))
        painter.setBrush(QColor(canvas.look.fault_soft))
        painter.drawRoundedRect(plaque, 4, 4)
        painter.setPen(QColor(canvas.look.fault))
        painter.drawText(plaque, WRAPPED, words)


def plaques_about(canvas: Canvas, told: list[str], around: QRectF) -> list[QRectF]:
    """Return rooms for sentences below or above a box (pixels), where there is more room: as many as do not cover it.

    The sentences stand whole, because their numbers stand at the end; the first gets its room in any case.
    """
    low, high = canvas.ruler_thickness + BETWEEN, around.top() - ARM - HANDLE - BETWEEN
    top, room = around.bottom() + 2 * BETWEEN, canvas.height() - around.bottom() - 3 * BETWEEN
    plaques = [_plaque(canvas, words) for words in told]
    if room < plaques[0].height() and high - low > room:
        room = high - low
        top = high - _height_of(_fitting(plaques, room))
    plaques = _fitting(plaques, room)
    top = max(min(top, canvas.height() - _height_of(plaques)), low)
    for plaque in plaques:
        left = around.center().x() - plaque.width() / 2
        plaque.moveTo(min(max(left, low), canvas.width() - plaque.width() - BETWEEN), top)
        top = plaque.bottom() + BETWEEN
    return plaques


def _fitting(plaques: list[QRectF], room: float) -> list[QRectF]:
    """Return the first plaques that fit into a height, at least one."""
    return next((plaques[:k] for k in range(len(plaques), 1, -1) if _height_of(plaques[:k]) <= room), plaques[:1])


def _height_of(plaques: list[QRectF]) -> float:
    return sum(plaque.height() + BETWEEN for plaque in plaques)


def _plaque(canvas: Canvas, words: str) -> QRectF:
    """Return the room that words take, on as few lines as the width of the view allows."""
    most = canvas.width() - canvas.ruler_thickness - 24
    room = QFontMetricsF(canvas.text_font).boundingRect(QRectF(0, 0, most, 1000), WRAPPED, words)
    return QRectF(0, 0, room.width() + 14, room.height() + 6)


def paint_sign(painter: QPainter, at: QPointF, ink: str, ground: str) -> None:
    """Paint the small sign of a fault: a triangle with a stroke in it."""
    triangle = QPolygonF([at + QPointF(0, -9), at + QPointF(9.5, 7.5), at + QPointF(-9.5, 7.5)])
    pen = QPen(QColor(ink), 2.0)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    painter.setPen(pen)
    painter.setBrush(QColor(ground))
    painter.drawPolygon(triangle)
    painter.drawLine(at + QPointF(0, -3), at + QPointF(0, 2))
    painter.drawPoint(at + QPointF(0, 5))
