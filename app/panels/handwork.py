"""Hand work ticked as done: punched pieces, panels cut by hand, turns with embossing folders."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QLabel, QListWidget, QListWidgetItem, QPushButton, QVBoxLayout

from app.document.state import State
from app.look.tokens import ROOM, SPACE
from app.panels.beside import show_beside
from app.panels.words import count, piece_name
from layout.geometry.value import replace
from layout.model.embossing import Turn, folders, turns
from layout.model.project import Project

if TYPE_CHECKING:
    from app.window import Window

EMBOSSED = "embossed"  # where a project notes the turns that are done
HELP = "Tick what is done, by a click or by Space; a tick taken off gives the paper back."
NOTHING = "The plan has nothing to be done by hand."


@dataclass(frozen=True, slots=True)
class Job:
    """One line: what is to be done, and where the plan or the project has it."""

    words: str
    done: bool
    kind: str  # punched, panels, turn, or record for what is done already
    at: int
    record: str = ""


def jobs(project: Project, plan: Any) -> list[Job]:
    """Return the hand work of a plan, what is done last."""
    return [*_to_do(project, plan), *_turns(project, plan), *_done(project)]


def _to_do(project: Project, plan: Any) -> Iterator[Job]:
    for kind, entries in (("punched", plan.punched), ("panels", plan.panels)):
        for at, entry in enumerate(entries):
            yield Job(_words(project, entry), False, kind, at)


def _done(project: Project) -> Iterator[Job]:
    for run in project.done.runs:
        entry = run.punched or run.panel
        if entry is not None:
            yield Job(_words(project, entry, run.taken[0].scrap), True, "record", 0, run.id)


def _words(project: Project, entry: Any, scrap: Any = None) -> str:
    wanted = next((w for w in project.wanted if w.id == entry.wanted), None)
    name = piece_name(project, wanted) if wanted is not None else entry.wanted
    sheet = scrap or next((s for s in project.scraps if s.id == entry.scrap), None)
    from_where = str(sheet.extra.get("name") or sheet.id) if sheet is not None else entry.scrap
    return f"{'Punch' if hasattr(entry, 'punch') else 'Cut'} {name} from {from_where}"


def _turns(project: Project, plan: Any) -> Iterator[Job]:
    names = {f.id: f.name for f in folders(project)}
    done = turns_done(project)
    for at, turn in enumerate(turns(plan)):
        words = f"Emboss {count(len(turn.pieces), 'piece')} in {names.get(turn.folder, turn.folder)}"
        yield Job(words, mark_of(turn) in done, "turn", at)


def turns_done(project: Project) -> tuple[str, ...]:
    """Return the marks of the turns that are done; a turn planned otherwise is another one."""
    noted = project.extra.get(EMBOSSED)
    return tuple(m for m in noted if isinstance(m, str)) if isinstance(noted, list | tuple) else ()


def mark_of(turn: Turn) -> str:
    """Return what tells a turn from every other: its folder, and what lies where in it."""
    places = "; ".join(f"{p.wanted} {p.pose.x:.2f} {p.pose.y:.2f} {p.pose.turn:.2f}" for p in turn.pieces)
    return f"{turn.folder}: {places}"


class HandWorkDialog(QDialog):
    """A list with boxes; each tick is one undo step."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("By hand")
        self._window = window
        self.told, self.list = QLabel(), QListWidget()
        self.all = QPushButton("Tick what is picked")
        self._jobs: list[Job] = []
        self._lay_out()
        self.refresh()
        self.list.itemChanged.connect(self._changed)
        self.all.clicked.connect(self.tick_picked)
        document = window.document
        for signal in (document.plan_changed, document.project_changed, document.replaced):
            signal.connect(self.refresh)

    def refresh(self) -> None:
        """Read the document again, staying on the line one is on."""
        document = self._window.document
        row = self.list.currentRow()
        self._jobs = jobs(document.project, document.plan)
        self.list.blockSignals(True)
        self.list.clear()
        for job in self._jobs:
            item = QListWidgetItem(job.words, self.list)
            item.setCheckState(Qt.CheckState.Checked if job.done else Qt.CheckState.Unchecked)
        self.list.setCurrentRow(min(max(row, 0), len(self._jobs) - 1))
        self.list.blockSignals(False)
        left = sum(not job.done for job in self._jobs)
        self.told.setText(f"{left} of {len(self._jobs)} left. {HELP}" if self._jobs else NOTHING)
        self.all.setEnabled(bool(left))

    def tick_picked(self) -> None:
        """Tick everything that is picked and not done yet, as one undo step."""
        rows = sorted({index.row() for index in self.list.selectedIndexes()}, reverse=True)
        picked = [self._jobs[row] for row in rows if not self._jobs[row].done]
        undo = self._window.document.undo
        undo.beginMacro(f"Tick on {count(len(picked), 'piece')} of hand work")
        try:
            for job in picked:  # from the last on, so that the places of the others stay
                self._turn(job)
        finally:
            undo.endMacro()

    def _changed(self, item: QListWidgetItem) -> None:
        self._turn(self._jobs[self.list.row(item)])
        self.refresh()

    def _turn(self, job: Job) -> None:
        """Tick a line off, or take its tick back."""
        marking = self._window.marking
        if job.kind == "record":
            marking.unmark(job.record)
        elif job.kind == "turn":
            self._turn_embossing(job)
        else:
            marking.mark_hand(job.kind, job.at)

    def _turn_embossing(self, job: Job) -> None:
        document = self._window.document
        mark, noted = mark_of(turns(document.plan)[job.at]), turns_done(document.project)
        kept = tuple(m for m in noted if m != mark) if job.done else (*noted, mark)
        extra = {**document.project.extra, EMBOSSED: list(kept)}
        document.change("Tick on embossing", State(replace(document.project, extra=extra), document.plan))

    def _lay_out(self) -> None:
        self.list.setAccessibleName("Work by hand")
        self.list.setSelectionMode(QListWidget.SelectionMode.ExtendedSelection)
        self.told.setWordWrap(True)
        self.told.setProperty("tone", "quiet")
        self.all.setAutoDefault(False)
        box = QVBoxLayout(self)
        box.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        box.setSpacing(SPACE)
        box.addWidget(self.told)
        box.addWidget(self.list, 1)
        box.addWidget(self.all)


def open_hand_work(window: Window) -> HandWorkDialog:
    """Show the hand work beside the window."""
    shown = HandWorkDialog(window)
    show_beside(shown, window, 520, 460)
    shown.list.setFocus()
    return shown
