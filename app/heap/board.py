"""The board: a grid in true proportion on which a scrap is drawn by its corners, mended, stained and stamped."""

from __future__ import annotations

import math
from typing import Literal

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QFont, QKeyEvent, QMouseEvent, QPainter, QPainterPath, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QWidget

from app.canvas.paths import polygon_of, posed_path
from app.canvas.rulers import Rulers, ruler_thickness
from app.canvas.viewing import Viewing, fitted
from app.heap.drawn import Drawn, Point, die_of_image, moved_image, nearest_edge
from app.look.tokens import Look
from layout.geometry.pose import Pose
from layout.geometry.units import MM_PER, Unit
from layout.model.project import Project

Tool = Literal["border", "stain", "image"]
REACH = 11.0  # pixels within which a click means a corner
SLACK = 4.0
UP_ARROW = 16.0
ROOM = 24.0
LEAST_ROOM = 150.0  # mm shown of an empty board
TURN, FINE_TURN = 15.0, 1.0
ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}


class Board(QWidget):
    """Shows a drawing and hands every change of it on; what is half drawn (`growing`) is its own."""

    changed = Signal(object, str)  # a Drawn, and what was done
    picked_changed = Signal()

    def __init__(self, project: Project, unit: Unit, look: Look, font: QFont, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.project, self.unit, self.look = project, unit, look
        self.drawn = Drawn()
        self.ground = look.field  # the paper's colour
        self.tool: Tool = "border"
        self.growing: list[Point] = []
        self.ring, self.corner, self.image = 0, -1, -1  # what is picked; -1 is nothing
        self.viewing = Viewing()
        self._board_font = font
        self._pressed: QPointF | None = None
        self._before = Drawn()
        self._box: QRectF | None = None
        self._true = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setMinimumSize(320, 300)
        self.setAccessibleName("Board for one scrap")
        self.setAccessibleDescription("Click corners; the list beside the board holds the same as lengths to be typed.")

    @property
    def step(self) -> float:
        """The grid that clicks are drawn to, in mm: a millimetre, or a sixteenth of an inch."""
        return MM_PER["in"] / 16 if self.unit == "in" else 1.0

    def show_drawn(self, drawn: Drawn) -> None:
        """Show a drawing; what was picked and is gone is put down."""
        self.drawn = drawn
        if self.ring >= len(drawn.rings) or self.corner >= len(drawn.rings[self.ring]):
            self.ring, self.corner = 0, -1
        if self.image >= len(drawn.images):
            self.image = -1
        self.update()

    def use(self, tool: Tool) -> None:
        """Take another tool; what was half drawn is dropped."""
        self.tool = tool
        self.growing.clear()
        self.pick()

    def pick(self, ring: int = 0, corner: int = -1, image: int = -1) -> None:
        """Pick a corner or an image, or nothing."""
        self.ring, self.corner, self.image = ring, corner, image
        self.picked_changed.emit()
        self.update()

    def fit(self) -> None:
        """Show the whole scrap with room round it."""
        points = [p for ring in self.drawn.rings for p in ring] + self.growing
        around = QRectF(0, 0, LEAST_ROOM, LEAST_ROOM)
        if points:
            around = polygon_of(tuple(points)).boundingRect()
            around = around.adjusted(-10, -10, 10, 10)
        thick = ruler_thickness(self._board_font)
        self.viewing = fitted(around, QRectF(self.rect()).adjusted(thick + ROOM, thick + ROOM, -ROOM, -ROOM), False)
        self.update()

    def true_size(self, pixels_per_mm: float) -> None:
        """Show the board as large as it is, so that a scrap can be held to the screen."""
        self.viewing = self.viewing.zoomed(pixels_per_mm / self.viewing.scale, QPointF(self.rect().center()))
        self.update()

    # ---- mouse --------------------------------------------------------------------------------------------------

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        if event.button() != Qt.MouseButton.LeftButton:
            return
        self._pressed, self._before = event.position(), self.drawn
        if self.tool == "image":
            self.pick(image=self._image_at(event.position()))
        elif not self.growing:
            self.pick(*self._corner_at(event.position()))

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        if self._pressed is None or (event.position() - self._pressed).manhattanLength() < SLACK:
            return
        at = self._place(event)
        if self.tool == "image" and self.image >= 0:
            a, b = self.viewing.to_plate(self._pressed), self.viewing.to_plate(event.position())
            image = self._before.images[self.image]
            pose = Pose(image.pose.x + b.x() - a.x(), image.pose.y + b.y() - a.y(), image.pose.turn)
            self.drawn = self._before.with_image(self.image, moved_image(image, pose))
        elif self.corner >= 0:
            self.drawn = self._before.with_corner(self.ring, self.corner, at)
        elif not self.growing and self._may_begin():
            self._box = QRectF(self._pressed, event.position()).normalized()
        self.picked_changed.emit()
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        pressed, self._pressed = self._pressed, None
        if pressed is None:
            return
        if self._box is not None:
            self._pull_rectangle(pressed, event)
        elif self.drawn is not self._before:
            self.changed.emit(self.drawn, "Move of an image" if self.tool == "image" else "Move of a corner")
        elif self.tool != "image" and self.corner < 0:
            self._click(self._place(event), event.position())

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        at = self.viewing.to_plate(event.position())
        ring = self.drawn.rings[self.ring] if self.tool == "stain" else self.drawn.rings[0]
        number = self.ring if self.tool == "stain" else 0
        if self.growing or not ring or self.tool == "image":
            return
        edge, away = nearest_edge(ring, (at.x(), at.y()))
        if away * self.viewing.scale <= REACH:
            self.changed.emit(self.drawn.with_more(number, edge, self._place(event)), "Addition of a corner")
            self.pick(number, edge + 1)

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 (Qt's name)
        self.viewing = self.viewing.zoomed(math.pow(1.0015, event.angleDelta().y()), event.position())
        self.update()
        event.accept()

    def add_corner(self, at: Point) -> None:
        """Set the next corner of what is being drawn; on the first one again, close it."""
        if len(self.growing) >= 3 and at == self.growing[0]:
            self.close_ring()
        elif not self.growing or at != self.growing[-1]:
            self.growing.append(at)
            self.picked_changed.emit()
            self.update()

    def close_ring(self) -> None:
        """Close what is being drawn; with fewer than three corners it is dropped."""
        ring, self.growing = tuple(self.growing), []
        if len(ring) >= 3:
            at = 0 if self.tool == "border" else len(self.drawn.rings)
            self.changed.emit(self.drawn.with_ring(at, ring), f"Drawing of a {self.tool}")
            self.pick(at, 0)
        self.update()

    def _may_begin(self) -> bool:
        return self.tool == "stain" or (self.tool == "border" and not self.drawn.rings[0])

    def _click(self, at: Point, where: QPointF) -> None:
        if not self.growing and not self._may_begin():
            return
        first = self.viewing.to_screen(QPointF(*self.growing[0])) if self.growing else None
        if first is not None and len(self.growing) >= 3 and (where - first).manhattanLength() <= REACH:
            self.close_ring()
        else:
            self.add_corner(at)

    def _pull_rectangle(self, pressed: QPointF, event: QMouseEvent) -> None:
        self._box = None
        (x0, y0), (x1, y1) = self._snapped(self.viewing.to_plate(pressed)), self._place(event)
        left, right, low, high = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
        if right > left and high > low:
            self.growing = [(left, low), (right, low), (right, high), (left, high)]
            self.close_ring()
        self.update()

    def _place(self, event: QMouseEvent) -> Point:
        at = self.viewing.to_plate(event.position())
        if event.modifiers() & Qt.KeyboardModifier.AltModifier:
            return at.x(), at.y()
        return self._snapped(at)

    def _snapped(self, at: QPointF) -> Point:
        return round(at.x() / self.step) * self.step, round(at.y() / self.step) * self.step

    def _corner_at(self, where: QPointF) -> tuple[int, int]:
        rings = enumerate(self.drawn.rings) if self.tool == "stain" else [(0, self.drawn.rings[0])]
        for ring, corners in rings:
            for corner, point in enumerate(corners):
                if (ring > 0) == (self.tool == "stain") and self._near(point, where):
                    return ring, corner
        return 0, -1

    def _near(self, point: Point, where: QPointF) -> bool:
        return (self.viewing.to_screen(QPointF(*point)) - where).manhattanLength() <= REACH

    def _image_at(self, where: QPointF) -> int:
        at = self.viewing.to_plate(where)
        paths = [self._image_path(k) for k in range(len(self.drawn.images))]
        return next((k for k in reversed(range(len(paths))) if paths[k].contains(at)), -1)

    # ---- keys ---------------------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        key = Qt.Key(event.key())
        fine = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if key in ARROWS and (self.corner >= 0 or self.image >= 0):
            self._push(*ARROWS[key], fine=fine)
        elif key in (Qt.Key.Key_BracketLeft, Qt.Key.Key_BracketRight) and self.image >= 0:
            self.turn_image((1 if key == Qt.Key.Key_BracketLeft else -1) * TURN)
        elif key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.take_out()
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.growing:
            self.close_ring()
        elif key == Qt.Key.Key_Escape and self.growing:
            self.growing.clear()
            self.update()
        elif key == Qt.Key.Key_N:
            self._pick_next()
        else:
            super().keyPressEvent(event)

    def take_out(self) -> None:
        """Take out the last corner being drawn, or what is picked."""
        if self.growing:
            self.growing.pop()
        elif self.image >= 0:
            self.changed.emit(self.drawn.without_image(self.image), "Removal of an image")
        elif self.corner >= 0:
            self.changed.emit(self.drawn.without_corner(self.ring, self.corner), "Removal of a corner")
        self.update()

    def turn_image(self, degrees: float) -> None:
        """Turn the picked image about the middle of its ink."""
        image = self.drawn.images[self.image]
        middle = self._image_path(self.image).boundingRect().center()
        about = Pose(middle.x(), middle.y(), degrees).after(Pose(-middle.x(), -middle.y()))
        self.changed.emit(
            self.drawn.with_image(self.image, moved_image(image, about.after(image.pose))), "Turn of an image"
        )

    def _push(self, across: int, along: int, *, fine: bool) -> None:
        step = self.step / 10 if fine and self.unit != "in" else self.step / 8 if fine else self.step
        if self.image >= 0:
            image = self.drawn.images[self.image]
            pose = Pose(image.pose.x + across * step, image.pose.y + along * step, image.pose.turn)
            self.changed.emit(self.drawn.with_image(self.image, moved_image(image, pose)), "Move of an image")
        else:
            x, y = self.drawn.rings[self.ring][self.corner]
            after = self.drawn.with_corner(self.ring, self.corner, (x + across * step, y + along * step))
            self.changed.emit(after, "Move of a corner")

    def _pick_next(self) -> None:
        if self.tool == "image":
            self.pick(image=(self.image + 1) % len(self.drawn.images) if self.drawn.images else -1)
            return
        first = 1 if self.tool == "stain" else 0
        rings = self.drawn.rings[first:] if self.tool == "stain" else self.drawn.rings[:1]
        all_corners = [(first + k, c) for k, ring in enumerate(rings) for c in range(len(ring))]
        if all_corners:
            now = (self.ring, self.corner)
            at = all_corners.index(now) + 1 if now in all_corners else 0
            self.pick(*all_corners[at % len(all_corners)])

    # ---- painting -----------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        painter = QPainter(self)
        try:
            painter.fillRect(self.rect(), QColor(self.look.plate))
            self._grid(painter)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            self._rings(painter)
            self._images(painter)
            self._up(painter)
            self._half_drawn(painter)
            Rulers(painter, self.viewing, self.look, self._board_font, self.unit).paint(QRectF(self.rect()))
        finally:
            painter.end()

    def _grid(self, painter: QPainter) -> None:
        step = MM_PER["in"] / 2 if self.unit == "in" else 10.0
        ink = QColor(self.look.plate_edge)
        ink.setAlpha(90)
        painter.setPen(QPen(ink, 1.0))
        low = self.viewing.to_plate(QPointF(0, self.height()))
        high = self.viewing.to_plate(QPointF(self.width(), 0))
        for k in range(math.ceil(low.x() / step), math.floor(high.x() / step) + 1):
            x = self.viewing.to_screen(QPointF(k * step, 0)).x()
            painter.drawLine(QPointF(x, 0), QPointF(x, self.height()))
        for k in range(math.ceil(low.y() / step), math.floor(high.y() / step) + 1):
            y = self.viewing.to_screen(QPointF(0, k * step)).y()
            painter.drawLine(QPointF(0, y), QPointF(self.width(), y))

    def _rings(self, painter: QPainter) -> None:
        for number, ring in enumerate(self.drawn.rings):
            if not ring:
                continue
            shape = self.viewing.transform.map(polygon_of(ring))
            fill = QColor(self.look.paper_ink if number else self.ground)
            fill.setAlpha(70 if number else 235)
            painter.setBrush(fill)
            dashed = Qt.PenStyle.DashLine if number else Qt.PenStyle.SolidLine
            painter.setPen(QPen(QColor(self.look.paper_ink if number else self.look.text), 1.6, dashed))
            painter.drawPolygon(shape)
            if (number > 0) == (self.tool == "stain") and self.tool != "image":
                for corner in range(len(ring)):
                    self._knob(painter, ring[corner], picked=(number, corner) == (self.ring, self.corner))

    def _knob(self, painter: QPainter, point: Point, *, picked: bool) -> None:
        at, r = self.viewing.to_screen(QPointF(*point)), 6.5 if picked else 4.5
        painter.setPen(QPen(QColor(self.look.accent), 2))
        painter.setBrush(QColor(self.look.accent if picked else self.look.field))
        painter.drawRect(QRectF(at.x() - r, at.y() - r, 2 * r, 2 * r))

    def _image_path(self, at: int) -> QPainterPath:
        image = self.drawn.images[at]
        die = die_of_image(self.project, image)
        if die is not None:
            return posed_path(die.cut.solid, image.pose)
        path = QPainterPath()
        if image.outline is not None:
            path.addPolygon(polygon_of(image.outline.outer))
        else:
            path.addEllipse(QPointF(image.pose.x, image.pose.y), 3, 3)
        path.closeSubpath()
        return path

    def _images(self, painter: QPainter) -> None:
        for k, image in enumerate(self.drawn.images):
            ink = QColor(self.look.paper_ink)
            ink.setAlpha(60)
            painter.setBrush(ink)
            picked = k == self.image
            painter.setPen(QPen(QColor(self.look.accent if picked else self.look.cut), 2.6 if picked else 1.4))
            shape = self.viewing.transform.map(self._image_path(k))
            painter.drawPath(shape)
            painter.setFont(self._board_font)
            painter.setPen(QColor(self.look.paper_ink))
            painter.drawText(shape.boundingRect(), Qt.AlignmentFlag.AlignCenter, image.image)

    def _up(self, painter: QPainter) -> None:
        """Paint the arrow of the print's up in the border's lower left part."""
        if not self.drawn.rings[0]:
            return
        around = self.viewing.transform.mapRect(polygon_of(self.drawn.rings[0]).boundingRect())
        painter.save()
        painter.translate(around.left() + around.width() * 0.15, around.bottom() - around.height() * 0.15)
        painter.rotate(-self.drawn.up)
        painter.setPen(QPen(QColor(self.look.paper_ink), 2))
        painter.drawLine(QPointF(-UP_ARROW, 0), QPointF(UP_ARROW, 0))
        painter.drawPolyline([QPointF(UP_ARROW - 7, -6), QPointF(UP_ARROW, 0), QPointF(UP_ARROW - 7, 6)])
        painter.restore()
        painter.setFont(self._board_font)
        painter.drawText(
            QPointF(around.left() + around.width() * 0.15 + UP_ARROW, around.bottom() - around.height() * 0.15), "up"
        )

    def _half_drawn(self, painter: QPainter) -> None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(QColor(self.look.accent), 2, Qt.PenStyle.DashLine))
        if self._box is not None:
            painter.drawRect(self._box)
        painter.drawPolyline(self.viewing.transform.map(polygon_of(tuple(self.growing))))
        for k, point in enumerate(self.growing):
            self._knob(painter, point, picked=k == 0)
