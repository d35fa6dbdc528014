"""The passes as small plates in a row: turn to one by click or by arrow keys, tick it off by Space or its box."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import (
    QAbstractItemModel,
    QAbstractListModel,
    QEvent,
    QMimeData,
    QModelIndex,
    QPoint,
    QRect,
    QRectF,
    QSize,
    QSizeF,
    Qt,
    QTimer,
    Signal,
)
from PySide6.QtGui import (
    QColor,
    QDragMoveEvent,
    QDropEvent,
    QFont,
    QFontMetricsF,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPen,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QFrame, QLabel, QListView, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from app.canvas.painting import PlatePainter
from app.canvas.scene import scene_of
from app.canvas.viewing import fitted
from app.document.document import Document
from app.document.ordering import Ordering
from app.document.selection import Selection
from app.look.fonts import font
from app.look.icons import icon
from app.look.tokens import GAP, LIGHT, RADIUS, ROOM, SMALL, SPACE, TARGET, Look
from app.panels.ticked import DONE, done_passes, done_words, shown_state
from layout.model.plan import Layout

if TYPE_CHECKING:
    from app.chores import Chores

DONE_LAYOUT = Layout("", (), ())
PICTURES = "pictures of passes"
PASS = "Pass"
PASS_MIME = "application/x-plateful-pass"
PLATE_HEIGHT = 104.0
LEAST_WIDTH = 84.0
MOST_WIDTH = 190.0
BOX = 18
MOST_BOX = 1.5  # times that: a larger box in a line of numbers would be all that one sees
ROOM_SHARE = 0.16  # of the window's height: no more of it for a small plate, however large the text
LINE_BELOW = 450  # of the window's height in pixels at the usual text size: there the passes are a line of numbers
STEPS = 4  # small plates grow by quarters, so that they are not painted anew at every pixel of a window drawn larger
DONE_ROLE = Qt.ItemDataRole.UserRole


class PassModel(QAbstractListModel):
    """The passes that are done, then every run of every layout in the order of the plan.

    A row's place is (layout, run); a pass that is done has DONE for its layout and its number among those for run.
    """

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._places: list[tuple[int, int]] = []
        self.reread()

    def reread(self) -> None:
        """Take the runs of the present plan."""
        self.beginResetModel()
        layouts = enumerate(self._document.plan.layouts)
        done = [(DONE, i) for i in range(len(done_passes(self._document.project)))]
        self._places = done + [(i, j) for i, layout in layouts for j in range(max(1, len(layout.runs)))]
        self.endResetModel()

    def place(self, row: int) -> tuple[int, int]:
        """Return layout and run of a row."""
        return self._places[row]

    def row_of(self, layout: int, run: int) -> int:
        """Return the row of a layout's run, -1 where there is none."""
        return self._places.index((layout, run)) if (layout, run) in self._places else -1

    def flags(self, index: QModelIndex) -> Qt.ItemFlag:
        return super().flags(index) | (
            Qt.ItemFlag.ItemIsDragEnabled if index.isValid() else Qt.ItemFlag.ItemIsDropEnabled
        )

    def mimeTypes(self) -> list[str]:  # noqa: N802 (Qt's name)
        return [PASS_MIME]

    def mimeData(self, indexes: Sequence[QModelIndex]) -> QMimeData:  # noqa: N802 (Qt's name)
        data = QMimeData()
        if indexes:
            data.setData(PASS_MIME, str(indexes[0].row()).encode())
        return data

    def rowCount(self, parent: QModelIndex | None = None) -> int:  # noqa: ARG002, N802 (Qt's name)
        return len(self._places)

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        layout, run = self._places[index.row()]
        if role == DONE_ROLE:
            return layout == DONE
        if role not in _TOLD:
            return None
        number = f"{PASS} {index.row() + 1}"
        if layout == DONE:
            record = done_passes(self._document.project)[run]
            words = done_words(self._document.project, record)
            return done_caption(index.row()) if role == Qt.ItemDataRole.DisplayRole else f"{number}: {words}"
        shown = self._document.plan.layouts[layout]
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{number} · {shown.id}"
        cuts = len(shown.runs[run].cuts) if run < len(shown.runs) else 0
        return f"{number}: layout {shown.id}, run {run + 1} of {len(shown.runs)}, {cuts} dies cut, not done"


def done_caption(row: int) -> str:
    """Return the words under a pass that is ticked off."""
    return f"{PASS} {row + 1} · done"


