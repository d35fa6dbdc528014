"""The passes as small plates in a row: turn to one by click or by arrow keys, tick it off by Space or its box."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from PySide6.QtCore import QModelIndex, QPoint, Qt, QTimer, Signal
from PySide6.QtGui import QDragMoveEvent, QDropEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QListView, QWidget

from app.document.document import Document
from app.document.ordering import Ordering
from app.document.selection import Selection
from app.look.tokens import GAP, ROOM, SPACE, Look
from app.panels.passdelegate import PassDelegate
from app.panels.passmodel import PASS_MIME, PassModel
from app.panels.passroom import PassRoom
from app.panels.ticked import DONE, PASS, done_caption, done_passes, done_words

if TYPE_CHECKING:
    from app.chores import Chores

PICTURES = "pictures of passes"


class Passes(QListView):
    """The row of passes; choosing one turns the canvas to it."""

    tick_asked = Signal(int, int)  # layout and run of a pass that is to be ticked off
    untick_asked = Signal(str)  # the record of a pass whose tick is to be taken back
    told = Signal(str)

    def __init__(
        self,
        document: Document,
        selection: Selection,
        ordering: Ordering,
        room: PassRoom,
        parent: QWidget | None = None,
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
        self._delegate = PassDelegate(document, self._model, room, self._place_shown, self._ask, self._tick)
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
        if self._delegate.room.line:
            self._take_room()

    def fit(self, height: int) -> None:
        """Take the room that suits a window of a height in pixels: small plates, or a line of numbers."""
        if self._delegate.fit(height):
            self._take_room()
            self.scheduleDelayedItemsLayout()

    def _take_room(self) -> None:
        """Be as high as the passes are; beside a line of numbers stands what they are."""
        self.setFixedHeight(self._height())
        if self._delegate.room.line and self._title is None:
            self._title = QLabel(PASS, self)
        if self._title is not None:
            line, title = self._delegate.room.line, self._title
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
        count = self._model.rowCount()
        told = [str(self._model.index(0).data()) if count else "", done_caption(0)]
        return self._delegate.room.height(count, told, self.width() - self.viewportMargins().left())

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
