"""The open project and its plan. Everything that changes them goes through here, as one undo step each."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoCommand, QUndoStack

from app.document.state import State
from app.document.units import unit_of
from layout.geometry.units import Unit
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.model.project import Project

NEVER_MERGES = -1


class Document(QObject):
    """Owns the state; tells who listens what changed; asks nobody."""

    project_changed = Signal()
    plan_changed = Signal()
    leaving = Signal()  # another project is about to be opened: what is unsaved of this one was kept aside
    replaced = Signal()  # another project was opened: everything is new
    title_changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._state = State()
        self._path: Path | None = None
        self._on_disk = self._state
        self._refused = self._going_back = self._backwards = False
        self.undo = QUndoStack(self)
        self.undo.indexChanged.connect(self._settle)
        self.undo.cleanChanged.connect(self.title_changed)

    @property
    def state(self) -> State:
        """The present moment."""
        return self._state

    @property
    def project(self) -> Project:
        """What is asked."""
        return self._state.project

    @property
    def plan(self) -> Plan:
        """What is answered."""
        return self._state.plan

    @property
    def path(self) -> Path | None:
        """Where the project was last read from or saved to."""
        return self._path

    @property
    def name(self) -> str:
        """What to call the project."""
        return self.project.name or (self._path.stem if self._path else "Untitled")

    @property
    def named_project(self) -> Project:
        """The project under the name that the window shows, for what is printed."""
        return replace(self.project, name=self.name)

    @property
    def unit(self) -> Unit:
        """The unit the person measures in; the project remembers it."""
        return unit_of(self.project)

    @property
    def saved(self) -> bool:
        """Whether nothing was changed since the last save."""
        return self.undo.isClean()

    @property
    def on_disk(self) -> bool:
        """Whether the file tells the present moment: unlike `saved` it is right while a step is on its way, too."""
        return self._state is self._on_disk

    def start_with(self, state: State, path: Path | None) -> None:
        """Put another project in place of this one; there is no way back from it."""
        self.leaving.emit()
        self._path = path
        self._state = self._on_disk = state
        self.undo.clear()
        self.replaced.emit()
        self.title_changed.emit()

    def saved_as(self, path: Path) -> None:
        """Note that the present state is what the file holds."""
        self._path, self._on_disk = path, self._state
        self.undo.setClean()
        self.title_changed.emit()

    def change(self, name: str, after: State, *, merge: int = NEVER_MERGES) -> None:
        """Go on to another state as one undo step; steps of the same `merge` number in a row become one."""
        if after != self._state:
            self.undo.push(_Change(name, self._state, after, self._arrive, merge))

    def change_plan(self, name: str, plan: Plan, *, merge: int = NEVER_MERGES) -> None:
        """Replace the plan as one undo step."""
        self.change(name, State(self.project, plan), merge=merge)

    def refuse(self) -> bool:
        """Let the step on its way be over, and go back to where it came from; False where that was asked already."""
        first, self._refused = not self._refused, True
        return first

    def _settle(self) -> None:
        """Go back where the step just made was refused; on the way back nothing is."""
        if self._refused and not self._going_back:
            self._going_back = True
            (self.undo.redo if self._backwards else self.undo.undo)()
            self._refused = self._going_back = False

    def _arrive(self, state: State, backwards: bool) -> None:
        self._backwards = backwards
        before, self._state = self._state, state
        if before.project is not state.project:
            self.project_changed.emit()
        if before.plan is not state.plan:
            self.plan_changed.emit()


class _Change(QUndoCommand):
    """From one state to another; states share what did not change, so keeping both costs little."""

    def __init__(
        self, name: str, before: State, after: State, arrive: Callable[[State, bool], None], merge: int = NEVER_MERGES
    ) -> None:
        super().__init__(name)
        self._before, self._after, self._arrive, self._merge = before, after, arrive, merge

    def id(self) -> int:
        return self._merge

    def mergeWith(self, other: QUndoCommand) -> bool:  # noqa: N802 (Qt's name)
        if not isinstance(other, _Change) or other.id() != self._merge:
            return False
        self._after = other._after
        self.setObsolete(self._after == self._before)
        return True

    def redo(self) -> None:
        self._arrive(self._after, False)

    def undo(self) -> None:
        self._arrive(self._before, True)
