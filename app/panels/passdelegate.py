"""How one pass is painted and touched: a small plate or its number, its words, its box to tick."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from PySide6.QtCore import QAbstractItemModel, QEvent, QModelIndex, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPen, QPixmap
from PySide6.QtWidgets import QStyledItemDelegate, QStyleOptionViewItem

from app.canvas.painting import PlatePainter
from app.canvas.scene import scene_of
from app.canvas.viewing import fitted
from app.document.document import Document
from app.look.icons import icon
from app.look.tokens import GAP, LIGHT, RADIUS, SPACE, TARGET, Look
from app.panels.passmodel import DONE_ROLE, PassModel
from app.panels.passroom import BOX, PassRoom
from app.panels.ticked import DONE, done_caption, shown_state
from layout.model.plan import Layout

DONE_LAYOUT = Layout("", (), ())


class PassDelegate(QStyledItemDelegate):
    """Paints one pass as a small plate with its name below; a picture is kept until its layout changes.

    Until the new one is painted the old one is shown.
    """

    def __init__(
        self,
        document: Document,
        model: PassModel,
        room: PassRoom,
        selected: Callable[[], tuple[int, int]],
        ask: Callable[[tuple[int, int]], None],
        tick: Callable[[tuple[int, int]], None],
    ) -> None:
        super().__init__()
        self._document, self._model, self._selected, self._ask = document, model, selected, ask
        self._tick = tick
        self.room, self._look = room, LIGHT
        self._pictures: dict[tuple[int, int], tuple[QPixmap, Layout | None]] = {}

    def mistrust(self) -> None:
        """Paint all pictures anew when they are next seen: what the project has may look otherwise."""
        self._pictures = {place: (picture, None) for place, (picture, _) in self._pictures.items()}

    def set_look(self, look: Look, text_scale: float) -> None:
        """Paint in a look at a text size."""
        self._look = look
        self.room.set_text_scale(text_scale)
        self._pictures.clear()

    def fit(self, height: int) -> bool:
        """Take the room that suits a window's height in px; True if it is another one."""
        changed = self.room.fit(height)
        if changed:
            self.mistrust()
        return changed

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:  # noqa: ARG002, N802
        # The list keeps its widths when a pass is ticked off.
        told = [str(index.data() or ""), done_caption(index.row())]
        return QSize(self.room.item_width(told), self.room.item_height)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: QModelIndex) -> None:
        place = QRectF(option.rect).adjusted(2, 2, -2, -2)
        chosen = self._model.place(index.row()) == self._selected()
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if chosen:
            held = option.widget.hasFocus()
            painter.setPen(QPen(QColor(self._look.focus if held else self._look.accent), 3.5 if held else 2))
            painter.setBrush(QColor(self._look.accent_soft))
            painter.drawRoundedRect(place, RADIUS, RADIUS)
        if not self.room.line:
            self._paint_picture(painter, place, index)
        painter.setFont(self.room.captioned(bold=chosen))
        painter.setPen(QColor(self._look.text))
        words, at = self.room.short(str(index.data())), place.adjusted(0, 0, 0, -GAP)
        if self.room.line:
            at = place.adjusted(self.box(option.rect).right() - place.left() + SPACE, 0, 0, 0)
        painter.drawText(at, _BESIDE if self.room.line else _BOTTOM, words)
        self._paint_box(painter, self.box(option.rect), bool(index.data(DONE_ROLE)))
        painter.restore()

    def _paint_picture(self, painter: QPainter, place: QRectF, index: QModelIndex) -> None:
        picture, of = self._pictures.get(self._model.place(index.row()), (None, None))
        if picture is None or of is None or of != self._layout(self._model.place(index.row())):
            self._ask(self._model.place(index.row()))
        if picture is not None:
            left = place.center().x() - picture.width() / picture.devicePixelRatio() / 2
            painter.drawPixmap(round(left), round(place.top() + GAP + 2), picture)

    def box(self, rect: QRect) -> QRectF:
        """Return where the box to tick is, in the rectangle of a pass."""
        side = self.room.box_side
        if self.room.line:
            return QRectF(rect.left() + SPACE, rect.center().y() - side // 2, side, side)
        return QRectF(rect.right() - side - SPACE, rect.top() + SPACE, side, side)

    def _paint_box(self, painter: QPainter, box: QRectF, done: bool) -> None:
        painter.setPen(QPen(QColor(self._look.good if done else self._look.quiet), 1.5))
        painter.setBrush(QColor(self._look.field))
        painter.drawRoundedRect(box, 3, 3)
        if done:
            icon("tick", self._look.good).paint(painter, box.toRect())

    def editorEvent(  # noqa: N802 (Qt's name)
        self, event: QEvent, model: QAbstractItemModel, option: QStyleOptionViewItem, index: QModelIndex
    ) -> bool:
        """A click into the box ticks the pass off, or takes the tick back."""
        pressed = isinstance(event, QMouseEvent) and event.button() == Qt.MouseButton.LeftButton
        grown = TARGET - BOX
        if not pressed or not self.box(option.rect).adjusted(-grown, -grown, grown, grown).contains(event.position()):
            return super().editorEvent(event, model, option, index)
        if event.type() == QEvent.Type.MouseButtonRelease:
            self._tick(self._model.place(index.row()))
        return True

    def make_picture(self, place: tuple[int, int]) -> Iterator[None]:
        """Paint the small plate of a pass and keep it, a little at every step."""
        size, of = self.room.plate_size, self._layout(place)
        pixmap = QPixmap(size * 2)
        pixmap.setDevicePixelRatio(2)
        pixmap.fill(Qt.GlobalColor.transparent)
        project, plan, shown = shown_state(self._document.project, self._document.plan, place)
        bed = QRectF(0, 0, project.machine.bed_width, project.machine.bed_length)
        painter = QPainter(pixmap)
        try:
            viewing = fitted(bed, QRectF(2, 2, size.width() - 4, size.height() - 5), False)
            plate = PlatePainter(painter, viewing, self._look, self.room.captioned())
            yield from plate.paint_in_steps(scene_of(project, plan, *shown), labels=False)
        finally:
            painter.end()
        self._pictures[place] = (pixmap, of)  # of what it was begun with: a change meanwhile asks for another

    def _layout(self, place: tuple[int, int]) -> Layout:
        """Return what a place's picture is of; a pass that is done stays as it is."""
        return DONE_LAYOUT if place[0] == DONE else self._document.plan.layouts[place[0]]


_BESIDE = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_BOTTOM = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom
