"""The stack: a person's own recipes of plates, shims, dies and paper, drawn as a cross-section and added up."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.look.scrolling import grown, scrolled
from app.look.tokens import ROOM, SPACE
from layout.geometry.paper_weight import WeightError, guessed_caliper, parse_caliper
from layout.model.plan import Run
from layout.model.project import Paper, Project
from layout.rules.stack import Layer, Recipe, advice, with_paper

if TYPE_CHECKING:
    from app.settings import Settings
    from app.window import Window

STORE = "stack/recipes"
PAPER = "paper"
HEADS = ("From the top", "Thickness, mm", "How many")
STARTING = Recipe(
    "Cutting", (Layer("top plate", 3.0), Layer("die", 1.0), Layer(PAPER, 0.3), Layer("cutting plate", 3.0))
)
"""Only something to start from: common practice, to be measured by who owns the plates."""


SHOWN_ROWS = 9


class Section(QWidget):
    """The stack from the side, each layer as thick as it is."""

    def __init__(self) -> None:
        super().__init__()
        self._recipe = STARTING
        self.setMinimumSize(QSize(220, 220))
        self.setAccessibleName("The stack from the side")

    def show_recipe(self, recipe: Recipe) -> None:
        """Draw another stack."""
        self._recipe = recipe
        words = [f"{layer.name}  {layer.height:g} mm" for layer in recipe.layers]
        self.setAccessibleDescription(", ".join(words))
        widest = max((self.fontMetrics().horizontalAdvance(one) for one in words), default=0)
        self.setMinimumWidth(max(220, widest + 2 * ROOM + 10))
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        """Paint on white; thin layers keep a line of their own."""
        del event
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(255, 255, 255))
        painter.setPen(QColor(0, 0, 0))
        layers = [layer for layer in self._recipe.layers if layer.count]
        row = self.fontMetrics().height() + 2
        spare = max(0.0, self.height() - 2 * ROOM - row * len(layers))
        y = float(ROOM)
        for layer in layers:
            high = row + spare * layer.height / max(self._recipe.height, 1e-9)
            box = QRectF(ROOM, y, self.width() - 2 * ROOM, high)
            painter.drawRect(box)
            words = f"{layer.name}  {layer.height:g} mm"
            painter.drawText(box.adjusted(4, 0, -4, 0), Qt.AlignmentFlag.AlignVCenter, words)
            y += high
        painter.end()


class StackDialog(QDialog):
    """Edits recipes and says what each is too high or too low by."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.setWindowTitle("The stack")
        self._window = window
        self._kept = read(window.settings, window.document.project.machine.name)
        self.recipe = QComboBox()
        self.recipe.setAccessibleName("Recipe")
        self.recipe.setEditable(True)
        self.recipe.addItems(list(self._kept["recipes"]))
        self.opening = QLineEdit(f"{self._kept['opening']:g}" if self._kept["opening"] else "")
        self.opening.setPlaceholderText("as its manual says")
        self.opening.setAccessibleName("Opening of the machine")
        self.press = QLineEdit()
        self.press.setAccessibleName("Pressed together by")
        self.table = QTableWidget(0, len(HEADS))
        self.table.setAccessibleName("Layers of the stack")
        self.table.setHorizontalHeaderLabels(HEADS)
        for header in (self.table.horizontalHeader(), self.table.verticalHeader()):
            header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        self.table.horizontalHeader().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.section, self.told = Section(), QLabel()
        self.told.setWordWrap(True)
        self._lay_out()
        self.choose()
        self.recipe.activated.connect(self.choose)
        self.table.itemChanged.connect(self.refresh)
        for field in (self.opening, self.press):
            field.editingFinished.connect(self.refresh)

    def choose(self) -> None:
        """Show the recipe of the chosen name, a new one where there is none of it."""
        found = recipe_from(self.recipe.currentText(), self._kept["recipes"].get(self.recipe.currentText(), {}))
        self.press.setText(f"{found.press:g}")
        self.table.blockSignals(True)
        self.table.setRowCount(0)
        for layer in found.layers:
            self.add(layer)
        self.table.blockSignals(False)
        self.refresh()

    def add(self, layer: Layer | None = None) -> None:
        """Add a layer at the bottom."""
        layer = layer or Layer("shim", 0.1)
        row = self.table.rowCount()
        self.table.insertRow(row)
        for column, words in enumerate((layer.name, f"{layer.thickness:g}", str(layer.count))):
            self.table.setItem(row, column, QTableWidgetItem(words))

    def remove(self) -> None:
        """Take the layer out on which the cursor stands."""
        if self.table.rowCount():
            self.table.removeRow(max(0, self.table.currentRow()))
            self.refresh()

    def refresh(self) -> None:
        """Add up, draw, say, and keep what is written."""
        try:
            recipe, opening = self._written(), parse_caliper_long(self.opening.text() or "0")
        except ValueError as error:
            self.told.setText(str(error))
            return
        self._kept["recipes"][recipe.name] = {
            "layers": [[layer.name, layer.thickness, layer.count] for layer in recipe.layers],
            "press": recipe.press,
        }
        self._kept["opening"] = opening
        write(self._window.settings, self._window.document.project.machine.name, self._kept)
        laid, note = with_papers(recipe, self._window.document.project, self._run())
        self.section.show_recipe(laid)
        said = advice(laid, opening) if opening else f"The stack is {laid.height:.2f} mm high."
        self.told.setText(f"{said} {note} The machine’s manual decides.")

    def _written(self) -> Recipe:
        layers = []
        for row in range(self.table.rowCount()):
            name, thickness, count = (self._cell(row, column) for column in range(len(HEADS)))
            if not count.isdigit():
                raise ValueError(f'"{count}" is no count of layers: write 1, 2 or more')
            layers.append(Layer(name, parse_caliper_long(thickness), int(count)))
        press = parse_caliper_long(self.press.text())
        return Recipe(self.recipe.currentText().strip() or STARTING.name, tuple(layers), press)

    def _cell(self, row: int, column: int) -> str:
        item = self.table.item(row, column)
        return item.text().strip() if item is not None else ""

    def _run(self) -> Run | None:
        plan, picked = self._window.document.plan, self._window.selection
        runs = plan.layouts[picked.layout].runs if plan.layouts else ()
        return runs[picked.run] if runs else None

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        form.addRow("Recipe", self.recipe)
        form.addRow("Opening of the machine, mm", self.opening)
        form.addRow("Pressed together by, mm", self.press)
        buttons = QHBoxLayout()
        for words, does in (("Add a layer", self.add_shim), ("Remove the layer", self.remove)):
            button = QPushButton(words)
            button.setAutoDefault(False)
            button.clicked.connect(does)
            buttons.addWidget(button)
        side = QVBoxLayout()
        side.setSpacing(SPACE)
        side.addLayout(form)
        self.table.setMinimumHeight(SHOWN_ROWS * self.table.fontMetrics().height())
        side.addWidget(self.table, 1)
        side.addLayout(buttons)
        side.addWidget(self.told)
        row = QHBoxLayout(self)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.setSpacing(ROOM)
        row.addWidget(self.section, 1)
        row.addWidget(scrolled(side), 2)

    def add_shim(self) -> None:
        """Add a shim at the bottom, to be named and measured."""
        self.table.blockSignals(True)
        self.add()
        self.table.blockSignals(False)
        self.refresh()


