"""What can I make? Every project of the workshop against the scraps and dies at hand, one answer a line."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt
from PySide6.QtWidgets import QDialog, QHBoxLayout, QLabel, QListView, QPushButton, QScrollArea, QVBoxLayout

from app.look.tokens import ROOM, SPACE
from app.messages.bar import MessageBar
from app.messages.channel import Messages
from app.panels.beside import show_beside
from app.panels.words import count
from app.planner.survey import Fit, Names, Standing, Survey
from app.workshop.list_words import LOOKING, WAITING, details_of, line_of, standing_words
from app.workshop.tiles import TileDelegate
from layout.model.errors import FileError

if TYPE_CHECKING:
    from app.window import Window

LETTER, A4 = (215.9, 279.4), (210.0, 297.0)
ALONE = "Each is asked by itself: what one takes, the next no longer has."
EMPTY = "The workshop knows no project yet. A project is known here once it is saved or a pass of it is ticked off."
Index = QModelIndex | QPersistentModelIndex
NOWHERE = QModelIndex()


class ListModel(QAbstractListModel):
    """One row a project: its name, and what is known of its wanted list."""

    def __init__(self) -> None:
        super().__init__()
        self.names: tuple[tuple[str, str], ...] = ()
        self.standings: dict[int, Standing] = {}
        self.fits: dict[int, Fit] = {}

    def begin(self, names: tuple[tuple[str, str], ...]) -> None:
        """Show other projects, none of them answered."""
        self.beginResetModel()
        self.names, self.standings, self.fits = names, {}, {}
        self.endResetModel()

    def hear(self, told: Standing | Fit) -> None:
        """Take in what got known of one project."""
        if isinstance(told, Standing):
            self.standings[told.number] = told
        else:
            self.fits[told.number] = told
        at = self.index(told.number)
        self.dataChanged.emit(at, at)

    @property
    def answered(self) -> int:
        """For how many all is known."""
        done = sum(s.state != "open" for s in self.standings.values())
        return done + sum(fit.answer.final for fit in self.fits.values())

    @property
    def fitting(self) -> int:
        """How many fit now."""
        return sum(fit.answer.kits >= fit.answer.asked for fit in self.fits.values())

    def line(self, row: int) -> str:
        """Say in a few words how a project's list stands."""
        fit, standing = self.fits.get(row), self.standings.get(row)
        return line_of(fit) if fit else standing_words(standing) if standing else WAITING

    def rowCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802 (Qt's name)
        return 0 if parent.isValid() else len(self.names)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        name = self.names[index.row()][0] or "Untitled"
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{name}\n{self.line(index.row())}"
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{name}: {self.line(index.row())}"
        return self.names[index.row()][1] if role == Qt.ItemDataRole.ToolTipRole else None


class ListsDialog(QDialog):
    """Stays beside the window; asks when it opens, and once more when she likes."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("What can I make?")
        self._window = window
        self.messages = Messages(self)
        self.bar = MessageBar(self.messages)
        self.survey = Survey(self)
        self.model, self._tiles = ListModel(), TileDelegate(picture=0)
        self.head, self.told, self.list = QLabel(), QLabel(), QListView()
        self.ask_button, self.open_button = QPushButton(), QPushButton("Open the project")
        self._lay_out()
        self._listen()
        self.set_look()

    def set_look(self) -> None:
        """Take the present look and text size."""
        from app.look.theme import look_for

        look = look_for(self._window.settings)
        self.bar.set_look(look)
        self._tiles.set_look(look, self._window.settings.text_scale)
        self.list.doItemsLayout()

    def ask_or_stop(self) -> None:
        """Ask, or end the question and keep what is known."""
        if self.survey.running:
            self.survey.drop()
        else:
            self.ask()
        self._say()

    def ask(self) -> None:
        """Ask about every project; one that is open counts as it is on the plate, saved or not."""
        document = self._window.document
        self.messages.clear()
        self.model.begin(())
        try:
            sheet = LETTER if document.unit == "in" else A4
            self.survey.start(self._window.keeper.folder, sheet, document.project, document.path)
        except FileError as error:
            self.messages.fault(str(error))
        self._say()

    def open_project(self) -> None:
        """Open the project that is looked at, where it is not the one that is open."""
        path = self._picked_path()
        if path and path != str(self._window.document.path):
            self._window.commands.open_path(path)

    def done(self, result: int) -> None:
        """End a question that is still open, then close."""
        self.survey.drop()
        super().done(result)

    # ---- inside -------------------------------------------------------------------------------------------------

    def _hear(self, told: Names | Standing | Fit) -> None:
        if isinstance(told, Names):
            self.model.begin(told.lists)
            self.list.setCurrentIndex(self.model.index(0))
        else:
            self.model.hear(told)
        self._say()

    def _say(self) -> None:
        running, many = self.survey.running, len(self.model.names)
        self.ask_button.setText("Stop" if running else "Ask again")
        if not many:
            self.head.setText(LOOKING if running else EMPTY)
        else:
            fit = f"{self.model.fitting} of {count(many, 'project')} can be made now."
            going = f" {count(self.model.answered, 'project')} looked at so far…" if running else ""
            self.head.setText(f"{fit}{going} {ALONE}")
        self._show_picked()

    def _picked_path(self) -> str:
        row = self.list.currentIndex().row()
        return self.model.names[row][1] if 0 <= row < len(self.model.names) else ""

    def _show_picked(self) -> None:
        row = self.list.currentIndex().row()
        known = 0 <= row < len(self.model.names)
        path = self._picked_path()
        self.open_button.setEnabled(bool(path) and path != str(self._window.document.path))
        if not known:
            self.told.setText("")
            return
        fit, standing = self.model.fits.get(row), self.model.standings.get(row)
        unit = self._window.document.unit
        self.told.setText(details_of(fit, unit) if fit else standing.why if standing and standing.why else "")

    def _listen(self) -> None:
        self.survey.told.connect(self._hear)
        self.survey.failed.connect(self.messages.fault)
        self.survey.ended.connect(self._say)
        self.ask_button.clicked.connect(self.ask_or_stop)
        self.open_button.clicked.connect(self.open_project)
        self.list.activated.connect(lambda _: self.open_project())
        self.list.selectionModel().currentChanged.connect(lambda *_: self._show_picked())
        self._window.settings.look_changed.connect(self.set_look)
        self._window.document.replaced.connect(self._show_picked)

    def _lay_out(self) -> None:
        self.list.setModel(self.model)
        self.list.setAccessibleName("Projects, and what can be made of each")
        self.list.setItemDelegate(self._tiles)
        self.list.setUniformItemSizes(True)
        self.list.setVerticalScrollMode(QListView.ScrollMode.ScrollPerPixel)
        self.told.setAccessibleName("What is short for this project")
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        for label in (self.head, self.told):
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.PlainText)
        self.told.setAlignment(Qt.AlignmentFlag.AlignTop)
        buttons = QHBoxLayout()
        for button in (self.ask_button, self.open_button):
            button.setAutoDefault(False)
            buttons.addWidget(button)
        buttons.addStretch(1)
        box = QVBoxLayout()
        box.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
        box.setSpacing(SPACE)
        box.addWidget(self.head)
        box.addWidget(self.list, 3)
        box.addWidget(_scrolled(self.told), 2)
        box.addLayout(buttons)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(self.bar)
        outer.addLayout(box, 1)


def _scrolled(label: QLabel) -> QScrollArea:
    """Return a label in a frame of its own: many pieces may be short."""
    area = QScrollArea()
    area.setWidget(label)
    area.setWidgetResizable(True)
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area


def open_lists(window: Window) -> ListsDialog:
    """Show what can be made beside the window, and ask at once."""
    shown = ListsDialog(window)
    show_beside(shown, window, 640, 620)
    shown.list.setFocus()
    shown.ask()
    return shown
