"""Hand work ticked as done: punched pieces, panels cut by hand, turns with embossing folders."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QLabel, QListWidget, QListWidgetItem, QPushButton, QVBoxLayout

from app.document.state import State
from app.look.flowing import Flow
from app.look.tokens import ROOM, SPACE
from app.panels.beside import show_beside
from app.panels.words import count, piece_name
from layout.geometry.value import replace
from layout.model.embossing import Turn, folders, turns
from layout.model.project import Project, Scrap

if TYPE_CHECKING:
    from app.window import Window

EMBOSSED = "embossed"  # where a project notes the turns that are done
HELP = "Tick what is done, by a click or by Space; a tick taken off gives the paper back."
NOTHING = "The plan has nothing to be done by hand."


@dataclass(frozen=True, slots=True)
class Job:
    """One thing to do, and where the plan or the project has it."""

    words: str
    done: bool
    kind: str  # punched, panels, turn, or record for what is done already
    at: int
    record: str = ""


def jobs(project: Project, plan: Any) -> list[Job]:
    """Return the hand work of a plan, what is done last."""
    return [*_to_do(project, plan), *_turns(project, plan), *_done(project)]


def gathered(found: list[Job]) -> list[tuple[Job, ...]]:
    """Return the jobs line by line: what reads alike and is as far done shares one line, where its first stood."""
    lines: dict[tuple[str, bool], list[Job]] = {}
    for job in found:
        lines.setdefault((job.words, job.done), []).append(job)
    return [tuple(line) for line in lines.values()]


def _told(line: tuple[Job, ...]) -> str:
    return f"{line[0].words}, {len(line)} times" if len(line) > 1 else line[0].words


def _to_do(project: Project, plan: Any) -> Iterator[Job]:
    for kind, entries in (("punched", plan.punched), ("panels", plan.panels)):
        for at, entry in enumerate(entries):
            yield Job(_words(project, entry), False, kind, at)


def _done(project: Project) -> Iterator[Job]:
    """Give what is done, by the sheet that it first came from: what a sheet leaves has another name at every tick."""
    first: dict[str, Scrap] = {}
    for at, run in enumerate(project.done.runs):
        came = [first.get(taken.scrap.id, taken.scrap) for taken in run.taken]
        first.update((left.scrap.id, came[left.of]) for left in run.left)
        entry = run.punched or run.panel
        if entry is not None:
            yield Job(_words(project, entry, came[0]), True, "record", at, run.id)


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
        self._window, self._turning = window, False
        self.told, self.list = QLabel(), QListWidget()
        self.all, self.one = QPushButton("Tick what is picked"), QPushButton()
        self._lines: list[tuple[Job, ...]] = []
        self._lay_out()
        self.refresh()
        self.list.itemChanged.connect(self._changed)
        self.list.itemSelectionChanged.connect(self._offer)
        self.list.currentRowChanged.connect(self._offer)
        self.all.clicked.connect(self.tick_picked)
        self.one.clicked.connect(self.turn_one)
        document = window.document
        for signal in (document.plan_changed, document.project_changed, document.replaced):
            signal.connect(self._changed_elsewhere)

    def refresh(self) -> None:
        """Read the document again, staying on the line one is on."""
        document = self._window.document
        row = self.list.currentRow()
        found = jobs(document.project, document.plan)
        self._lines = gathered(found)
        self.list.blockSignals(True)
        self.list.clear()
        for line in self._lines:
            item = QListWidgetItem(_told(line), self.list)
            item.setCheckState(Qt.CheckState.Checked if line[0].done else Qt.CheckState.Unchecked)
        self.list.setCurrentRow(min(max(row, 0), len(self._lines) - 1))
        self.list.blockSignals(False)
        left = sum(not job.done for job in found)
        self.told.setText(f"{left} of {len(found)} left. {HELP}" if found else NOTHING)
        self._offer()

    def tick_picked(self) -> None:
        """Tick everything that is picked and not done yet, as one undo step."""
        rows = sorted({index.row() for index in self.list.selectedIndexes()})
        self._turn_all([job for row in rows for job in self._lines[row] if not job.done])

    def turn_one(self) -> None:
        """Tick one of the alike things of the line one is on, or take back one tick."""
        self._turn_all([self._lines[self.list.currentRow()][-1]])

    def _offer(self) -> None:
        row = self.list.currentRow()
        line = self._lines[row] if 0 <= row < len(self._lines) else ()
        self.one.setText("Take back one" if line and line[0].done else "Tick one of them")
        self.one.setEnabled(len(line) > 1)
        self.all.setEnabled(any(not self._lines[index.row()][0].done for index in self.list.selectedIndexes()))

    def _changed(self, item: QListWidgetItem) -> None:
        self._turn_all(list(self._lines[self.list.row(item)]))

    def _changed_elsewhere(self) -> None:
        if not self._turning:
            self.refresh()

    def _turn_all(self, picked: list[Job]) -> None:
        """Tick these, or take their ticks back, as one undo step."""
        if not picked:
            return
        self._turning = True
        undo = self._window.document.undo
        undo.beginMacro(f"Tick on {count(len(picked), 'piece')} of hand work")
        try:
            for job in sorted(picked, key=lambda job: -job.at):  # from the last on: the places of the others stay
                self._turn(job)
        finally:
            undo.endMacro()
            self._turning = False
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
        for button in (self.all, self.one):
            button.setAutoDefault(False)
        box = QVBoxLayout(self)
        box.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        box.setSpacing(SPACE)
        box.addWidget(self.told)
        box.addWidget(self.list, 1)
        buttons = Flow(gap=SPACE)
        buttons.addWidget(self.all)
        buttons.addWidget(self.one)
        box.addLayout(buttons)


def open_hand_work(window: Window) -> HandWorkDialog:
    """Show the hand work beside the window."""
    shown = HandWorkDialog(window)
    show_beside(shown, window, 520, 460)
    shown.list.setFocus()
    return shown
