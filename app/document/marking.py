"""Passes ticked off: the scraps lose what was cut, the surplus goes to the tin. Each mark is one undo step."""

from __future__ import annotations

from typing import Literal

from PySide6.QtCore import QObject, Signal

from app.document.document import Document
from app.document.owed import FROM_TIN, Owed, owed_between
from app.document.state import State
from layout.model.done import DoneRun
from layout.model.errors import PlatefulError
from layout.model.project import Done, Project


class Marking(QObject):
    """Marks passes as done or not done; what broke the rule of the workshop is refused in a sentence."""

    refused = Signal(str)
    done = Signal(object)  # the DoneRun just made
    changed = Signal(object, object)  # what the workshop heard of last, and the project: more is done, or less
    heard = Signal()  # by the workshop

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._heard, self._name = document.project, ""
        self.binding = True  # whether what the drawer does not allow is gone back on
        self.worth_keeping = 25.0
        document.project_changed.connect(self.tell)
        document.replaced.connect(self._start_again)

    def mark(self, layout: int, run: int) -> None:
        """Tick a pass of the plan off."""
        from layout.workshop.marking import mark_run_done

        project, plan = self.named(), self._document.plan
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
        if self._stands(after.record):
            self.done.emit(after.record)

    def mark_hand(self, kind: Literal["punched", "panels"], index: int) -> bool:
        """Tick a punched piece or a blank of the plan off; False where that was refused."""
        from layout.workshop.marking import mark_hand_done

        project, plan = self.named(), self._document.plan
        try:
            after = mark_hand_done(project, plan, kind, index, self.worth_keeping)
        except PlatefulError as error:
            self.refused.emit(str(error))
            return False
        self._document.change("Tick on hand work", State(after.project, after.plan))
        return self._stands(after.record)

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

    # ---- the workshop --------------------------------------------------------------------------------------------

    def tell(self) -> None:
        """Tell what the workshop has not heard of yet, where there is something."""
        if self._is_behind():
            self.changed.emit(self._heard, self._document.project)

    def take_as_heard(self, project: Project) -> None:
        """Note what the workshop knows now of the present project."""
        self.expect(project)
        self.heard.emit()

    def expect(self, project: Project) -> None:
        """Note what the workshop knows already of the project that the document goes on to next."""
        self._heard, self._name = project, project.done.project or self._name

    def owed(self) -> Owed | None:
        """Return what the workshop has not heard of yet."""
        return owed_between(self._heard, self._document.project) if self._is_behind() else None

    def named(self) -> Project:
        """Return the project with the lasting id by which the workshop knows it; undoing does not change that."""
        from layout.workshop.things import named

        project = named(self._document.project, self._name)
        self._name = project.done.project
        return project

    def _is_behind(self) -> bool:
        heard, now = self._heard, self._document.project
        return heard.done != now.done or heard.extra.get(FROM_TIN) != now.extra.get(FROM_TIN)

    def _start_again(self) -> None:
        self._heard, self._name = self._document.project, ""

    def _stands(self, record: DoneRun) -> bool:
        """Whether a tick was not refused."""
        return any(run.id == record.id for run in self._document.project.done.runs)


def _done(document: Document) -> Done:
    return document.project.done
