"""How the way in is painted: picture, outlines with their names, cut lines, corners, marks and the line to measure."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from app.canvas.paths import path_of
from app.wayin.found import Found, body_of, cut_of
from app.wayin.imagepainting import paint_frames, paint_images
from app.wayin.marking import CUT, HALO, INK, line, plate, tag
from app.wayin.mending import longest
from layout.model.errors import PlatefulError

if TYPE_CHECKING:
    from app.wayin.view import PictureView

CORNER = 4.0
CROWDED = 13.0
ARROW = 34.0


def paint(view: PictureView, painter: QPainter) -> None:
    """Paint the whole view."""
    painter.fillRect(view.rect(), QColor(view.look.table))
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _picture(view, painter)
    if view.marks is not None:
        _marks(view, painter)
    else:
        _things(view, painter)
    if view.hasFocus():
        painter.setPen(QPen(QColor(view.look.focus), 2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(view.rect().adjusted(1, 1, -2, -2))


def _picture(view: PictureView, painter: QPainter) -> None:
    if view.shown is None:
        return
    box = view.viewing.transform.mapRect(view.place)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.drawPixmap(box, view.shown.pixmap, QRectF(view.shown.pixmap.rect()))


def _things(view: PictureView, painter: QPainter) -> None:
    for at, thing in enumerate(view.tray.things):
        if at != view.tray.at:
            _border(view, painter, thing, picked=False)
            paint_frames(view, painter, thing)
    thing = view.tray.thing
    if thing is not None:
        _border(view, painter, thing, picked=True)
        _openings(view, painter, thing)
        paint_images(view, painter)
        _corners(view, painter)
        if view.ruler:
            _ruler(view, painter, thing)
        if thing.kind == "scrap":
            _up(view, painter, thing)
    for at, (place, words) in enumerate(view.close_pairs):
        _warn(view, painter, view.viewing.to_screen(place), words if at < 20 else "")
    _names(view, painter)


def _border(view: PictureView, painter: QPainter, thing: Found, *, picked: bool) -> None:
    outline = view.hold.outline if picked and view.hold.outline is not None else thing.outline
    path = view.viewing.transform.map(path_of(outline))
    if not thing.kept:
        line(painter, path, INK, 1.2, Qt.PenStyle.DotLine)
        return
    if view.shown is None and thing.kind != "scrap":
        painter.fillPath(path, QColor(view.look.metal_light))
    line(painter, path, INK, 3.0 if picked else 1.6)
    if thing.kind == "scrap" or (view.hold.draft is not None and picked):
        return
    try:
        other = cut_of(thing) if thing.metal else body_of(thing) if thing.kind == "die" else None
    except PlatefulError:
        return
    if other is not None:
        ink = CUT if thing.metal else INK
        line(painter, view.viewing.transform.map(path_of(other)), ink, 1.6 if picked else 1.0, Qt.PenStyle.DashLine)


def _openings(view: PictureView, painter: QPainter, thing: Found) -> None:
    """Number the openings, so that the list of windows can be read in the picture."""
    if thing.kind == "scrap" or len(thing.outline.holes) < 2:
        return
    for k, hole in enumerate(thing.outline.holes):
        left, low = min(p[0] for p in hole), min(p[1] for p in hole)
        middle = QPointF((left + max(p[0] for p in hole)) / 2, (low + max(p[1] for p in hole)) / 2)
        tag(painter, view, view.viewing.to_screen(middle), f"{k + 1}", picked=k in thing.windows)


def _corners(view: PictureView, painter: QPainter) -> None:
    drawn: list[QPointF] = []
    for corner, (x, y) in view.hold.places():
        held = corner == view.hold.corner
        size = CORNER * (1.7 if held else 1.0)
        at = view.viewing.to_screen(QPointF(x, y))
        if not held and any((at - other).manhattanLength() < CROWDED for other in drawn[-2:]):
            continue  # seen from closer, it has room
        drawn.append(at)
        painter.setPen(QPen(QColor(INK), 1.4))
        painter.setBrush(QColor(INK if held else HALO))
        painter.drawRect(QRectF(at.x() - size, at.y() - size, 2 * size, 2 * size))


def _names(view: PictureView, painter: QPainter) -> None:
    """Write the names, the picked one's first; one that would lie on another waits until it is seen from closer."""
    order = sorted(range(len(view.tray.things)), key=lambda k: k != view.tray.at)
    taken: list[QRectF] = []
    for at in order:
        thing, picked = view.tray.things[at], at == view.tray.at
        place, words = _name(view, thing, picked=picked)
        box = plate(painter, view, place, words, picked=picked)
        if not any(box.intersects(other) for other in taken):
            taken.append(box)
            tag(painter, view, place, words, picked=picked)


def _name(view: PictureView, thing: Found, *, picked: bool) -> tuple[QPointF, str]:
    box = view.viewing.transform.mapRect(path_of(thing.outline).boundingRect())
    words = thing.name + (f"  ×{thing.copies}" if thing.copies > 1 else "")
    at = box.center()
    if (thing.kept and len(thing.outline.holes) > 1) or (view.ruler and picked) or thing.stamps:
        at = QPointF(box.center().x(), box.bottom() + 12 * view.text_scale)
    return at, words if thing.kept else f"✕ {words}"


def _ruler(view: PictureView, painter: QPainter, thing: Found) -> None:
    (ax, ay), (bx, by) = longest(thing.outline)
    path = QPainterPath(view.viewing.to_screen(QPointF(ax, ay)))
    path.lineTo(view.viewing.to_screen(QPointF(bx, by)))
    line(painter, path, CUT, 1.8)
    for x, y in ((ax, ay), (bx, by)):
        painter.setBrush(QColor(CUT))
        painter.drawEllipse(view.viewing.to_screen(QPointF(x, y)), 4, 4)


def _up(view: PictureView, painter: QPainter, thing: Found) -> None:
    """Draw which way is up on a print."""
    box = view.viewing.transform.mapRect(path_of(thing.outline).boundingRect())
    painter.save()
    painter.translate(box.center() + QPointF(0, 30 * view.text_scale))
    painter.rotate(90 - thing.up)
    path = QPainterPath(QPointF(0, 0))
    path.lineTo(0, -ARROW)
    path.moveTo(-7, -ARROW + 9)
    path.lineTo(0, -ARROW)
    path.lineTo(7, -ARROW + 9)
    line(painter, path, INK, 2.2)
    painter.restore()


def _warn(view: PictureView, painter: QPainter, at: QPointF, words: str) -> None:
    painter.setPen(QPen(QColor(HALO), 5))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawEllipse(at, 14, 14)
    painter.setPen(QPen(QColor(CUT), 2.5))
    painter.drawEllipse(at, 14, 14)
    if words:
        tag(painter, view, at + QPointF(0, 28 * view.text_scale), f"! {words}", picked=False)


def _marks(view: PictureView, painter: QPainter) -> None:
    places = [view.viewing.to_screen(m) for m in view.marks or ()]
    path = QPainterPath(places[0])
    for place in (*places[1:], places[0]):
        path.lineTo(place)
    line(painter, path, CUT, 1.6)
    for k, place in enumerate(places):
        held = k == view.mark
        cross = QPainterPath(place - QPointF(14, 0))
        cross.lineTo(place + QPointF(14, 0))
        cross.moveTo(place - QPointF(0, 14))
        cross.lineTo(place + QPointF(0, 14))
        cross.addEllipse(place, 9, 9)
        line(painter, cross, CUT if held else INK, 2.6 if held else 1.6)
        tag(painter, view, place + QPointF(20, -20), f"{k + 1}", picked=held)
