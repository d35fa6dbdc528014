"""The kits: what is done and left, what to fetch, what goes into each, how long it takes, and what else can be made."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.document.asking import ask
from app.look.tokens import ROOM, SPACE
from app.panels.kit_words import HEADS, answer_words, fetch_words, head_words, pack_words, rows, time_words
from app.panels.tables import CellError, whole
from app.planner.counting import Answer, Counting
from layout.geometry.value import replace
from layout.model.errors import FileError
from layout.planning.kits import Gap, gaps

if TYPE_CHECKING:
    from app.window import Window

LETTER, A4 = (215.9, 279.4), (210.0, 297.0)
LOOKING = "Laying pieces on the scraps, to see how many kits they give…"


class KitsDialog(QDialog):
    """Stays beside the window and follows the document."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("Kits")
        self._window = window
        self._paced_for: str | None = None  # the project for which the pace of all others was read
        self._pace: tuple[Gap, ...] = ()
        self.counting = Counting(self)
        self.counting.told.connect(self._show_answer)
        self.counting.failed.connect(self._show_failure)
        self.counting.ended.connect(self._name_button)
        self.head = QLabel()
        self.head.setProperty("rank", "large")
        self.kits = QLineEdit()
        self.kits.setAccessibleName("Kits to make")
        self.kits.editingFinished.connect(self._change_kits)
        self.table = _table(window.settings.text_scale)
        self.fetch, self.pack, self.time, self.answer = (_wrapped() for _ in range(4))
        self.answer.setAccessibleName("What can be made")
        self.ask_button = QPushButton()
        self.ask_button.setAutoDefault(False)
        self.ask_button.clicked.connect(self.ask_or_stop)
        self._lay_out()
        document = window.document
        for signal in (document.plan_changed, document.project_changed, document.replaced):
            signal.connect(self.refresh)
        self._name_button()
        self.refresh()

    def refresh(self) -> None:
        """Read the document again."""
        project, plan = self._window.document.project, self._window.document.plan
        self.head.setText(head_words(project))
        self.kits.setText(str(project.kits))
        self.fetch.setText(fetch_words(project, plan))
        self.pack.setText(pack_words(project))
        self.time.setText(time_words(project, plan, self._earlier()))
        cells = rows(project, plan)
        self.table.setRowCount(len(cells))
        for row, line in enumerate(cells):
            for column, text in enumerate(line):
                self.table.setItem(row, column, _cell(text, number=column > 0))
        if self.counting.running:
            self.counting.drop()
            self._name_button()
        self.answer.setText("")

    def _earlier(self) -> tuple[Gap, ...]:
        """Return the times between passes of other projects, read once for each project."""
        keeper, name = self._window.keeper, self._window.document.project.done.project
        if self._paced_for != name:
            runs = (keeper.ask(lambda store: store.passes_elsewhere(name)) if keeper.begun else None) or []
            self._paced_for, self._pace = name, tuple(gap for made in runs for gap in gaps(made))
        return self._pace

    def ask_or_stop(self) -> None:
        """Ask what can be made, or end the question."""
        if self.counting.running:
            self.counting.drop()
            self.answer.setText("")
        else:
            document = self._window.document
            self.answer.setText(LOOKING)
            try:
                self.counting.start(document.project, LETTER if document.unit == "in" else A4)
            except FileError as error:
                self.answer.setText(str(error))
        self._name_button()

    def done(self, result: int) -> None:
        """End a question that is still open, then close."""
        self.counting.drop()
        super().done(result)

    def _change_kits(self) -> None:
        document = self._window.document
        try:
            kits = whole(self.kits.text().strip(), "kits", 1)
        except CellError as error:
            self._window.messages.fault(str(error))
            self.kits.setText(str(document.project.kits))
            return
        if kits != document.project.kits:
            ask(document, "Change of kits", replace(document.project, kits=kits))
            self._window.messages.news(
                f"{kits} kits now. Passes that are done stay done; press Plan for the rest.",
                ("Plan", self._window.planning.start),
            )

    def _show_answer(self, answer: Answer) -> None:
        document = self._window.document
        words = answer_words(document.project, answer, document.unit)
        self.answer.setText(words if answer.final else f"{words}\n{LOOKING}")

    def _show_failure(self, why: str) -> None:
        self.answer.setText(why)

    def _name_button(self) -> None:
        self.ask_button.setText("Stop" if self.counting.running else "What can I make?")

    def _lay_out(self) -> None:
        inside = QWidget()
        box = QVBoxLayout(inside)
        box.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        box.setSpacing(SPACE)
        row = QHBoxLayout()
        label = QLabel("Kits to &make")
        label.setBuddy(self.kits)
        self.kits.setMaximumWidth(120)
        for part in (label, self.kits):
            row.addWidget(part)
        row.addStretch(1)
        box.addWidget(self.head)
        box.addLayout(row)
        box.addWidget(self.table, 1)
        for title, text in (("To fetch", self.fetch), ("In each kit", self.pack), ("Time", self.time)):
            box.addWidget(_title(title))
            box.addWidget(text)
        box.addWidget(self.ask_button, 0, Qt.AlignmentFlag.AlignLeft)
        box.addWidget(self.answer)
        scroll = QScrollArea()
        scroll.setWidget(inside)
        scroll.setAccessibleName("How the kits stand")  # the arrow keys scroll it
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scroll)


def open_kits(window: Window) -> KitsDialog:
    """Show the kits beside the window."""
    dialog = KitsDialog(window)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    scale = window.settings.text_scale
    room = window.screen().availableSize()
    dialog.resize(min(round(560 * scale), room.width() - 80), min(round(680 * scale), room.height() - 80))
    dialog.show()
    return dialog


def _table(text_scale: float) -> QTableWidget:
    table = QTableWidget(0, len(HEADS))
    table.setAccessibleName("How each piece stands")
    table.setHorizontalHeaderLabels(HEADS)
    table.verticalHeader().hide()
    table.setShowGrid(False)
    table.verticalHeader().setDefaultSectionSize(round(28 * text_scale))
    table.setMinimumHeight(round(160 * text_scale))
    table.setTabKeyNavigation(False)
    table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
    table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
    header = table.horizontalHeader()
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
    return table


def _cell(text: str, *, number: bool) -> QTableWidgetItem:
    cell = QTableWidgetItem(text)
    if number:
        cell.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
    return cell


def _title(text: str) -> QLabel:
    label = QLabel(text)
    label.setProperty("tone", "quiet")
    return label


def _wrapped() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setTextFormat(Qt.TextFormat.PlainText)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
