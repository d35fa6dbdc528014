"""Passes ticked off: the scraps lose what was cut, the surplus goes to the tin. Each mark is one undo step."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.document.document import Document
from app.document.state import State
from layout.model.errors import PlatefulError
from layout.model.project import Done


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
        if before.done != self._before.done:
            self.changed.emit(before, self._before)

    def _start_again(self) -> None:
        self._before = self._document.project


def _done(document: Document) -> Done:
    return document.project.done
