"""The form that makes mats for a box or panel that the project has already."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QDialog, QFormLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from app.document.asking import ask
from app.document.document import Document
from app.guide.sheet import A4
from app.panels.lengths import LengthField
from app.sheet.boxmaking import Mats, walls_of, with_mats_for
from app.sheet.job import SheetJob
from layout.geometry.blanks.faces import BlankError
from layout.model.plan import Plan
from layout.model.project import Panel, Project

NONE = "The project has no panel yet. Make a box blank first, or add a panel."


class MatForm(QDialog):
    """Makes the mats of one panel as one undo step."""

    added = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Make mats for a box")
        self._document = document
        self.panel, self.sides, self.paper = (
            _choice("Box or panel"),
            _choice("Sides covered"),
            _choice("Patterned paper"),
        )
        for panel in document.project.panels:
            self.panel.addItem(panel.name or panel.id, panel.id)
        self.paper.addItem("any paper", None)
        for paper in document.project.papers:
            self.paper.addItem(paper.name or paper.id, paper.id)
        self.border = LengthField("Mats smaller at each side by", lambda: document.unit)
        self.border.show_length(1.5875 if document.unit == "in" else 2.0)
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.button = QPushButton("Add the mats")
        self.button.setDefault(True)
        self._lay_out()
        self.panel.currentIndexChanged.connect(self._offer_sides)
        self.sides.currentIndexChanged.connect(self.refresh)
        self.border.entered.connect(self.refresh)
        self.border.refused.connect(lambda words: self._say(words, good=False))
        self.button.clicked.connect(self.add)
        self._offer_sides()

    def refresh(self) -> None:
        """Say which mats there will be, with their sizes."""
        panel = self._panel()
        if panel is None:
            self._say(NONE, good=False)
            return
        try:
            made = self._made(panel)
        except BlankError as error:
            self._say(f"This cannot be made: {error}.", good=False)
            return
        job = SheetJob(made, Plan(), A4, unit=self._document.unit)
        more = made.panels[len(self._document.project.panels) :]
        counts = {w.shape: w.count for w in made.wanted}
        lines = [f"{counts[m.id]} × {m.name}: {job.sides(*m.outline.bounds[2:])}" for m in more]
        self._say("A kit gets:\n" + "\n".join(lines), good=True)

    def add(self) -> None:
        """Add the mats, and close."""
        panel = self._panel()
        if panel is not None:
            ask(self._document, f"Mats for {panel.name or panel.id}", self._made(panel))
            self.added.emit(f"The mats for {panel.name or panel.id} are in the list of pieces. Press Plan to cut them.")
        self.accept()

    def _panel(self) -> Panel | None:
        return next((p for p in self._document.project.panels if p.id == self.panel.currentData()), None)

    def _made(self, panel: Panel) -> Project:
        covers = Mats(self.sides.currentData() or (), self.border.length, self.paper.currentData())
        return with_mats_for(self._document.project, panel, covers)

    def _offer_sides(self) -> None:
        """Offer the walls of a box from one to all of them; of a flat panel the whole."""
        panel = self._panel()
        walls = walls_of(panel) if panel is not None else ()
        first = sorted(walls, key=lambda w: (w not in ("front", "back"), walls.index(w)))
        self.sides.blockSignals(True)
        self.sides.clear()
        for number in range(len(first), 0, -1):
            said = "1 side" if number == 1 else f"{'all ' if number == len(first) else ''}{number} sides"
            self.sides.addItem(f"{said}: {', '.join(first[:number])}", tuple(first[:number]))
        if not walls:
            self.sides.addItem("the whole panel", ())
        self.sides.blockSignals(False)
        self.refresh()

    def _say(self, words: str, *, good: bool) -> None:
        self.told.setText(words)
        self.button.setEnabled(good)

    def _lay_out(self) -> None:
        form, column = QFormLayout(), QVBoxLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for widget in (self.panel, self.sides, self.border, self.paper):
            form.addRow(widget.accessibleName(), widget)
        close = QPushButton("Close")
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        column.addLayout(form)
        column.addWidget(self.told, 1)
        column.addWidget(self.button)
        column.addWidget(close)


def _choice(name: str) -> QComboBox:
    made = QComboBox()
    made.setAccessibleName(name)
    return made
