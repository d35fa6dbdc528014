"""Embossing folders of one's own with their usable area, and which pieces are embossed in which."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QLabel,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
)

from app.document.asking import free_id
from app.document.state import State
from app.look.tokens import ROOM, SPACE
from layout.geometry.units import UnitError, format_length, parse_length
from layout.geometry.value import replace
from layout.model.embossing import Folder, folder_of, folders, turns, with_folder, with_folders
from layout.model.project import Project
from layout.planning.embossing import embossed, too_large

if TYPE_CHECKING:
    from app.window import Window

HEADS = ("Folder", "Usable along the hinge", "Usable away from it")
NEW = Folder("", "folder", 100.0, 140.0)
PLAIN = "not embossed"
HELP = "Measure the patterned area, not the folder. Which stack a folder needs, the machine's manual says."


class EmbossingDialog(QDialog):
    """Edits folders and wishes; what is kept is one step that can be undone."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("Embossing")
        self._window = window
        self.folders = QTableWidget(0, len(HEADS))
        self.folders.setHorizontalHeaderLabels(HEADS)
        self.folders.setAccessibleName("Embossing folders")
        self.pieces = QTableWidget(0, 2)
        self.pieces.setHorizontalHeaderLabels(("Piece", "Embossed in"))
        self.pieces.setAccessibleName("Pieces and their folders")
        self.told = QLabel(HELP)
        self._lay_out()
        for folder in folders(self._project):
            self.add(folder)
        self._list_pieces()
        self.folders.itemChanged.connect(self._offer_folders)

    @property
    def _project(self) -> Project:
        return self._window.document.project

    def add(self, folder: Folder = NEW) -> None:
        """Add a folder's row; a new one can be renamed at once."""
        unit, row = self._window.document.unit, self.folders.rowCount()
        self.folders.insertRow(row)
        taken = [self.folders.item(n, 0).data(Qt.ItemDataRole.UserRole) for n in range(row)]
        sizes = (format_length(folder.width, unit), format_length(folder.length, unit))
        for column, words in enumerate((folder.name, *sizes)):
            item = QTableWidgetItem(words)
            item.setData(Qt.ItemDataRole.UserRole, folder.id or free_id(taken, folder.name))
            self.folders.setItem(row, column, item)
        self._offer_folders()

    def remove(self) -> None:
        """Take the folder out on which the cursor stands."""
        self.folders.removeRow(self.folders.currentRow())
        self._offer_folders()

    def entered(self) -> list[Folder]:
        """Return the folders as they are written; raises UnitError with the folder's name."""
        return [self._folder(row) for row in range(self.folders.rowCount())]

    def accept(self) -> None:
        """Keep folders and wishes, and lay the pieces into the folders; say what cannot be, and stay open then."""
        try:
            project = with_folders(self._project, self.entered())
        except UnitError as error:
            self.told.setText(str(error))
            return
        chosen = [self._choice(row).currentData() for row in range(self.pieces.rowCount())]
        wanted = tuple(with_folder(w, folder) for w, folder in zip(project.wanted, chosen, strict=True))
        project = replace(project, wanted=wanted)
        document = self._window.document
        plan = embossed(project, document.plan)
        if (project, plan) != (document.project, document.plan):
            document.change("Change of embossing", State(project, plan))
        self._say(project)
        super().accept()

    def _say(self, project: Project) -> None:
        names = {thing.id: thing.name for thing in (*project.dies, *project.punches, *project.panels)}
        large = [names.get(w.shape) or w.shape for w in project.wanted if w.id in dict(too_large(project))]
        made = len(turns(self._window.document.plan))
        if large:
            self._window.messages.fault(f"Too large for the folder chosen, so it stays plain: {', '.join(large)}.")
        elif made:
            count = "One turn" if made == 1 else f"{made} turns"
            self._window.messages.news(f"{count} with embossing folders: the guide's tick list shows what lies where.")

    def _folder(self, row: int) -> Folder:
        name, width, length = (self.folders.item(row, column).text().strip() for column in range(3))
        unit = self._window.document.unit
        sides = parse_length(width, unit), parse_length(length, unit)
        if min(sides) <= 0.0:
            raise UnitError(f"{name}: a folder's usable area has two sides longer than nothing; measure it")
        return Folder(self.folders.item(row, 0).data(Qt.ItemDataRole.UserRole), name or "folder", *sides)

    def _list_pieces(self) -> None:
        names = {t.id: t.name for t in (*self._project.dies, *self._project.punches, *self._project.panels)}
        self.pieces.setRowCount(len(self._project.wanted))
        for row, wanted in enumerate(self._project.wanted):
            item = QTableWidgetItem(names.get(wanted.shape) or wanted.shape)
            item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
            self.pieces.setItem(row, 0, item)
            choice = QComboBox()
            choice.setAccessibleName(f"Folder for {item.text()}")
            choice.addItem(PLAIN, None)
            self.pieces.setCellWidget(row, 1, choice)
        self._offer_folders()
        for row, wanted in enumerate(self._project.wanted):
            self._choice(row).setCurrentIndex(max(0, self._choice(row).findData(folder_of(wanted))))

    def _choice(self, row: int) -> QComboBox:
        choice = self.pieces.cellWidget(row, 1)
        assert isinstance(choice, QComboBox)
        return choice

    def _offer_folders(self) -> None:
        """Offer the folders as they are written now, each choice kept."""
        rows = [self.folders.item(row, 0) for row in range(self.folders.rowCount())]
        for row in range(self.pieces.rowCount()):
            choice = self._choice(row)
            kept = choice.currentData()
            choice.clear()
            choice.addItem(PLAIN, None)
            for item in filter(None, rows):
                choice.addItem(item.text(), item.data(Qt.ItemDataRole.UserRole))
            choice.setCurrentIndex(max(0, choice.findData(kept)))

    def _lay_out(self) -> None:
        box = QVBoxLayout(self)
        box.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        box.setSpacing(SPACE)
        self.told.setWordWrap(True)
        for table in (self.folders, self.pieces):
            table.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
            table.verticalHeader().hide()
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Ok | QDialogButtonBox.StandardButton.Cancel)
        for words, does in (("Add a folder", lambda: self.add()), ("Take it out", self.remove)):
            button = QPushButton(words)
            button.setAutoDefault(False)
            button.clicked.connect(lambda _=False, does=does: does())
            buttons.addButton(button, QDialogButtonBox.ButtonRole.ActionRole)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        for part in (self.folders, self.pieces, self.told, buttons):
            box.addWidget(part)


def open_embossing(window: Window) -> EmbossingDialog:
    """Show folders and wishes."""
    dialog = EmbossingDialog(window)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.resize(620, 560)
    dialog.open()
    return dialog