class PassDelegate(QStyledItemDelegate):
    """Paints one pass as a small plate with its name below; a picture is kept until its layout changes.

    Until the new one is painted the old one is shown.
    """

    def __init__(
        self,
        document: Document,
        model: PassModel,
        selected: Callable[[], tuple[int, int]],
        ask: Callable[[tuple[int, int]], None],
        tick: Callable[[tuple[int, int]], None],
    ) -> None:
        super().__init__()
        self._document, self._model, self._selected, self._ask = document, model, selected, ask
        self._tick = tick
        self._look, self._font = LIGHT, font(SMALL)
        self._text_scale = self._share = 1.0
        self.line = False  # numbers in place of small plates
        self._pictures: dict[tuple[int, int], tuple[QPixmap, Layout | None]] = {}

    def mistrust(self) -> None:
        """Paint all pictures anew when they are next seen: what the project has may look otherwise."""
        self._pictures = {place: (picture, None) for place, (picture, _) in self._pictures.items()}

    def set_look(self, look: Look, text_scale: float) -> None:
        """Paint in a look at a text size."""
        self._look, self._font = look, font(SMALL, text_scale=text_scale)
        self._text_scale = text_scale
        self._pictures.clear()

    def fit(self, height: int) -> bool:
        """Let the small plates grow with the text, or leave them out, for a window's height in px; True if changed."""
        allowed = int(STEPS * ROOM_SHARE * height / PLATE_HEIGHT) / STEPS
        share, line = max(1.0, min(self._text_scale, allowed)), height < LINE_BELOW * self._text_scale
        if (share, line) == (self._share, self.line):
            return False
        self._share, self.line = share, line
        self.mistrust()
        return True

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex) -> QSize:  # noqa: ARG002, N802
        # As wide as its words ever get: chosen they are bold, and the list keeps its widths when a pass is ticked off.
        bold = QFontMetricsF(self._captioned(bold=True))
        told = [str(index.data() or ""), done_caption(index.row())]
        words = max(bold.horizontalAdvance(self._short(w)) for w in told)
        if self.line:
            return QSize(round(self._box_side() + words + GAP + 3 * SPACE), round(bold.height() + 2 * SPACE))
        size = self._plate_size()
        beside = self._bed_size().width() + 2 * (self._box_side() + GAP) if self._share > 1 else 0
        wide = max(size.width(), words, beside) + 2 * SPACE
        return QSize(round(wide), round(size.height() + QFontMetricsF(self._font).height() + 2 * SPACE + GAP))

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
        if not self.line:
            self._paint_picture(painter, place, index)
        painter.setFont(self._captioned(bold=chosen))
        painter.setPen(QColor(self._look.text))
        words, at = self._short(str(index.data())), place.adjusted(0, 0, 0, -GAP)
        if self.line:
            at = place.adjusted(self.box(option.rect).right() - place.left() + SPACE, 0, 0, 0)
        painter.drawText(at, _BESIDE if self.line else _BOTTOM, words)
        self._paint_box(painter, self.box(option.rect), bool(index.data(DONE_ROLE)))
        painter.restore()

    def _paint_picture(self, painter: QPainter, place: QRectF, index: QModelIndex) -> None:
        picture, of = self._pictures.get(self._model.place(index.row()), (None, None))
        if picture is None or of is None or of != self._layout(self._model.place(index.row())):
            self._ask(self._model.place(index.row()))
        if picture is not None:
            left = place.center().x() - picture.width() / picture.devicePixelRatio() / 2
            painter.drawPixmap(round(left), round(place.top() + GAP + 2), picture)

    def _short(self, caption: str) -> str:
        """Leave out of a line of numbers what its title says."""
        return caption.removeprefix(f"{PASS} ") if self.line else caption

    def _captioned(self, *, bold: bool) -> QFont:
        made = font(SMALL, bold=bold)
        made.setPointSizeF(self._font.pointSizeF())
        return made

    def box(self, rect: QRect) -> QRectF:
        """Return where the box to tick is, in the rectangle of a pass."""
        side = self._box_side()
        if self.line:
            return QRectF(rect.left() + SPACE, rect.center().y() - side // 2, side, side)
        return QRectF(rect.right() - side - SPACE, rect.top() + SPACE, side, side)

    def _box_side(self) -> int:
        return round(BOX * min(self._text_scale, MOST_BOX) if self.line else BOX * self._share)

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

    def _plate_size(self) -> QSize:
        return self._bed_size().expandedTo(QSize(round(self._share * LEAST_WIDTH), 0))

    def _bed_size(self) -> QSize:
        machine = self._document.project.machine
        bed = QSizeF(machine.bed_width, machine.bed_length)
        room = QSizeF(MOST_WIDTH, PLATE_HEIGHT) * self._share
        return bed.scaled(room, Qt.AspectRatioMode.KeepAspectRatio).toSize()

    def make_picture(self, place: tuple[int, int]) -> Iterator[None]:
        """Paint the small plate of a pass and keep it, a little at every step."""
        size, of = self._plate_size(), self._layout(place)
        pixmap = QPixmap(size * 2)
        pixmap.setDevicePixelRatio(2)
        pixmap.fill(Qt.GlobalColor.transparent)
        project, plan, shown = shown_state(self._document.project, self._document.plan, place)
        bed = QRectF(0, 0, project.machine.bed_width, project.machine.bed_length)
        painter = QPainter(pixmap)
        try:
            viewing = fitted(bed, QRectF(2, 2, size.width() - 4, size.height() - 5), False)
            plate = PlatePainter(painter, viewing, self._look, self._font)
            yield from plate.paint_in_steps(scene_of(project, plan, *shown), labels=False)
        finally:
            painter.end()
        self._pictures[place] = (pixmap, of)  # of what it was begun with: a change meanwhile asks for another

    def _layout(self, place: tuple[int, int]) -> Layout:
        """Return what a place's picture is of; a pass that is done stays as it is."""
        return DONE_LAYOUT if place[0] == DONE else self._document.plan.layouts[place[0]]


class Passes(QListView):
    """The row of passes; choosing one turns the canvas to it."""

    tick_asked = Signal(int, int)  # layout and run of a pass that is to be ticked off
    untick_asked = Signal(str)  # the record of a pass whose tick is to be taken back
    told = Signal(str)

    def __init__(
        self, document: Document, selection: Selection, ordering: Ordering, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._selection, self._ordering = selection, ordering
        self._model = PassModel(document)
        self._asked: list[tuple[int, int]] = []
        self._title: QLabel | None = None  # what a line of numbers is about, made when there is one
        self._idle = QTimer(self)
        self._idle.setSingleShot(True)
        self._idle.timeout.connect(self._begin_pictures)
        self.chores: Chores | None = None  # where pictures may be painted a little at a time
        self._delegate = PassDelegate(document, self._model, self._place_shown, self._ask, self._tick)
        self.setModel(self._model)
        self.setItemDelegate(self._delegate)
        self._dress()
        for signal in (document.replaced, document.project_changed):
            signal.connect(self._delegate.mistrust)
        for signal in (document.replaced, document.project_changed, document.plan_changed):
            signal.connect(self.reread)
        selection.moved.connect(self._follow)
        self.selectionModel().currentChanged.connect(self._chosen)

    def _dress(self) -> None:
        self.setFlow(QListView.Flow.LeftToRight)
        self.setWrapping(False)
        self.setSpacing(GAP)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setHorizontalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.setUniformItemSizes(True)
        self.setAccessibleName("Passes")
        self.setAccessibleDescription("Ctrl+Shift+PgUp and Ctrl+Shift+PgDown, or dragging, change their order.")
        self.setDragDropMode(QListView.DragDropMode.DragDrop)
        self.setDefaultDropAction(Qt.DropAction.MoveAction)
        self.setEditTriggers(QListView.EditTrigger.NoEditTriggers)

    def set_look(self, look: Look, text_scale: float) -> None:
        """Show the passes in a look at a text size."""
        self._delegate.set_look(look, text_scale)
        self._delegate.fit(self.window().height())
        self.reread()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        if self._delegate.line:
            self._take_room()

    def fit(self, height: int) -> None:
        """Take the room that suits a window of a height in pixels: small plates, or a line of numbers."""
        if self._delegate.fit(height):
            self._take_room()
            self.scheduleDelayedItemsLayout()

    def _take_room(self) -> None:
        """Be as high as the passes are; beside a line of numbers stands what they are."""
        self.setFixedHeight(self._height())
        if self._delegate.line and self._title is None:
            self._title = QLabel(PASS, self)
        if self._title is not None:
            line, title = self._delegate.line, self._title
            title.setVisible(line)
            title.adjustSize()
            title.setGeometry(ROOM, 0, title.width(), self.height())
            self.setViewportMargins(title.geometry().right() + SPACE if line else 0, 0, 0, 0)

    def reread(self) -> None:
        """Take the passes of the present plan."""
        self._asked.clear()
        if self.chores is not None:
            self.chores.drop(PICTURES)  # what is half painted may be about another plan
        self._model.reread()
        self._take_room()
        self.setVisible(self._model.rowCount() > 0)
        self._follow()

    def turn(self, by: int) -> None:
        """Turn to the pass so many before or after."""
        row = self.currentIndex().row() + by
        if 0 <= row < self._model.rowCount():
            self.setCurrentIndex(self._model.index(row))

    def tick(self) -> None:
        """Tick the pass that is chosen off, or take its tick back."""
        row = self.currentIndex().row()
        if row >= 0:
            self._tick(self._model.place(row))

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if event.key() == Qt.Key.Key_Space:
            self.tick()
        else:
            super().keyPressEvent(event)

    def _tick(self, place: tuple[int, int]) -> None:
        layout, run = place
        if layout == DONE:
            self.untick_asked.emit(done_passes(self._document.project)[run].id)
        else:
            self.tick_asked.emit(layout, run)

    def _place_shown(self) -> tuple[int, int]:
        row = self.currentIndex().row()
        return self._model.place(row) if row >= 0 else (self._selection.layout, self._selection.run)

    def take(self, at: QPoint) -> bool:
        """Lay what is picked in the pass at a point of the screen; False where there is none."""
        place = self._open_pass(self.indexAt(self.viewport().mapFromGlobal(at)))
        if not self.isVisible() or place is None:
            return False
        self._ordering.carry_over(place)
        return True

    def _open_pass(self, index: QModelIndex) -> tuple[int, int] | None:
        """Return layout and run at an index, None where no pass is or where it is done already."""
        place = self._model.place(index.row()) if index.isValid() else (DONE, 0)
        return None if place[0] == DONE else place

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:  # noqa: N802 (Qt's name)
        super().dragMoveEvent(event)
        over = self._open_pass(self.indexAt(event.position().toPoint()))
        if event.mimeData().hasFormat(PASS_MIME) and over is not None:
            event.accept()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 (Qt's name)
        if not event.mimeData().hasFormat(PASS_MIME):
            return
        row = int(event.mimeData().data(PASS_MIME).data())
        what = self._open_pass(self._model.index(row))
        where = self._open_pass(self.indexAt(event.position().toPoint()))
        # The view would take the dragged row out after a move: the order is the document's, so it is told a copy.
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        if what is not None and where is not None:
            self._ordering.bring(what, where)

    def _ask(self, place: tuple[int, int]) -> None:
        """Note that a picture is wanted: they are painted one by one when nothing else is to do."""
        if place not in self._asked:
            self._asked.append(place)
            self._idle.start(0)

    def _begin_pictures(self) -> None:
        if self.chores is None:
            for _ in self._make_next():
                pass
            if self._asked:
                self._idle.start(0)
        elif not self.chores.waits(PICTURES):
            self.chores.add(PICTURES, self._make_all())

    def _make_all(self) -> Iterator[None]:
        while self._asked:
            yield from self._make_next()

    def _make_next(self) -> Iterator[None]:
        if not self._asked:
            return  # all were forgotten while the timer ran
        place = self._asked.pop(0)
        if self._model.row_of(*place) >= 0:
            yield from self._delegate.make_picture(place)
            self.viewport().update()

    def _height(self) -> int:
        option = QStyleOptionViewItem()
        index = self._model.index(0) if self._model.rowCount() else QModelIndex()
        hint = self._delegate.sizeHint(option, index)
        wide = self._model.rowCount() * (hint.width() + GAP) + GAP
        fits = self._delegate.line and wide <= self.viewport().width()
        return hint.height() + 2 * GAP + (0 if fits else self.horizontalScrollBar().sizeHint().height())

    def _follow(self) -> None:
        row = self._model.row_of(self._selection.layout, self._selection.run)
        if row < 0 and self._model.rowCount() and not self.currentIndex().isValid():
            row = self._model.rowCount() - 1  # every pass is done: the last one is shown
        if row >= 0 and row != self.currentIndex().row():
            self.setCurrentIndex(self._model.index(row))

    def _chosen(self, index: QModelIndex) -> None:
        if not index.isValid():
            return
        layout, run = self._model.place(index.row())
        if layout != DONE:
            self._selection.look_at(layout, run)
        else:
            project = self._document.project
            self.told.emit(done_words(project, done_passes(project)[run]))


_TOLD = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole)
_BESIDE = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_BOTTOM = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignBottom
