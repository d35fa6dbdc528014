"""Under the rollers: how much blade is pressed where, what would take the peak off, and how the pass went."""

from __future__ import annotations

import json
from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.guide.ink import Ink
from app.guide.job import Job
from app.guide.marks import CUT_DASH
from app.guide.pictures import Scaled
from app.guide.rollercurve import highest, paint_curve, profile_of
from app.guide.sheet import A4, Box
from app.guide.ticks import picture
from app.look.scrolling import grown, scrolled
from app.look.tokens import ROOM, SPACE
from app.panels.easing import Asking, easer_of
from layout.geometry.outline import Outline
from layout.model.plan import Layout
from layout.rules.easing import Advice, follow
from layout.rules.effort import HOWS, How, Limit, Mark, learnt

if TYPE_CHECKING:
    from app.settings import Settings
    from app.window import Window

WIDE, HIGH, CURVE = 60.0, 90.0, 34.0
"""The drawing in its own units: the plate's box, and the width of the curve beside it."""
MARKS = "rollers/marks"
MOST_MARKS = 200
WENT: dict[How, str] = {"easy": "Went easily", "hard": "Went hard", "stalled": "Stalled"}


class RollerPicture(QWidget):
    """The plate of a pass, its curve along it, and where an advised die would lie."""

    def __init__(self) -> None:
        super().__init__()
        self._job: Job | None = None
        self._layout: Layout | None = None
        self._place = 0
        self._ghosts: list[Outline] = []
        self.setMinimumSize(QSize(320, 300))
        self.setAccessibleName("Blade under the rollers along the plate")

    def show_pass(self, job: Job, layout: Layout, place: int, ghosts: list[Outline]) -> None:
        """Draw another pass; `ghosts` are borders of dies where they are advised to lie."""
        self._job, self._layout, self._place, self._ghosts = job, layout, place, ghosts
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        """Paint on white, like the guide's page."""
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor(255, 255, 255))
        if self._job is not None and self._layout is not None:
            unit = min(self.width() / (WIDE + CURVE + 4), self.height() / HIGH)
            painter.scale(unit, unit)
            self._draw(Ink(painter), self._job, self._layout)
        painter.end()

    def _draw(self, ink: Ink, job: Job, layout: Layout) -> None:
        box = Box(0, 0, WIDE, HIGH)
        picture(job, layout, self._place).paint(ink, box)
        machine = job.project.machine
        scaled = Scaled.fit((0, 0, machine.bed_width, machine.bed_length), box.less(2, 2, 2, 2), 0.5, job.blades_up)
        top, bottom = scaled.point((0, machine.bed_length))[1], scaled.point((0, 0))[1]
        beside = Box(WIDE + 1, top, CURVE, bottom - top)
        paint_curve(ink, beside, profile_of(job, layout, self._place), machine.bed_length, highest(job))
        for ghost in self._ghosts:
            ink.ring([scaled.point(p) for p in ghost.outer], 0.5, CUT_DASH)


