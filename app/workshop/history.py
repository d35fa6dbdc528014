"""What happened in the workshop: what was cut when, from which sheets, for which project; searched, and taken back."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import (
    QAbstractItemView,
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
)

from app.look.tokens import ROOM, SPACE
from app.messages.bar import MessageBar
from app.messages.channel import Messages
from app.panels.beside import show_beside
from app.panels.words import count
from app.workshop.deeds import Deeds

if TYPE_CHECKING:
    from app.window import Window
    from layout.workshop import Happening

MOST = 500
PAUSE_MS = 120
HEADS = ("When", "What", "Sheet or thing", "Project")
WHAT = {
    "done": "Cut",
    "undone": "Cut taken back",
    "put": "Put in or changed",
    "left": "Left over",
    "spare": "Surplus put into the tin",
    "removed": "Removed",
}
OF_A_PASS = "This came of a pass; take the pass itself back."
EMPTY = "Nothing has happened yet. Each pass ticked off and each change of the workshop is written down here."


class HistoryDialog(QDialog):
    """Lists the newest first; says beside the button why something cannot be taken back here."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("History")
        self._window = window
        self.messages = Messages(self)
        self.bar = MessageBar(self.messages)
        self.deeds = Deeds(window.keeper, window.document, self.messages)
        self.search, self.told = QLineEdit(), QLabel()
        self.table = QTableWidget(0, len(HEADS))
        self.back = QPushButton("Take back")
        self.happenings: list[Happening] = []
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self.refresh)
        self._lay_out()
        self._listen()
        self.set_look()
        self.refresh()

    def set_look(self) -> None:
        """Take the present look and text size."""
        from app.look.theme import look_for

        self.bar.set_look(look_for(self._window.settings))
        self.table.verticalHeader().setDefaultSectionSize(round(28 * self._window.settings.text_scale))

    def refresh(self) -> None:
        """Read what happened again, staying where one is."""
        self._pause.stop()
        picked, search = self.picked, self.search.text().strip()
        self.happenings = self.deeds.ask(lambda store: store.happened(search, MOST)) or []
        self.table.setRowCount(len(self.happenings))
        for row, happening in enumerate(self.happenings):
            for column, text in enumerate(cells(happening)):
                item = QTableWidgetItem(text)
                item.setToolTip(text)
                self.table.setItem(row, column, item)
        again = [h.entry.number for h in self.happenings]
        at = again.index(picked.entry.number) if picked and picked.entry.number in again else 0
        self.table.setCurrentCell(at, 0)
        self._say_picked()

    @property
    def picked(self) -> Happening | None:
        """What is looked at."""
        row = self.table.currentRow()
        return self.happenings[row] if 0 <= row < len(self.happenings) else None

    def take_back(self) -> None:
        """Take what is looked at back, where that is possible."""
        happening = self.picked
        if happening is None or self._hindrance(happening):
            return
        if happening.entry.record:
            self._window.marking.unmark(happening.entry.record)
            self.messages.news("The tick is taken back; the sheets are whole again.")
        elif self.deeds.tell(lambda store: store.walk_back(happening.entry.number)):
            self.messages.news(f"{happening.name or 'It'} is as it was before.")
        self.refresh()

    # ---- inside -------------------------------------------------------------------------------------------------

    def _hindrance(self, happening: Happening) -> str:
        """Say why something cannot be taken back here; empty where it can."""
        entry = happening.entry
        if entry.undone:
            return "This is taken back already."
        if entry.what == "done":
            here = {run.id for run in self._window.document.project.done.runs}
            asked = f"This pass was cut for {entry.project or 'another project'}; open that project to take it back."
            return "" if entry.record in here else asked
        if entry.what in ("left", "spare"):
            return OF_A_PASS
        if entry.what not in ("put", "removed"):
            return "Undo this in its project."
        return "It was changed again since; take the newer change back first." if happening.newer else ""

    def _say_picked(self) -> None:
        happening = self.picked
        why = self._hindrance(happening) if happening else ""
        self.back.setEnabled(happening is not None and not why)
        search = self.search.text().strip()
        nothing = f"Nothing of that name happened: “{search}”." if search else EMPTY
        many = f"The newest {MOST}; search for older ones. " if len(self.happenings) >= MOST else ""
        self.told.setText(many + why if happening else nothing)

    def _listen(self) -> None:
        self.search.textChanged.connect(lambda _: self._pause.start())
        self.search.returnPressed.connect(self.refresh)
        self.table.currentCellChanged.connect(lambda *_: self._say_picked())
        self.back.clicked.connect(self.take_back)
        self._window.settings.look_changed.connect(self.set_look)
        self._window.marking.changed.connect(lambda *_: self._pause.start())

    def _lay_out(self) -> None:
        self.search.setAccessibleName("Search the history")
        self.search.setPlaceholderText("Search by sheet, thing, project, day, or “cut”")
        self.search.setClearButtonEnabled(True)
        self.told.setWordWrap(True)
        self.told.setProperty("tone", "quiet")
        self.back.setAutoDefault(False)
        _dress(self.table)
        row = QHBoxLayout()
        row.addWidget(self.told, 1)
        row.addWidget(self.back)
        box = QVBoxLayout()
        box.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
        box.setSpacing(SPACE)
        box.addWidget(self.search)
        box.addWidget(self.table, 1)
        box.addLayout(row)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self.bar)
        outer.addLayout(box, 1)


def cells(happening: Happening) -> tuple[str, str, str, str]:
    """Return an entry as cells under HEADS."""
    entry = happening.entry
    what = WHAT.get(entry.what, entry.what[:1].upper() + entry.what[1:])
    if entry.what == "left" and happening.source:
        what = happening.source[:1].upper() + happening.source[1:]
    if entry.what == "done":
        what += f" {count(happening.pieces, 'piece')}" + (f", pass {happening.layout}" if happening.layout else "")
    return moment(entry.when), what + (" (taken back)" if entry.undone else ""), happening.name, entry.project


def moment(when: str) -> str:
    """Write a moment in the time of the place."""
    try:
        return datetime.fromisoformat(when).astimezone().strftime("%Y-%m-%d %H:%M")
    except ValueError:
        return when


def open_history(window: Window) -> HistoryDialog:
    """Show the history beside the window."""
    shown = HistoryDialog(window)
    show_beside(shown, window, 780, 560)
    shown.search.setFocus()
    return shown


def _dress(table: QTableWidget) -> None:
    table.setAccessibleName("What happened")
    table.setHorizontalHeaderLabels(HEADS)
    table.verticalHeader().hide()
    table.setShowGrid(False)
    table.setTabKeyNavigation(False)
    table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
    header = table.horizontalHeader()
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    for column in range(len(HEADS)):
        header.setSectionResizeMode(column, QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(2, QHeaderView.ResizeMode.Stretch)
