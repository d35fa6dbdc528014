"""What is picked on the plate, in a sentence for who cannot see it: where it lies and how far from its neighbours."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtGui import QAccessible, QAccessibleAnnouncementEvent

from app.panels.words import in_passes
from layout.geometry.units import format_length

if TYPE_CHECKING:
    from PySide6.QtCore import QRectF

    from app.canvas.canvas import Canvas
    from app.canvas.scene import DieItem

PAUSE_MS = 250  # an arrow key that is held down is told once, at its end
NOTHING = "Nothing is picked. N picks the next thing, the arrow keys push it, Return types its place."


class Spoken(QObject):
    """Keeps the plate's description in step with what is picked, and announces each change."""

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self._canvas = canvas
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self.tell)
        document = canvas.document
        for signal in (canvas.selection.changed, document.plan_changed, document.replaced, canvas.faults.changed):
            signal.connect(self._pause.start)
        self.tell()

    def tell(self) -> None:
        """Say what is picked now, where that differs from what was said last."""
        words = picked_words(self._canvas)
        if words == self._canvas.accessibleDescription():
            return
        self._canvas.setAccessibleDescription(words)
        if QAccessible.isActive():
            QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self._canvas, words))


def picked_words(canvas: Canvas) -> str:
    """Return what is picked and where its middle lies; of one die how much is clear about it, and what is wrong."""
    box, selection = canvas.picked_bounds(), canvas.selection
    if box is None:
        return NOTHING
    unit, turn = canvas.document.unit, canvas.picked_turn()
    left, near = format_length(box.center().x(), unit), format_length(box.center().y(), unit)
    name = canvas.hands.naming(selection.dies, selection.scraps)
    words = f"{name}: middle {left} from the left, {near} from the near end"
    words += "" if turn is None else f", turned {turn % 360:.1f} degrees"
    words += ", held in place" if canvas.hands.all_held() else ""
    if len(selection.dies) == 1 and not selection.scraps:
        words += _clear_words(canvas, canvas.scene.dies[next(iter(selection.dies))])
    return ". ".join((words, *_wrong(canvas))) + "."


def _clear_words(canvas: Canvas, mine: DieItem) -> str:
    """Say how far the nearest other die lies, and the nearest edge of the bed."""
    unit, machine = canvas.document.unit, canvas.document.project.machine
    left, low, right, high = mine.pose.outline(mine.die.body).bounds
    edge = min(left, low, machine.bed_width - right, machine.bed_length - high)
    words = f", {format_length(max(0.0, edge), unit)} from the edge of the bed"
    gap, name = _nearest(mine, canvas.scene.dies)
    if name:
        words += f", {format_length(gap, unit)} from {name}" if gap > 0 else f", touching {name}"
    return words


def _nearest(mine: DieItem, dies: tuple[DieItem, ...]) -> tuple[float, str]:
    """Return how far the nearest other metal is, in mm, and whose; no name where there is none."""
    metal, around = mine.pose.outline(mine.die.body).polygon, mine.solid.boundingRect()
    by_box = sorted((_between(around, d.solid.boundingRect()), d.index, d) for d in dies if d is not mine)
    best = (math.inf, "")
    for least, _, die in by_box:
        if least > best[0]:
            break  # the boxes of all that follow are farther than that: nobody waits for their true outlines
        best = min(best, (die.pose.outline(die.die.body).polygon.distance(metal), die.name))
    return best


def _between(a: QRectF, b: QRectF) -> float:
    across = max(a.left() - b.right(), b.left() - a.right(), 0.0)
    return math.hypot(across, max(a.top() - b.bottom(), b.top() - a.bottom(), 0.0))


def _wrong(canvas: Canvas) -> list[str]:
    """Return what is wrong with what is picked, each once."""
    project, plan = canvas.document.project, canvas.document.plan
    places = {f"layouts[{canvas.selection.layout}].dies[{i}]" for i in canvas.selection.dies}
    found = (f for f in canvas.faults.known if places.intersection(f.things))
    return list(dict.fromkeys(in_passes(f.what, project, plan) for f in found))
