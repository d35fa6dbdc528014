"""Planning as the window sees it: started, getting better, stopped; its result is one undo step."""

from __future__ import annotations

from functools import cached_property
from itertools import count
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

from app.document.document import Document
from app.document.edits import anything_held, keep_marks
from app.messages.channel import Messages
from app.planner.changes import what_changed
from layout.model.plan import Plan

if TYPE_CHECKING:
    from app.chores import Chores
    from app.planner.runner import Progress, Runner

TICK_MS = 200
READY_MS = 8000  # a planner that is silent for longer is still being made ready, as after an installation
FIRST_MERGE = 1000  # merge numbers below this belong to nudges and turns


class Planning(QObject):
    """Carries what the planner finds into the document, as long as nobody's hand is in it."""

    changed = Signal()
    ended = Signal()
    improved = Signal()  # another plan lies on the plate

    def __init__(self, document: Document, messages: Messages, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document, self._messages = document, messages
        self._numbers = count(FIRST_MERGE)
        self._merge = FIRST_MERGE
        self._name = "Plan"
        self._words = ""
        self._held: Plan | None = None
        self._before = Plan()  # what lay there when planning began
        self._found_nothing = self._improved = False
        self.chores: Chores | None = None  # where the planner is asked and heard a little at a time
        self._clock = QElapsedTimer()
        self._tick = QTimer(self)
        self._tick.setInterval(TICK_MS)
        self._tick.timeout.connect(self.changed)
        document.replaced.connect(self.drop)
        document.project_changed.connect(self._project_changed)

    @cached_property
    def runner(self) -> Runner:
        """The process that plans; made with the first plan."""
        from app.planner.runner import Runner

        runner = Runner(self)
        runner.better.connect(self._better)
        runner.failed.connect(self._failed)
        runner.finished.connect(self._finished)
        return runner

    @property
    def running(self) -> bool:
        """Whether a planner is at work."""
        return "runner" in self.__dict__ and self.runner.running

    @property
    def share(self) -> float:
        """How much of its time the planner has used, 0 to 1."""
        return min(1.0, self._clock.elapsed() / 1000 / self.runner.seconds) if self.running else 0.0

    @property
    def words(self) -> str:
        """How planning goes, in words."""
        if self.running and self._found_nothing and self._clock.elapsed() > READY_MS:
            return "Getting ready: the first plan of all takes about a minute…"
        return self._words

    def start(self, *, hold: bool = False) -> None:
        """Plan the project, from nothing or round what is held in place; what is held is never planned away."""
        hold = hold or anything_held(self._document.plan)
        held = self._document.plan if hold else None
        self._held, self._before = held, self._document.plan
        self._merge, self._name = next(self._numbers), "Plan of the rest" if hold else "Plan"
        self._words = "Looking for the fewest passes…"
        self._messages.clear()
        self._found_nothing, self._improved = True, False
        self._clock.start()
        self._tick.start()
        self.runner.chores = self.chores
        self.runner.start(self._document.project, held)
        self.changed.emit()

    def stop(self) -> None:
        """Stop and keep the best."""
        if self.running:
            self.runner.stop()

    def drop(self) -> None:
        """End the planner and hear nothing more of it."""
        if self.running:
            self._found_nothing = self._improved = False
            self.runner.drop()
            self._finished()

    def leave_to_hand(self) -> None:
        """A hand has changed the plate: what the planner finds from now on would undo that."""
        if self.running:
            self.drop()
            self._messages.news("Planning stopped, because you changed the plate. Plan the rest with Shift+F5.")

    def _project_changed(self) -> None:
        if self.running:
            self.drop()
            self._messages.news("Planning stopped, because the project changed. Plan again with F5.")

    def _better(self, progress: Progress) -> None:
        passes = progress.plan.passes
        best = f"best so far: {passes} {'pass' if passes == 1 else 'passes'}"
        self._words = best + (f", {progress.missing} missing" if progress.missing else "")
        self._found_nothing = False
        plan = progress.plan if self._held is None else keep_marks(self._held, progress.plan)
        self._document.change_plan(self._name, plan, merge=self._merge)
        self._improved = True
        self.improved.emit()
        self.changed.emit()

    def _failed(self, why: str) -> None:
        self._found_nothing = self._improved = False
        self._messages.fault(why)

    def _finished(self) -> None:
        self._tick.stop()
        changed = what_changed(self._before, self._document.plan)
        if self._improved and changed:
            self._messages.step(changed, "Undo it", self._document.undo)
        if self._found_nothing:
            self._messages.news("Planning ended before a plan was found. Press Plan and let it look a little longer.")
        self._found_nothing = self._improved = False
        self._words = ""
        self.changed.emit()
        self.ended.emit()
