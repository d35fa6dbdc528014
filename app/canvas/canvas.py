"""The plate: shows one pass of the document at true proportion and hands gestures on. It never writes the model."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QPainter

from app.canvas.draft import Draft
from app.canvas.outlines import Outlines
from app.canvas.painting import PlatePainter, label_of
from app.canvas.paths import posed_path
from app.canvas.scene import die_item, scrap_item
from app.canvas.upper import Upper
from app.canvas.view import PlateView
from app.document.document import Document
from app.document.faults import Faults
from app.document.hands import Hands
from app.document.selection import Selection
from app.panels.words import in_passes

if TYPE_CHECKING:
    from PySide6.QtGui import (
        QContextMenuEvent,
        QDragEnterEvent,
        QDragMoveEvent,
        QDropEvent,
        QFocusEvent,
        QKeyEvent,
        QMouseEvent,
        QPaintEvent,
        QWheelEvent,
    )
    from PySide6.QtWidgets import QWidget

    from app.canvas.clearing import ClearPlace
    from app.canvas.gestures import Gesture, GestureMaker
    from app.canvas.live import Live
    from app.canvas.snapmark import SnapMark, Snapped
    from app.canvas.snapping import Snapper
    from app.chores import Chores

SNAP = 9.0  # pixels within which a thing is drawn to another
KEY_REASONS = (Qt.FocusReason.TabFocusReason, Qt.FocusReason.BacktabFocusReason, Qt.FocusReason.ShortcutFocusReason)
WHEEL_STEP = 1.0015
DIE_MIME = "application/x-plateful-die"
SCRAP_MIME = "application/x-plateful-scrap"
MOST_WORDS = 3  # sentences hung beside what is in hand; the panel has them all


class Canvas(PlateView):
    """The middle of the window. It listens to document and selection, and asks `hands` for every change."""

    painted = Signal()
    menu_asked = Signal(QPoint)
    draft_changed = Signal()

    def __init__(
        self, document: Document, selection: Selection, hands: Hands, faults: Faults, parent: QWidget | None = None
    ) -> None:
        super().__init__(document, selection, parent)
        self.hands, self.faults = hands, faults
        self.gesture: Gesture | None = None
        self.focus_by_keys = False
        self.takers: list[Callable[[QPoint], bool]] = []  # what is asked first when a hand lets go outside the plate
        self._snapper: Snapper | None = None
        self.snap_marks: tuple[SnapMark, ...] = ()
        self.outlines, self.upper = Outlines(), Upper()
        self._dress()
        document.replaced.connect(self.refresh)
        document.replaced.connect(self.fit)
        document.project_changed.connect(self.refresh)
        document.plan_changed.connect(self.refresh)
        selection.moved.connect(self.refresh)
        selection.changed.connect(self.update)
        faults.changed.connect(self.update)

    def _dress(self) -> None:
        self.setAccessibleName("Plate")
        self.setAccessibleDescription("The dies and scraps of one pass. The leaf On the plate holds the same in words.")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setAcceptDrops(True)

    # What hands need is made when the first one comes: the plate is to be seen before.

    @cached_property
    def _maker(self) -> GestureMaker:
        from app.canvas.gestures import GestureMaker, HandKeys

        # Not by an `event` of our own: that would be asked of every event before the first picture too.
        self.installEventFilter(HandKeys(self))
        return GestureMaker(self)

    @cached_property
    def live(self) -> Live:
        """What is wrong while things are in hand."""
        from app.canvas.live import Live

        made = Live(self.document, self.selection, self)
        made.caught_up.connect(self.update)
        return made

    @cached_property
    def clear_place(self) -> ClearPlace:
        """The nearest clear place of the die in hand."""
        from app.canvas.clearing import ClearPlace

        made = ClearPlace(self.live, lambda: self.draft, self)
        made.found.connect(self.update)
        return made

    def work_between(self, chores: Chores) -> None:
        """From now on, do between events what takes long."""
        self.still.chores = self.live.chores = self.upper.chores = chores
        self.live.drop()

    # ---- in hand ------------------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Read the document again; a gesture that was going on is over, because what it held may be gone."""
        self.gesture = None
        self._snapper = None
        self.snap_marks = ()
        super().refresh()

    def in_hand(self) -> Draft:
        """Return what is picked and free to move, where it lies."""
        return Draft(*self.hands.in_hand())

    def snapped(self, draft: Draft) -> Snapped:
        """Return the draft drawn to what is near: other dies, the margin, an even row, its image."""
        if self._snapper is None:
            from app.canvas.snapping import Snapper

            project = self.document.project
            self._snapper = Snapper(self.scene, project.clearances.body_gap, project.wanted)
        return self._snapper.snap(draft, SNAP / self._viewing.scale)

    def picked_bounds(self) -> QRectF | None:
        """Return the box round the middles' lines of what is picked, in mm: the cut of dies, the border of sheets."""
        from app.canvas.marks import scrap_path

        around = QRectF()
        for i in self.selection.dies:
            item, pose = self.scene.dies[i], self.draft.dies.get(i)
            path = item.cut if pose is None else posed_path(item.die.cut, pose)
            around = around.united(path.boundingRect())
        for i in self.selection.scraps:
            around = around.united(scrap_path(self.scene.scraps[i], self.draft.scraps.get(i)).boundingRect())
        return None if around.isNull() else around

    def picked_turn(self) -> float | None:
        """Return the turn of what is picked in degrees, None where several things differ."""
        scene, draft = self.scene, self.draft
        turns = [draft.dies.get(i, scene.dies[i].pose).turn for i in self.selection.dies]
        turns += [draft.scraps.get(i, scene.scraps[i].pose).turn for i in self.selection.scraps]
        return turns[0] if turns and max(turns) - min(turns) < 1e-9 else None

    def faulty(self) -> tuple[frozenset[int], frozenset[int]]:
        """Return the numbers of the dies and scraps shown that break a rule, as things lie in the hand."""
        from app.canvas.live import faulty

        dies, scraps = faulty(self.faults.known if self.draft.empty else self.live.findings(), self.selection)
        # What was found last may be about things that are gone since; it is read afresh in the next idle moment.
        there = range(len(self.scene.dies)), range(len(self.scene.scraps))
        return dies.intersection(there[0]), scraps.intersection(there[1])

    def fault_words(self) -> list[str]:
        """Return the words to hang below the things in hand that are wrong."""
        if self.draft.empty:
            return []
        project, plan = self.document.project, self.document.plan
        # The same in several passes is said once.
        told = dict.fromkeys(in_passes(f.what, project, plan) for f in self.live.about(self.draft))
        return list(told)[:MOST_WORDS]

    # ---- painting -----------------------------------------------------------------------------------------------

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        painter = QPainter(self)
        try:
            self.paint_still(painter)
            self._paint_over(painter)
        finally:
            painter.end()  # a painter left open takes the whole program down with it
        self.painted.emit()

    def _paint_over(self, painter: QPainter) -> None:
        thick = self.ruler_thickness
        painter.setClipRect(QRectF(thick, thick, self.width() - thick, self.height() - thick))
        plate = self.plate_painter(painter)
        self._paint_draft(plate)
        if self._marked:
            from app.canvas.marks import paint_marks

            paint_marks(self, plate)

    @property
    def _marked(self) -> bool:
        """Whether something is picked, in hand, wrong or pointed at."""
        things = (self.gesture, self.ghost, self.focus_by_keys, self.faults.known, self.snap_marks)
        return any(things) or not (self.selection.empty and self.draft.empty)

    def _paint_draft(self, plate: PlatePainter) -> None:
        scene = self.scene
        # For the blink of an eye that the dies over a sheet take to paint, its border alone follows the hand.
        if self.draft.scraps and not self.upper.coming:
            for i, pose in self.draft.scraps.items():
                plate.scrap(scrap_item(scene.scraps[i], pose))
            self.upper.paint(self, plate, frozenset(self.draft.dies))
        for i, pose in self.draft.dies.items():
            shown = die_item(scene.dies[i], pose)
            plate.die(shown)
            plate.die_label(shown)

    # ---- from drawer and heap -----------------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:  # noqa: N802 (Qt's name)
        if any(event.mimeData().hasFormat(kind) for kind in (DIE_MIME, SCRAP_MIME)):
            event.acceptProposedAction()

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:  # noqa: N802 (Qt's name)
        event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:  # noqa: N802 (Qt's name)
        at = self._viewing.to_plate(event.position())
        for kind, put in ((DIE_MIME, self.hands.put_on), (SCRAP_MIME, self.hands.lay_scrap)):
            if event.mimeData().hasFormat(kind):
                put(event.mimeData().data(kind).data().decode(), (at.x(), at.y()))
                event.acceptProposedAction()
                self.setFocus()

    # ---- gestures -----------------------------------------------------------------------------------------------

    def take_draft(self, draft: Draft, marks: tuple[SnapMark, ...] = ()) -> None:
        """Show things where the hand holds them, with marks of what drew them there."""
        self.draft, self.snap_marks = draft, marks
        if not draft.empty:
            self.live.follow(draft)
        self.clear_place.watch()
        self.draft_changed.emit()
        self.update()

    def carry_off(self, at: QPointF) -> bool:
        """Whether something outside took what the hand let go there."""
        if self.rect().contains(at.toPoint()):
            return False
        where = self.mapToGlobal(at).toPoint()
        return any(take(where) for take in self.takers)

    def lay_clear(self) -> None:
        """Lay the one die that is picked at the nearest place where it breaks no rule."""
        draft = self.in_hand() if self.draft.empty else self.draft
        if len(draft.dies) != 1 or draft.scraps:
            self.hands.refused.emit("Pick one die that is not held in place to find it a clear place.")
            return
        pose = self.clear_place.pose or self.clear_place.find_now(draft)
        self.drop_gesture()
        if pose is None:
            self.hands.refused.emit("There is no clear place near by; turn the die, or move it over more paper.")
        else:
            self.hands.place({next(iter(draft.dies)): pose}, {}, "Move to a clear place")

    def drop_gesture(self) -> None:
        """Let go without changing anything."""
        self.gesture = None
        self.take_draft(Draft())

    def focusInEvent(self, event: QFocusEvent) -> None:  # noqa: N802 (Qt's name)
        self.focus_by_keys = event.reason() in KEY_REASONS
        super().focusInEvent(event)

    def focusOutEvent(self, event: QFocusEvent) -> None:  # noqa: N802 (Qt's name)
        self.focus_by_keys = False
        super().focusOutEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        self._fit_wanted = self._fit_wanted and event.button() != Qt.MouseButton.MiddleButton
        if self.gesture is None:
            self.gesture = self._maker.press(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        if self.gesture is not None:
            self.gesture.move(event.position(), event.modifiers())
        else:
            self.setCursor(self._maker.cursor_at(event.position()))
            self.setToolTip(self._name_at(event.position()))

    def _name_at(self, at: QPointF) -> str:
        plate = self._viewing.to_plate(at)
        die, scrap = self.scene.die_at(plate), self.scene.scrap_at(plate)
        if die is not None:
            return f"{die.name}: number {die.number} in drawer and guide"
        return label_of(scrap) if scrap is not None else ""

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:  # noqa: N802 (Qt's name)
        gesture, self.gesture = self.gesture, None
        if gesture is not None:
            gesture.release(event.position(), event.modifiers())
            self.take_draft(Draft())

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:  # noqa: N802 (Qt's name)
        self.menu_asked.emit(event.globalPos())

    def wheelEvent(self, event: QWheelEvent) -> None:  # noqa: N802 (Qt's name)
        self._fit_wanted = False
        if event.modifiers() & Qt.KeyboardModifier.ShiftModifier:
            turned = event.angleDelta().y() or event.angleDelta().x()
            self.viewing = self._viewing.moved(turned / 2, 0)
        else:
            self.viewing = self._viewing.zoomed(math.pow(WHEEL_STEP, event.angleDelta().y()), event.position())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if not self._maker.key(event):
            super().keyPressEvent(event)
