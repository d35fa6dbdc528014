"""The window for one scrap: its border by clicked corners, its stains, its images, its up; saved as one undo step."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QFont, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import (
    QButtonGroup,
    QComboBox,
    QDialog,
    QFormLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.document.asking import ask, free_id, replaced
from app.document.document import Document
from app.heap.board import Board, Tool
from app.heap.drawn import Drawn, DrawnError, drawn_of, image_of, scrap_from
from app.heap.listed import degrees, table_of
from app.look.papers import paper_looks
from app.look.tokens import GAP, ROOM, SPACE, Look
from app.panels.paperbox import PaperBox
from app.panels.tables import CellError, ItemView, whole
from layout.geometry.outline import Outline
from layout.geometry.units import parse_length
from layout.geometry.value import replace
from layout.model.project import Scrap

TOOLS: tuple[tuple[Tool, str, str], ...] = (
    ("border", "Border", "Click the corners one after another, then the first one again. Drag a corner to mend it; "
     "double-click an edge for one more."),
    ("stain", "Stains", "Click the corners of a stain, or pull a rectangle over it. No piece will touch it."),
    ("image", "Images", "Choose the die that frames the image, add it, and drag it over the ink. [ and ] turn it."),
)  # fmt: skip
TURN_COLUMN = 3
NEW = Scrap("", "", Outline.rectangle(10.0, 10.0))


class ScrapEditor(QDialog):
    """Works on a copy; the document hears of it once, when it is saved."""

    refused = Signal(str)

    def __init__(
        self, document: Document, look: Look, font: QFont, pixels_per_mm: Callable[[], float], at: int | None = None,
        parent: QWidget | None = None,
    ) -> None:  # fmt: skip
        super().__init__(parent)
        self._document, self._at, self._pixels = document, at, pixels_per_mm
        self._scrap = NEW if at is None else document.project.scraps[at]
        self.board = Board(document.project, document.unit, look, font)
        self._steps = [Drawn() if at is None else drawn_of(self._scrap)]
        self._step = 0
        self.name, self.sheets, self.up = QLineEdit(), QLineEdit(), QLineEdit()
        self.paper, self.die = PaperBox(), QComboBox()
        self.left, self.near = QLineEdit(), QLineEdit()
        self.told = QLabel()
        self.table = table_of(self.board, self._change, self._say)
        self.view = ItemView(self.table, "Corners and images")
        self._tools: dict[Tool, QPushButton] = {}
        self._fill()
        self._lay_out()
        self.board.changed.connect(self._change)
        self.board.picked_changed.connect(self._follow)
        self.view.selectionModel().selectionChanged.connect(self._picked)
        for keys, act in (("Ctrl+Z", self.undo), ("Ctrl+Shift+Z", self.redo), ("Ctrl+Y", self.redo)):
            QShortcut(QKeySequence(keys), self).activated.connect(act)
        self.setWindowTitle("New scrap" if at is None else f"Scrap: {self.name.text()}")
        self.board.show_drawn(self._steps[0])
        self.use("border")
        self._show_paper()
        self.resize(980, 680)

    # ---- steps --------------------------------------------------------------------------------------------------

    def undo(self) -> None:
        """Go one step back within this window."""
        if self.board.growing:
            self.board.take_out()
            self._follow()
        elif self._step > 0:
            self._go_to(self._step - 1)

    def redo(self) -> None:
        """Go one step on again."""
        if self._step + 1 < len(self._steps):
            self._go_to(self._step + 1)

    def _go_to(self, step: int) -> None:
        self._step = step
        self.board.show_drawn(self._steps[step])
        self._follow()

    def _change(self, drawn: Drawn, _what: str) -> None:
        self._steps[self._step + 1 :] = [drawn]
        self._say("")
        self._go_to(self._step + 1)

    def save(self) -> None:
        """Hand the scrap to the document as one undo step; where it is none yet, say what is missing."""
        try:
            project, paper = self.paper.taken(self._document.project)
            scrap = scrap_from(replace(self.board.drawn, up=degrees(self.up.text())), self._scrap)
            count = whole(self.sheets.text().strip(), "sheets", 1)
        except (DrawnError, ValueError) as error:
            self._say(str(error))
            return
        name = self.name.text().strip() or f"{paper.name} scrap"
        scrap = replace(scrap, paper=paper.id, count=count, extra={**scrap.extra, "name": name})
        if self._at is None:
            scrap = replace(scrap, id=free_id([s.id for s in project.scraps], name))
            scraps = (*project.scraps, scrap)
        else:
            scraps = replaced(project.scraps, self._at, scrap)
        if scraps != project.scraps:
            verb = "Addition" if self._at is None else "Change"
            ask(self._document, f"{verb} of {name}", replace(project, scraps=scraps))
        self.accept()

    # ---- by typing ----------------------------------------------------------------------------------------------

    def add_typed(self) -> None:
        """Set a corner at the place typed, or an image framed by the die chosen."""
        try:
            typed = self.left.text().strip() or self.near.text().strip()
            at = (self._length(self.left), self._length(self.near)) if typed else self._middle()
        except ValueError as error:
            self._say(str(error))
            return
        self._say("")
        if self.board.tool == "image":
            self._add_image(at)
        elif self.board.tool == "border" and self.board.drawn.rings[0] and not self.board.growing:
            self._say("The border is closed. Pick a corner to move it, or draw the border anew.")
        else:
            self.board.add_corner(at)
            self.left.setFocus()
            self.left.selectAll()

    def _add_image(self, at: tuple[float, float]) -> None:
        die = next((d for d in self._document.project.dies if d.id == self.die.currentData()), None)
        if die is None:
            self._say("The drawer is empty: an image is framed by a die, so add that die first.")
            return
        drawn = self.board.drawn
        image = len(drawn.images)
        self._change(drawn.with_image(image, image_of(self._document.project, die, at)), "Addition of an image")
        self.board.pick(image=image)

    def _middle(self) -> tuple[float, float]:
        ring = self.board.drawn.rings[0]
        if not ring or self.board.tool != "image":
            raise CellError("Write where the corner lies: from the left, and from the near end.")
        return sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)

    def _length(self, field: QLineEdit) -> float:
        return parse_length(field.text(), self._document.unit)

    def _anew(self) -> None:
        board = self.board
        if board.growing:
            board.growing.clear()
            self._follow()
        elif board.tool == "image" and board.image >= 0:
            board.take_out()
        elif board.tool == "stain" and board.ring > 0:
            self._change(board.drawn.without_ring(board.ring), "Removal of a stain")
        elif board.tool == "border" and board.drawn.rings[0]:
            self._change(board.drawn.without_ring(0), "Removal of the border")
        else:
            self._say("Pick a stain or an image first.")

    # ---- keeping in step ----------------------------------------------------------------------------------------

    def use(self, tool: Tool) -> None:
        """Take a tool and say how it is used."""
        self.board.use(tool)
        self._tools[tool].setChecked(True)
        self.hint.setText(next(words for name, _, words in TOOLS if name == tool))
        self.die.setEnabled(tool == "image")
        self.add_button.setText("Add the image" if tool == "image" else "Add this corner")
        self.anew_button.setText({"border": "Draw anew", "stain": "Remove the stain", "image": "Remove"}[tool])
        self._follow()

    def _show_paper(self) -> None:
        looks = paper_looks(self._document.project.papers)
        paper = self.paper.known(self._document.project)
        self.board.ground = self.board.look.field if paper is None else looks[paper.id].ground
        self.board.update()

    def _turn_up(self) -> None:
        try:
            self.board.drawn = replace(self.board.drawn, up=degrees(self.up.text()))
        except ValueError as error:
            self._say(str(error))
            return
        self._say("")
        self._steps[self._step] = self.board.drawn
        self.board.update()

    def _follow(self) -> None:
        self.table.reread()
        self.view.setColumnHidden(TURN_COLUMN, self.board.tool != "image")
        self.close_button.setEnabled(len(self.board.growing) >= 3)
        picked = (-1, self.board.image) if self.board.image >= 0 else (self.board.ring, self.board.corner)
        row = next((k for k, r in enumerate(self.table.items) if (r.ring, r.number) == picked), -1)
        self.view.selectionModel().blockSignals(True)
        if row >= 0:
            self.view.selectRow(row)
        else:
            self.view.clearSelection()
        self.view.selectionModel().blockSignals(False)
        self.view.viewport().update()

    def _picked(self) -> None:
        rows = [self.table.items[k] for k in self.view.rows]
        if rows and rows[0].ring >= -1:
            row = rows[0]
            self.board.pick(image=row.number) if row.ring == -1 else self.board.pick(row.ring, row.number)

    def _say(self, text: str) -> None:
        self.told.setText(text)
        self.told.setAccessibleName(text)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self.layout().activate()
        self.board.fit()

    # ---- the form -----------------------------------------------------------------------------------------------

    def _fill(self) -> None:
        project = self._document.project
        self.paper.offer(project.papers)
        for die in project.dies:
            self.die.addItem(die.name, die.id)
        if self._scrap.paper:
            self.paper.choose(self._scrap.paper)
        self.sheets.setText(str(self._scrap.count))
        self.up.setText(f"{self._scrap.up:g}°")
        self.name.setText(str(self._scrap.extra.get("name") or self._scrap.id))
        self.name.setPlaceholderText("a name for it")
        self.paper.editTextChanged.connect(self._show_paper)
        self.up.editingFinished.connect(self._turn_up)
        self.left.returnPressed.connect(self.near.setFocus)
        self.near.returnPressed.connect(self.add_typed)

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        side.setSpacing(SPACE)
        form = QFormLayout()
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        self.up.setToolTip("90°: its upper edge is away from you; 0°: to the right")
        for words, field in (("Name", self.name), ("Paper", self.paper), ("Sheets", self.sheets),
                             ("Print's up, degrees", self.up)):  # fmt: skip
            field.setAccessibleName(words)
            form.addRow(words, field)
        side.addLayout(form)
        side.addLayout(self._tool_row())
        self.hint = _wrapped()
        side.addWidget(self.hint)
        line = self.fontMetrics().height()
        self.view.verticalHeader().setDefaultSectionSize(line + 12)
        self.view.setMinimumHeight(4 * (line + 12))
        side.addWidget(self.view, 1)
        place = QFormLayout()
        place.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for words, field in (("From the left", self.left), ("From the near end", self.near), ("Framed by", self.die)):
            field.setAccessibleName(words)
            place.addRow(words, field)
        side.addLayout(place)
        self.add_button = _button("Add this corner", self.add_typed)
        self.close_button = _button("Close it", self.board.close_ring)
        self.anew_button = _button("Draw anew", self._anew)
        side.addLayout(_row(self.add_button, self.close_button, self.anew_button))
        self.told.setWordWrap(True)
        self.told.setProperty("tone", "fault")
        side.addWidget(self.told)
        save = _button("Save", self.save)
        save.setProperty("role", "main")
        true = _button("True size", lambda: self.board.true_size(self._pixels()))
        column = QVBoxLayout()
        column.addWidget(_scrolling(side), 1)
        column.addLayout(_row(_button("Fit", self.board.fit), true, _button("Cancel", self.reject), save))
        row = QHBoxLayout(self)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.setSpacing(ROOM)
        row.addWidget(self.board, 3)
        row.addLayout(column, 2)

    def _tool_row(self) -> QHBoxLayout:
        group = QButtonGroup(self)
        for tool, name, words in TOOLS:
            button = self._tools[tool] = _button(name, partial(self.use, tool))
            button.setCheckable(True)
            button.setToolTip(words)
            group.addButton(button)
        return _row(*self._tools.values())


def _button(words: str, does: Callable[[], object]) -> QPushButton:
    made = QPushButton(words)
    made.setAutoDefault(False)
    made.clicked.connect(lambda: does())
    return made


def _row(*buttons: QPushButton) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setSpacing(GAP)
    for button in buttons:
        row.addWidget(button)
    return row


def _scrolling(side: QVBoxLayout) -> QScrollArea:
    """Return the form in a frame that scrolls: with large text it is higher than a small screen."""
    inside, area = QWidget(), QScrollArea()
    side.setContentsMargins(0, 0, SPACE, 0)
    inside.setLayout(side)
    area.setWidget(inside)
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setMinimumWidth(inside.minimumSizeHint().width() + 3 * SPACE)
    return area


def _wrapped() -> QLabel:
    label = QLabel()
    label.setWordWrap(True)
    label.setProperty("tone", "quiet")
    label.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
    return label
