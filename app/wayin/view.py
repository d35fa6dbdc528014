"""The picture with what was found on top, drawn true: zoomed, pushed, picked and mended by mouse or keys."""

from __future__ import annotations

from dataclasses import dataclass
from math import dist

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPixmap, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.canvas.paths import path_of, solid_path_of
from app.canvas.viewing import Viewing, fitted
from app.look.tokens import LIGHT, Look
from app.wayin import painting
from app.wayin.found import Found
from app.wayin.hold import Hold
from app.wayin.mending import added
from app.wayin.stamping import StampHold
from app.wayin.tray import Tray
from layout.geometry.outline import Outline

REACH = 11.0  # logical pixels within which a corner is taken hold of
CLOSER = 1.25
PUSH = 60.0
RIM = 24.0
AROUND = 30.0  # mm shown about what was found
TURN, FINE_TURN = 5.0, 0.5
STEPS = {Qt.Key.Key_Left: (-1, 0), Qt.Key.Key_Right: (1, 0), Qt.Key.Key_Up: (0, 1), Qt.Key.Key_Down: (0, -1)}


@dataclass(frozen=True, slots=True)
class Shown:
    """A picture and where it lies, in mm."""

    pixmap: QPixmap
    place: QRectF


class PictureView(QWidget):
    """Shows tray and picture; corners are mended through `hold`, marks of a reference are dragged here."""

    refused = Signal(str)
    discard_asked = Signal()
    name_asked = Signal()

    def __init__(self, tray: Tray, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.tray, self.look, self.text_scale = tray, LIGHT, 1.0
        self.shown: Shown | None = None
        self.viewing = Viewing()
        self.marks: list[QPointF] | None = None
        self.mark = 0
        self.ruler = False
        self.close_pairs: tuple[tuple[QPointF, str], ...] = ()
        self.hold = Hold(tray, self.refused.emit)
        self.images: StampHold | None = None
        self._drag: str | None = None
        self._last = QPointF()
        self._fitted = True
        self.setMinimumSize(280, 240)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAccessibleName("Picture with the outlines found")
        self.setAccessibleDescription(
            "Page up and down pick an outline; comma and full stop a corner; arrows move it; Insert adds one, Delete"
            " takes it away, or discards the outline where no corner is picked; I picks a stamped image, arrows move it"
            " and brackets turn it; plus, minus and 0 zoom."
        )
        tray.changed.connect(self._changed)
        tray.picked.connect(self._picked)

    # ---- what is shown ------------------------------------------------------------------------------------------

    def set_look(self, look: Look, text_scale: float) -> None:
        """Paint in a look at a text size."""
        self.look, self.text_scale = look, text_scale
        self.update()

    @property
    def place(self) -> QRectF:
        """Where the picture lies in mm, as large as a ruler has said."""
        if self.shown is None:
            return QRectF()
        by = self.tray.things[0].scale if self.tray.things else 1.0
        box = self.shown.place
        return QRectF(box.left() * by, box.top() * by, box.width() * by, box.height() * by)

    def show_picture(self, shown: Shown | None) -> None:
        """Lay a picture under the outlines."""
        self.shown = shown
        self.fit()

    def ask_marks(self, on: bool) -> None:
        """Begin or end marking four corners, first set well inside the picture."""
        if on and self.shown is not None and self.marks is None:
            box = self.place
            x0, x1 = box.left() + 0.35 * box.width(), box.left() + 0.65 * box.width()
            y0, y1 = box.top() + 0.38 * box.height(), box.top() + 0.62 * box.height()
            self.marks, self.mark = [QPointF(x0, y1), QPointF(x1, y1), QPointF(x1, y0), QPointF(x0, y0)], 0
        elif not on:
            self.marks = None
        self.update()

    def fit(self) -> None:
        """Show everything."""
        self._fitted = True
        room = QRectF(self.rect()).adjusted(RIM, RIM, -RIM, -RIM)
        self.viewing = fitted(self._everything(), room, False)
        self.update()

    def zoom(self, factor: float, about: QPointF | None = None) -> None:
        """Come closer or go farther."""
        self._fitted = False
        self.viewing = self.viewing.zoomed(factor, about or QRectF(self.rect()).center())
        self.update()

    def _everything(self) -> QRectF:
        box = self.place
        found = QRectF()
        if self.marks is None:
            for thing in self.tray.things:
                found = found.united(path_of(thing.outline).boundingRect())
        if not found.isNull() and not box.isNull():
            # A photo seen from straight above has wide empty margins.
            found = found.adjusted(-AROUND, -AROUND, AROUND, AROUND).intersected(box)
        box = found if not found.isNull() else box
        return box if not box.isNull() else QRectF(0, 0, 100, 80)

    def _changed(self) -> None:
        self.hold.refresh()
        self.update()

    def _picked(self) -> None:
        self.hold.drop()
        thing = self.tray.thing
        if thing is not None and not self._fitted:
            at = self.viewing.to_screen(path_of(thing.outline).boundingRect().center())
            if not self.rect().contains(at.toPoint()):
                off = QPointF(self.rect().center()) - at
                self.viewing = self.viewing.moved(off.x(), off.y())
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        painter = QPainter(self)
        painting.paint(self, painter)
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        if self._fitted:
            self.fit()

    # ---- mouse --------------------------------------------------------------------------------------------------

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 (Qt's name)
        self.zoom(CLOSER ** (event.angleDelta().y() / 120), event.position())

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        self._last = event.position()
        self._drag = "push" if event.button() != Qt.MouseButton.LeftButton else self._grab(event.position())
        if self._drag == "push":
            self.setCursor(Qt.CursorShape.ClosedHandCursor)
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        at = event.position()
        if self._drag == "push":
            self._fitted = False
            self.viewing = self.viewing.moved(at.x() - self._last.x(), at.y() - self._last.y())
        elif self._drag == "mark" and self.marks is not None:
            self.marks[self.mark] = self.viewing.to_plate(at)
        elif self._drag == "corner":
            self.hold.move_to(self._mm(at))
        elif self._drag == "image" and self.images is not None:
            self.images.drag(self._mm(at))
        elif self._drag is None:
            held = self.hold.near(self._mm(at), REACH / self.viewing.scale)
            self.setCursor(Qt.CursorShape.CrossCursor if held else Qt.CursorShape.ArrowCursor)
        self._last = at
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        if self._drag == "corner":
            self.hold.let_go()
        elif self._drag == "image" and self.images is not None:
            self.images.let_go()
        self._drag = None
        self.unsetCursor()
        self.update()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        self.hold.add_at(self._mm(event.position()), REACH / self.viewing.scale)
        self.update()

    def _grab(self, at: QPointF) -> str:
        if self.marks is not None:
            gaps = [dist(self.viewing.to_screen(m).toTuple(), at.toTuple()) for m in self.marks]
            if min(gaps) > 2 * REACH:
                return "push"
            self.mark = gaps.index(min(gaps))
            return "mark"
        if self.hold.take(self._mm(at), REACH / self.viewing.scale):
            self._put_image_down()
            return "corner"
        self.hold.drop()
        if self.images is not None and self.images.take(self._mm(at)):
            return "image"
        self._put_image_down()
        found = self._under(self.viewing.to_plate(at))
        if found is None:
            return "push"
        if found == self.tray.at:
            return "push"
        self.tray.pick(found)
        self.name_asked.emit()
        return "picked"

    def _put_image_down(self) -> None:
        if self.images is not None and self.images.active:
            self.images.pick(self.images.at)

    def _under(self, at: QPointF) -> int | None:
        """Return the least thing whose border runs about a place, or nearly meets it."""
        inside = [k for k, t in enumerate(self.tray.things) if solid_path_of(t.outline).contains(at)]
        if not inside:
            near = [(self._gap(t.outline, at), k) for k, t in enumerate(self.tray.things)]
            return min(near)[1] if near and min(near)[0] < REACH / self.viewing.scale else None
        return min(inside, key=lambda k: _room(self.tray.things[k]))

    def _gap(self, outline: Outline, at: QPointF) -> float:
        here = (at.x(), at.y())
        return dist(added(outline.outer, here)[1], here)

    def _mm(self, at: QPointF) -> tuple[float, float]:
        place = self.viewing.to_plate(at)
        return place.x(), place.y()

    # ---- keys ---------------------------------------------------------------------------------------------------

    def event(self, event: QEvent) -> bool:
        """Let Tab go round the marks while they are set, as it goes round fields elsewhere."""
        if self.marks is not None and isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            step = {Qt.Key.Key_Tab: 1, Qt.Key.Key_Backtab: -1}.get(Qt.Key(event.key()))
            if step is not None and 0 <= self.mark + step < 4:
                self.mark += step
                self.update()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        key = Qt.Key(event.key())
        if key in STEPS:
            self._arrow(*STEPS[key], fine=bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier))
        elif not self._other_key(key):
            super().keyPressEvent(event)
        self.update()

    def _arrow(self, dx: int, dy: int, *, fine: bool) -> None:
        if self.marks is not None:
            step = (0.2 if fine else 2.0) / self.viewing.scale
            self.marks[self.mark] += QPointF(dx * step, dy * step)
        elif not self._nudge(dx, dy, 0.02 if fine else 0.1):
            self._fitted = False
            self.viewing = self.viewing.moved(-dx * PUSH, dy * PUSH)

    def _nudge(self, dx: int, dy: int, step: float) -> bool:
        if self.images is not None and self.images.nudge(dx, dy, 5 * step):
            return True
        return self.hold.nudge(dx, dy, step)

    def _next_image(self) -> None:
        if self.images is not None:
            self.hold.drop()
            self.images.step()

    def _turn_image(self, degrees: float) -> None:
        if self.images is not None:
            self.images.turn(degrees)

    def _other_key(self, key: Qt.Key) -> bool:
        act = {
            Qt.Key.Key_Plus: lambda: self.zoom(CLOSER),
            Qt.Key.Key_Equal: lambda: self.zoom(CLOSER),
            Qt.Key.Key_Minus: lambda: self.zoom(1 / CLOSER),
            Qt.Key.Key_0: self.fit,
            Qt.Key.Key_PageDown: lambda: self.tray.step(1),
            Qt.Key.Key_PageUp: lambda: self.tray.step(-1),
            Qt.Key.Key_Comma: lambda: self.hold.step(-1),
            Qt.Key.Key_Period: lambda: self.hold.step(1),
            Qt.Key.Key_Insert: self.hold.add_next,
            Qt.Key.Key_Delete: self._delete,
            Qt.Key.Key_Backspace: self._delete,
            Qt.Key.Key_Return: self.name_asked.emit,
            Qt.Key.Key_I: self._next_image,
            Qt.Key.Key_BracketLeft: lambda: self._turn_image(TURN),
            Qt.Key.Key_BracketRight: lambda: self._turn_image(-TURN),
            Qt.Key.Key_BraceLeft: lambda: self._turn_image(FINE_TURN),
            Qt.Key.Key_BraceRight: lambda: self._turn_image(-FINE_TURN),
        }.get(key)
        if key in (Qt.Key.Key_Comma, Qt.Key.Key_Period):
            self._put_image_down()
        if key == Qt.Key.Key_Escape and self.hold.corner is not None:
            act = self.hold.drop
        elif key == Qt.Key.Key_Escape and self.images is not None and self.images.active:
            act = self._put_image_down
        if act is None:
            return False
        act()
        return True

    def _delete(self) -> None:
        if self.hold.corner is not None:
            self.hold.remove()
        elif self.images is not None and self.images.active:
            self.images.remove()
        else:
            self.discard_asked.emit()


def _room(thing: Found) -> float:
    left, low, right, high = thing.outline.bounds
    return (right - left) * (high - low)