def open_stack(window: Window) -> StackDialog:
    """Show the stack of the pass that the window shows."""
    dialog = StackDialog(window)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.resize(grown(dialog, QSize(760, 460)))
    dialog.show()
    return dialog


def with_papers(recipe: Recipe, project: Project, run: Run | None) -> tuple[Recipe, str]:
    """Put the thickest paper of a pass in place of the layer "paper"; say which it is."""
    scraps = {scrap.id: scrap.paper for scrap in project.scraps}
    papers = {paper.id: paper for paper in project.papers}
    laid = [(papers[scraps[s.scrap]], len(s.copies)) for s in (run.scraps if run else ()) if scraps[s.scrap] in papers]
    if not laid or not any(layer.name == PAPER for layer in recipe.layers):
        return recipe, ""
    paper, sheets = max(laid, key=lambda one: _caliper(one[0]) * one[1])
    words = f"Paper: {sheets} × {paper.name or paper.id}, {_caliper(paper):.2g} mm each, the thickest of this pass"
    guessed = "" if paper.caliper else ", guessed from its weight: measuring beats that"
    return with_paper(recipe, PAPER, _caliper(paper), sheets), f"{words}{guessed}."


def _caliper(paper: Paper) -> float:
    return paper.caliper or guessed_caliper(paper.grammage)[1]


def recipe_from(name: str, kept: dict[str, Any]) -> Recipe:
    """Return a recipe as it was kept; the one to start from where it is new or spoiled."""
    try:
        layers = tuple(Layer(str(n), float(t), int(c)) for n, t, c in kept["layers"])
        return Recipe(name, layers, float(kept.get("press", 0.0)))
    except (KeyError, TypeError, ValueError):
        return Recipe(name, STARTING.layers)


def parse_caliper_long(text: str) -> float:
    """Read a thickness in mm of anything up to a whole stack; raises WeightError."""
    try:
        return parse_caliper(text)
    except WeightError:
        words = text.replace(",", ".").removesuffix("mm").strip()
        if words.replace(".", "", 1).isdigit() and float(words) < 1000:
            return float(words)
        raise


def read(settings: Settings, machine: str) -> dict[str, Any]:
    """Return what is kept for a machine: recipes by name, and its opening in mm (0: not told)."""
    try:
        found = json.loads(settings.value(STORE) or "{}")[machine]
        return {"recipes": dict(found["recipes"]) or {STARTING.name: {}}, "opening": float(found["opening"])}
    except (ValueError, KeyError, TypeError):
        return {"recipes": {STARTING.name: {}}, "opening": 0.0}


def write(settings: Settings, machine: str, kept: dict[str, Any]) -> None:
    """Keep recipes and opening of a machine."""
    try:
        found = json.loads(settings.value(STORE) or "{}")
    except ValueError:
        found = {}
    settings.set_value(STORE, json.dumps({**(found if isinstance(found, dict) else {}), machine: kept}))
