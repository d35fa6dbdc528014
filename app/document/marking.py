"""Passes ticked off: the scraps lose what was cut, the surplus goes to the tin. Each mark is one undo step."""

from __future__ import annotations

from typing import Literal

from PySide6.QtCore import QObject, Signal

from app.document.document import Document
from app.document.state import State
from layout.model.errors import PlatefulError
from layout.model.project import Done

FROM_TIN = "from_tin"  # where a project notes what it took ready out of the tin


class Marking(QObject):
    """Marks passes as done or not done; what broke the rule of the workshop is refused in a sentence."""

    refused = Signal(str)
    done = Signal(object)  # the DoneRun just made
    changed = Signal(object, object)  # the project before and after: what is done is another than before

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._before = document.project
        self.worth_keeping = 25.0
        document.project_changed.connect(self._compare)
        document.replaced.connect(self._start_again)

    def mark(self, layout: int, run: int) -> None:
        """Tick a pass of the plan off."""
        from layout.workshop.marking import mark_run_done

        project, plan = self._document.project, self._document.plan
        if layout >= len(plan.layouts) or run >= len(plan.layouts[layout].runs):
            self.refused.emit("There is no pass to tick off yet: press Plan first.")
            return
        name = plan.layouts[layout].id
        try:
            after = mark_run_done(project, plan, name, run, self.worth_keeping)
        except PlatefulError as error:
            self.refused.emit(str(error))
            return
        self._document.change(f"Tick on pass {name} {run + 1}", State(after.project, after.plan))
        self.done.emit(after.record)

    def mark_hand(self, kind: Literal["punched", "panels"], index: int) -> bool:
        """Tick a punched piece or a blank of the plan off; False where that was refused."""
        from layout.workshop.marking import mark_hand_done

        project, plan = self._document.project, self._document.plan
        try:
            after = mark_hand_done(project, plan, kind, index, self.worth_keeping)
        except PlatefulError as error:
            self.refused.emit(str(error))
            return False
        self._document.change("Tick on hand work", State(after.project, after.plan))
        return True

    def unmark(self, record: str) -> None:
        """Take a tick back: the scraps are whole again, the pass is in the plan again."""
        from layout.workshop.marking import mark_undone

        try:
            after = mark_undone(self._document.project, self._document.plan, record)
        except PlatefulError as error:
            self.refused.emit(str(error))
            return
        self._document.change("Taking a tick back", State(after.project, after.plan))

    def unmark_last(self) -> None:
        """Take the newest tick back."""
        runs = _done(self._document).runs
        if runs:
            self.unmark(runs[-1].id)
        else:
            self.refused.emit("No pass is done yet.")

    def _compare(self) -> None:
        before, self._before = self._before, self._document.project
        if before.done != self._before.done or before.extra.get(FROM_TIN) != self._before.extra.get(FROM_TIN):
            self.changed.emit(before, self._before)

    def _start_again(self) -> None:
        self._before = self._document.project


def _done(document: Document) -> Done:
    return document.project.done