class RollersDialog(QDialog):
    """Shows the pass that the window shows."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("Under the rollers")
        self._window = window
        self._asking: list[Asking] = []  # the last one is the one whose answer counts
        self._advice: Advice | None = None
        self.picture = RollerPicture()
        self.peak, self.limit, self.advice = QLabel(), QLabel(), QLabel()
        self.apply = QPushButton("Do it")
        self.apply.setAccessibleName("Lay things as advised")
        self.apply.clicked.connect(self.follow)
        self._lay_out()
        window.document.plan_changed.connect(self.refresh)
        window.selection.moved.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show the present pass anew, and ask for advice."""
        plan = self._window.document.plan
        if not plan.layouts or not plan.layouts[self._window.selection.layout].runs:
            self.close()
            return
        self._advice = None
        self._show()
        self._ask()

    def follow(self) -> None:
        """Lay the advised die there, as one step that can be undone."""
        if self._advice is not None:
            document = self._window.document
            document.change_plan("Easing", follow(document.plan, self._window.selection.layout, self._advice))

    def mark(self, how: How) -> None:
        """Remember how the pass went, for this machine."""
        store(self._window.settings, self._machine, Mark(self._length, how))
        self._show()

    def done(self, result: int) -> None:
        """Wait for the advice that is still being worked out, then close."""
        running, self._asking = self._asking, []
        for asking in running:
            asking.wait()
        super().done(result)

    @property
    def _machine(self) -> str:
        return self._window.document.project.machine.name

    @property
    def _length(self) -> float:
        job, layout, place = self._shown()
        return profile_of(job, layout, place).peak().length

    def _shown(self) -> tuple[Job, Layout, int]:
        document, selection = self._window.document, self._window.selection
        job = Job(document.project, document.plan, A4, self._window.canvas.viewing.mirrored, document.unit)
        return job, document.plan.layouts[selection.layout], selection.run

    def _show(self) -> None:
        job, layout, place = self._shown()
        advice = self._advice
        moved = advice.dies if advice is not None else {}
        ghosts = [pose.outline(job.dies[layout.dies[number].die].body) for number, pose in moved.items()]
        self.picture.show_pass(job, layout, place, ghosts)
        peak = profile_of(job, layout, place).peak()
        at = job.length(max(0.0, job.project.machine.bed_length - peak.at))
        self.peak.setText(
            f"At most {peak.length:.0f} mm of blade are pressed at once, {at} from the end that goes first."
        )
        self.limit.setText(known(self._window.settings, self._machine).says(peak.length))
        self.apply.setEnabled(advice is not None)

    def _ask(self) -> None:
        self.advice.setText("Looking for a die to turn or to move…")
        document = self._window.document
        asking = Asking(document.project, document.plan, self._window.selection.layout, document.unit, self)
        asking.finished.connect(partial(self._answer, asking))
        self._asking.append(asking)
        asking.start()

    def _answer(self, asking: Asking) -> None:
        if asking not in self._asking:
            return
        is_last = asking is self._asking[-1]
        self._asking.remove(asking)
        if not is_last:
            return
        self._advice = asking.advice
        if self._advice is None:
            self.advice.setText("No small turn or move of a single die would take the peak off and keep every rule.")
        else:
            self.advice.setText(f"Advice: {self._advice.what}.")
            easer_of(self._window).show(asking.plan, asking.layout, self._advice)
        self._show()

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        side.setContentsMargins(0, 0, SPACE, 0)
        side.setSpacing(SPACE)
        for label in (self.peak, self.limit, self.advice):
            label.setWordWrap(True)
            label.setMinimumWidth(240)
            side.addWidget(label)
        side.addWidget(self.apply)
        side.addStretch(1)
        side.addWidget(QLabel("After the pass:"))
        for how in HOWS:
            button = QPushButton(WENT[how])
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, how=how: self.mark(how))
            side.addWidget(button)
        row = QHBoxLayout(self)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.setSpacing(ROOM)
        row.addWidget(self.picture, 1)
        row.addWidget(scrolled(side))


def open_rollers(window: Window) -> RollersDialog | None:
    """Show what lies under the rollers in the pass that the window shows; a word why not, where there is none."""
    plan = window.document.plan
    if not plan.layouts or not plan.layouts[window.selection.layout].runs:
        window.messages.fault("There is no pass to look at yet: press Plan first.")
        return None
    dialog = RollersDialog(window)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.resize(grown(dialog, QSize(760, 520)))
    dialog.show()
    return dialog


def store(settings: Settings, machine: str, mark: Mark) -> None:
    """Keep a mark for a machine, the newest last."""
    marks = _read(settings)
    marks.setdefault(machine, []).append([round(mark.peak, 1), mark.how])
    marks[machine] = marks[machine][-MOST_MARKS:]
    settings.set_value(MARKS, json.dumps(marks))


def known(settings: Settings, machine: str) -> Limit:
    """Return what the marks of a machine teach."""
    entries = _read(settings).get(machine, [])
    return learnt(Mark(float(peak), how) for peak, how in entries if how in HOWS)


def _read(settings: Settings) -> dict[str, list[list]]:
    try:
        found = json.loads(settings.value(MARKS) or "{}")
    except ValueError:
        return {}
    return found if isinstance(found, dict) else {}
