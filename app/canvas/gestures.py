"""What a hand does on the plate. A gesture keeps a draft while it lasts and asks for one change when it ends."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QEvent, QObject, QPointF, QRectF, Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent

from app.canvas.marks import HANDLE, handle_at, picked_box
from app.canvas.snapmark import Snapped

if TYPE_CHECKING:
    from app.canvas.canvas import Canvas
    from app.canvas.draft import Draft

SLACK = 4.0  # pixels a hand may tremble before a press becomes a drag
TURN_STEP = 15.0  # degrees, with Shift held
ARROWS = {
    Qt.Key.Key_Left: (-1, 0),
    Qt.Key.Key_Right: (1, 0),
    Qt.Key.Key_Up: (0, 1),
    Qt.Key.Key_Down: (0, -1),
}
PAN_STEP = 40.0

Modifiers = Qt.KeyboardModifier


class HandKeys(QObject):
    """Gives the keys of a hand that holds something (Esc, C) to the plate before any shortcut of the window."""

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self._canvas = canvas

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: ARG002, N802 (Qt's name)
        if event.type() == QEvent.Type.ShortcutOverride and self._canvas.gesture is not None:
            event.accept()
            return True
        return False


class Gesture:
    """One press, the moves that follow, and the release."""

    box: QRectF | None = None

    def __init__(self, canvas: Canvas, start: QPointF) -> None:
        self.canvas, self.start = canvas, start

    def move(self, at: QPointF, modifiers: Modifiers) -> None:
        """Follow the hand."""

    def release(self, at: QPointF, modifiers: Modifiers) -> None:
        """Let go."""


class Pan(Gesture):
    """Push the view."""

    def move(self, at: QPointF, modifiers: Modifiers) -> None:  # noqa: ARG002
        self.canvas.push_view(at.x() - self.start.x(), at.y() - self.start.y())
        self.start = at


def _prepare(canvas: Canvas, held: Draft) -> None:
    """Begin at the press what a sheet needs while it moves."""
    if held.scraps:
        canvas.upper.prepare(canvas, frozenset(held.dies))


class Move(Gesture):
    """Move what is picked over the plate; one undo step at the release."""

    def __init__(
        self, canvas: Canvas, start: QPointF, alone: tuple[frozenset[int], frozenset[int]] | None = None
    ) -> None:
        super().__init__(canvas, start)
        self._held = canvas.in_hand()
        self._moving = False
        _prepare(canvas, self._held)
        self._alone = alone  # what a mere click on one of several picked things leaves picked

    def move(self, at: QPointF, modifiers: Modifiers) -> None:
        if not self._moving and (at - self.start).manhattanLength() < SLACK:
            return
        if not self._moving:
            self._moving = True
            self.canvas.hands.take_up()  # says why nothing moves that is held in place
        a, b = self.canvas.viewing.to_plate(self.start), self.canvas.viewing.to_plate(at)
        dx, dy = b.x() - a.x(), b.y() - a.y()
        if modifiers & Modifiers.ShiftModifier:
            dx, dy = (dx, 0.0) if abs(dx) >= abs(dy) else (0.0, dy)
        free = self._held.shifted(dx, dy)
        snapped = Snapped(free) if modifiers & Modifiers.AltModifier else self.canvas.snapped(free)
        self.canvas.take_draft(snapped.draft, snapped.marks)

    def release(self, at: QPointF, modifiers: Modifiers) -> None:  # noqa: ARG002
        # Let go over the row of passes: it is laid in that pass instead.
        if self._moving and self.canvas.carry_off(at):
            return
        if self._moving:
            self.canvas.hands.place(self.canvas.draft.dies, self.canvas.draft.scraps, "Move")
        elif self._alone is not None:
            self.canvas.selection.pick(*self._alone)


class Turn(Gesture):
    """Turn what is picked about its middle."""

    def __init__(self, canvas: Canvas, start: QPointF) -> None:
        super().__init__(canvas, start)
        around = picked_box(canvas)
        assert around is not None
        self._middle = around.center()
        self._held = canvas.in_hand()
        self._moving = False
        _prepare(canvas, self._held)

    def move(self, at: QPointF, modifiers: Modifiers) -> None:
        if not self._moving:
            self._moving = True
            self.canvas.hands.take_up()
        degrees = self._angle(at) - self._angle(self.start)
        if modifiers & Modifiers.ShiftModifier:
            degrees = round(degrees / TURN_STEP) * TURN_STEP
        middle = self.canvas.viewing.to_plate(self._middle)
        self.canvas.take_draft(self._held.turned(degrees, (middle.x(), middle.y())))

    def release(self, at: QPointF, modifiers: Modifiers) -> None:  # noqa: ARG002
        if self._moving:
            self.canvas.hands.place(self.canvas.draft.dies, self.canvas.draft.scraps, "Turn")

    def _angle(self, at: QPointF) -> float:
        up = math.degrees(math.atan2(self._middle.y() - at.y(), at.x() - self._middle.x()))
        return -up if self.canvas.viewing.mirrored else up


class PullBox(Gesture):
    """Pick all dies that a box touches; a mere click picks nothing."""

    def __init__(self, canvas: Canvas, start: QPointF, keep: frozenset[int]) -> None:
        super().__init__(canvas, start)
        self._keep = keep

    def move(self, at: QPointF, modifiers: Modifiers) -> None:  # noqa: ARG002
        self.box = QRectF(self.start, at).normalized()
        plate = self.canvas.viewing.transform.inverted()[0].mapRect(self.box)
        inside = {d.index for d in self.canvas.scene.dies if d.solid.intersects(plate)}
        self.canvas.selection.pick(dies=self._keep | inside)
        self.canvas.update()

    def release(self, at: QPointF, modifiers: Modifiers) -> None:  # noqa: ARG002
        if self.box is None:
            self.canvas.selection.pick(dies=self._keep)
        self.canvas.update()


class GestureMaker:
    """Chooses the gesture for a press, and answers keys."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas = canvas

    def press(self, event: QMouseEvent) -> Gesture | None:
        """Return the gesture that a press begins, having picked what lies under it."""
        at = event.position()
        if event.button() == Qt.MouseButton.MiddleButton:
            return Pan(self.canvas, at)
        if event.button() == Qt.MouseButton.RightButton:
            self._pick_for_menu(at)
            return None
        if event.button() != Qt.MouseButton.LeftButton:
            return None
        if self._on_handle(at):
            return Turn(self.canvas, at)
        return self._press_thing(at, bool(event.modifiers() & (Modifiers.ControlModifier | Modifiers.ShiftModifier)))

    def cursor_at(self, at: QPointF) -> Qt.CursorShape:
        """Return the cursor that tells what a press would do here."""
        if self._on_handle(at):
            return Qt.CursorShape.CrossCursor
        plate = self.canvas.viewing.to_plate(at)
        over = self.canvas.scene.die_at(plate) is not None or self.canvas.scene.scrap_at(plate) is not None
        return Qt.CursorShape.OpenHandCursor if over else Qt.CursorShape.ArrowCursor

    def key(self, event: QKeyEvent) -> bool:
        """Answer a key; False when it is none of ours."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape:
            return self._escape()
        if key == Qt.Key.Key_C and self.canvas.gesture is not None:
            self.canvas.lay_clear()
            return True
        if key in ARROWS:
            self._arrow(ARROWS[key], event.modifiers())
            return True
        if key in (Qt.Key.Key_BracketLeft, Qt.Key.Key_BracketRight) and not self.canvas.selection.empty:
            self.canvas.hands.turn(1.0 if key == Qt.Key.Key_BracketLeft else -1.0)
            return True
        return False

    def _escape(self) -> bool:
        if self.canvas.gesture is not None:
            self.canvas.drop_gesture()
            return True
        if not self.canvas.selection.empty:
            self.canvas.selection.pick()
            return True
        return False

    def _arrow(self, way: tuple[int, int], modifiers: Modifiers) -> None:
        if self.canvas.selection.empty:
            self.canvas.push_view(-way[0] * PAN_STEP, way[1] * PAN_STEP)
            return
        across = -way[0] if self.canvas.viewing.mirrored else way[0]
        fine = bool(modifiers & (Modifiers.ShiftModifier | Modifiers.AltModifier))
        self.canvas.hands.nudge(across, way[1], fine=fine)

    def _on_handle(self, at: QPointF) -> bool:
        middle = handle_at(self.canvas)
        return middle is not None and (at - middle).manhattanLength() < HANDLE * 2

    def _press_thing(self, at: QPointF, more: bool) -> Gesture:
        canvas, picked = self.canvas, self.canvas.selection
        plate = canvas.viewing.to_plate(at)
        die, scrap = canvas.scene.die_at(plate), canvas.scene.scrap_at(plate)
        if die is not None:
            alone = frozenset({die.index})
            if more:
                picked.pick(dies=picked.dies ^ alone, scraps=picked.scraps)
            elif die.index not in picked.dies:
                picked.pick(dies=alone)
            return Move(canvas, at, None if more else (alone, frozenset()))
        if scrap is not None and not more:
            alone = frozenset({scrap.index})
            if scrap.index not in picked.scraps:
                picked.pick(scraps=alone)
            return Move(canvas, at, (frozenset(), alone))
        return PullBox(canvas, at, picked.dies if more else frozenset())

    def _pick_for_menu(self, at: QPointF) -> None:
        plate = self.canvas.viewing.to_plate(at)
        die, scrap = self.canvas.scene.die_at(plate), self.canvas.scene.scrap_at(plate)
        if die is not None and die.index not in self.canvas.selection.dies:
            self.canvas.selection.pick(dies=frozenset({die.index}))
        elif die is None and scrap is not None and scrap.index not in self.canvas.selection.scraps:
            self.canvas.selection.pick(scraps=frozenset({scrap.index}))
