"""The form that makes a box blank: kind, sizes or the thing that goes in, paper, mats; drawn as it will be."""

from __future__ import annotations

from dataclasses import fields, replace

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.document.asking import ask
from app.document.document import Document
from app.guide.ink import Ink
from app.guide.sheet import A4, Box
from app.look.tokens import ROOM, SPACE
from app.panels.adding import NumberField
from app.panels.lengths import LengthField
from app.sheet.boxmaking import Mats, with_box
from app.sheet.job import SheetJob
from app.sheet.template import LABEL, Template, arc_words, fold_steps
from layout.geometry.blanks.drawn import KIND as DRAWN
from layout.geometry.blanks.drawn import Drawn
from layout.geometry.blanks.folding import faults
from layout.geometry.blanks.kinds import KINDS, Sizes
from layout.geometry.units import parse_length
from layout.model.plan import Plan
from layout.model.project import Project

NAMES = {
    "width": "Width",
    "depth": "Depth",
    "height": "Height",
    "tab": "Glue tab",
    "seam": "Strip above the top",
    "rise": "Gable stands up by",
    "flap": "Top flap",
    "thickness": "Paper's thickness",
    "ease": "Ease round the thing",
    "border": "Mats smaller at each side by",
}
INNER = ("width", "depth", "height")
COVERS = {
    "no mats": (),
    "front": ("front",),
    "front and back": ("front", "back"),
    "all four sides": ("front", "right", "back", "left"),
}
LEAST_WIDTH, MOST_WIDTH = 100.0, 150.0
LOOK = "full lines: cut · dashed: score · hatched: snip away"


class BlankView(QWidget):
    """The blank as the project sheet draws it, on paper."""

    def __init__(self) -> None:
        super().__init__()
        self.template: Template | None = None
        self.setMinimumSize(QSize(360, 300))
        self.setAccessibleName("The blank")

    def show_template(self, template: Template | None, words: str) -> None:
        """Show a blank; `words` say it without a picture."""
        self.template = template
        self.setAccessibleDescription(words)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.fillRect(self.rect(), QColor("white"))
        if self.template is not None:
            wide = self._page_width
            high = self.template.height(wide)
            scale = min(self.width() / (wide + 4.0), self.height() / (high + 4.0))
            painter.translate((self.width() - (wide + 4.0) * scale) / 2, 0.0)
            painter.scale(scale, scale)
            self.template.paint(Ink(painter), Box(2.0, 2.0, wide, high))
        painter.end()

    @property
    def _page_width(self) -> float:
        """How wide a page (mm) it is drawn on: a narrow one where text is large, so that its words grow too."""
        wide = self.width() * LABEL / max(self.fontInfo().pixelSize(), 1)
        return min(max(wide, LEAST_WIDTH), MOST_WIDTH)


class BoxForm(QDialog):
    """Makes one blank and adds it, with its mats, as one undo step."""

    added = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Make a box blank")
        self._document = document
        self.view, self.told = BlankView(), QLabel()
        self.told.setWordWrap(True)
        self.kind = _choice(
            "Kind of box", {**{kind.name.capitalize(): key for key, kind in KINDS.items()}, "Drawn freely": DRAWN}
        )
        self.meant = _choice("The sizes are", {"inside the box": "inside", "of the thing that goes in": "thing"})
        papers = {p.name or p.id: p.id for p in document.project.papers}
        self.paper = _choice("Paper", {"any paper": "", **papers})
        self.covers = _choice("Mats", {name: name for name in COVERS})
        self.mat_paper = _choice("Paper of the mats", {"any paper": "", **papers})
        self.name = QLineEdit()
        self.name.setAccessibleName("Name")
        self.count = NumberField()
        self.count.setAccessibleName("How many a kit")
        self.lengths = {key: LengthField(name, lambda: document.unit) for key, name in NAMES.items()}
        self.across, self.along = _distances("Score from the left edge at"), _distances("Score from the lower edge at")
        self.snips = QListWidget()
        self.snips.setAccessibleName("Snip these fields away")
        for wide in (self.across, self.along, self.snips):  # so that their labels stand above them where text is large
            wide.setMinimumWidth(24 * self.fontMetrics().averageCharWidth())
        self._form = QFormLayout()
        self.button = QPushButton("Add to the project")
        self.button.setDefault(True)
        self._begin()
        self._lay_out()
        self.refresh()

    @property
    def sizes(self) -> Sizes | Drawn:
        """The blank that is asked for, ease added where the sizes are those of the thing that goes in."""
        if self.kind.currentData() == DRAWN:
            return self._drawn()
        given = {f.name: self.lengths[f.name].length for f in fields(Sizes) if f.name != "kind"}
        if self.meant.currentData() == "thing":
            ease = 2 * self.lengths["ease"].length
            given |= {side: given[side] + ease for side in INNER}
        return replace(Sizes(self.kind.currentData()), **given)

    def refresh(self) -> None:
        """Draw the blank anew, say whether it folds, and show only the fields that its kind asks for."""
        free = self.kind.currentData() == DRAWN
        shown = {"width", "height"} if free else {*KINDS[self.kind.currentData()].asks, "thickness"}
        shown |= {"ease"} if self.meant.currentData() == "thing" and not free else set()
        for widget in (self.across, self.along, self.snips):
            self._form.setRowVisible(widget, free)
        self._form.setRowVisible(self.meant, not free)
        shown |= {"border"} if self._mats().walls else set()
        for key, field in self.lengths.items():
            self._form.setRowVisible(field, key in shown)
        self._form.setRowVisible(self.covers, self._has_front())
        self._form.setRowVisible(self.mat_paper, bool(self._mats().walls))
        try:
            if free:
                self._list_fields()
            project = self._made()
            wrong = faults(self.sizes.blank())
        except ValueError as error:  # of a blank, an outline, a length or a number: each says what is wrong
            self.view.show_template(None, str(error))
            self._say(f"This cannot be made: {error}.", good=False)
            return
        panel = project.panels[len(self._document.project.panels)]
        job = SheetJob(project, Plan(), A4, unit=self._document.unit)
        template = Template(job, panel)
        words = _words(job, template)
        self.view.show_template(template, words)
        folds = "It folds shut: every edge meets its partner, no panel goes through another."
        if wrong:
            folds = f"It does not fold shut: {wrong[0].what} ({job.length(wrong[0].amount)})."
            if free:
                folds += " Snip the field between them, or leave out a score."
        self._say(f"{folds}\n{words}", good=not wrong)

    def add(self) -> None:
        """Add the blank and its mats to the project, and close."""
        before = self._document.project
        after = self._made()
        name = after.panels[len(before.panels)].name
        ask(self._document, f"Addition of {name}", after)
        mats = len(after.panels) - len(before.panels) - 1
        more = "" if not mats else " with its mats"
        self.added.emit(f"{name.capitalize()}{more} is in the list of pieces. Press Plan to cut it.")
        self.accept()

    def _made(self) -> Project:
        paper = self.paper.currentData() or None
        sizes = self.sizes
        return with_box(self._document.project, sizes, self.name.text(), self.count.number(), paper, self._mats())

    def _drawn(self) -> Drawn:
        """Return the blank that is drawn freely; raises UnitError for a distance that cannot be read."""
        sides = self.lengths["width"].length, self.lengths["height"].length
        across, along = (_read(f.text(), self._document) for f in (self.across, self.along))
        grid = Drawn(*sides, across, along)
        rows = range(self.snips.count())
        away = [k for k in rows if self.snips.item(k).checkState() == Qt.CheckState.Checked]
        cells = grid.cells() if away else ()
        return replace(grid, snips=tuple(cells[k] for k in away if k < len(cells)))

    def _list_fields(self) -> None:
        """List the fields between the scores, row by row from the lower left; ticks stay while their number does."""
        cells = self._drawn().cells()
        if len(cells) == self.snips.count():
            return
        job = SheetJob(self._document.project, Plan(), A4, unit=self._document.unit)
        self.snips.blockSignals(True)
        self.snips.clear()
        for ring in cells:
            (x0, y0), (x1, y1) = ring[0], ring[2]
            words = f"{job.sides(x1 - x0, y1 - y0)}, {job.number(x0)} from the left, {job.number(y0)} from below"
            item = QListWidgetItem(words, self.snips)
            item.setFlags(item.flags() | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Unchecked)
        self.snips.blockSignals(False)

    def _mats(self) -> Mats:
        walls = COVERS[self.covers.currentData()]
        if not self._has_front():
            walls = ()
        return Mats(walls, self.lengths["border"].length, self.mat_paper.currentData() or None)

    def _flatten_pillow(self) -> None:
        """Begin a pillow box with a depth that paper can bend to, where the one of another kind is too much."""
        width, depth = self.lengths["width"].length, self.lengths["depth"].length
        if self.kind.currentData() == "pillow" and depth > 0.4 * width:
            step = 25.4 / 16 if self._document.unit == "in" else 1.0
            self.lengths["depth"].show_length(int(0.35 * width / step) * step)

    def _has_front(self) -> bool:
        return self.kind.currentData() not in ("tray", "lid", "folder", "envelope", "pillow", DRAWN)

    def _say(self, words: str, *, good: bool) -> None:
        self.told.setText(words)
        self.button.setEnabled(good)

    def _begin(self) -> None:
        usual = Sizes()
        start = {f.name: getattr(usual, f.name) for f in fields(Sizes) if f.name != "kind"}
        if self._document.unit == "in":
            start |= {"width": 50.8, "depth": 25.4, "height": 76.2, "rise": 19.05, "flap": 31.75}
        for key, mm in {**start, "ease": 1.5875, "border": 1.5875}.items():
            self.lengths[key].show_length(mm)

    def _lay_out(self) -> None:
        self.kind.currentIndexChanged.connect(self._flatten_pillow)
        for field in (self.kind, self.meant, self.covers, self.paper, self.mat_paper):
            field.currentIndexChanged.connect(self.refresh)
        for field in self.lengths.values():
            field.entered.connect(self.refresh)
            field.refused.connect(lambda words: self._say(words, good=False))
        self.count.editingFinished.connect(self.refresh)
        for line in (self.across, self.along):
            line.editingFinished.connect(self.refresh)
        self.snips.itemChanged.connect(self.refresh)
        self.button.clicked.connect(self.add)
        form = self._form
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setVerticalSpacing(SPACE)
        first = (self.name, self.kind, self.meant)
        lines = (self.across, self.along, self.snips)
        for widget in (*first, *self.lengths.values(), *lines, self.paper, self.count, self.covers, self.mat_paper):
            form.addRow(widget.accessibleName(), widget)
        self.name.setPlaceholderText("favour box")
        inside = QWidget()
        inside.setLayout(form)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QScrollArea.Shape.NoFrame)
        scroll.setWidget(inside)
        close = QPushButton("Close")
        close.setAutoDefault(False)
        close.clicked.connect(self.reject)
        left, right, row = QVBoxLayout(), QVBoxLayout(), QHBoxLayout(self)
        left.addWidget(scroll, 1)
        left.addWidget(self.button)
        left.addWidget(close)
        right.addWidget(self.view, 1)
        right.addWidget(QLabel(LOOK))
        right.addWidget(self.told)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.setSpacing(ROOM)
        row.addLayout(left, 2)
        row.addLayout(right, 3)


def _words(job: SheetJob, template: Template) -> str:
    """Say the trimmed size, the numbers to score at, and how it is put together."""
    numbers = template.numbers
    said = [f"Trim to {job.sides(numbers.width, numbers.length)}."]
    if numbers.across:
        said.append(f"Score from the left edge at {', '.join(map(job.number, numbers.across))}.")
    if numbers.along:
        said.append(f"Quarter turn, score from the lower edge at {', '.join(map(job.number, numbers.along))}.")
    said += [f"Score {words}." for words in arc_words(job, numbers)]
    if numbers.aslant:
        said.append(f"Score {numbers.aslant} slanting lines from score to score, as drawn.")
    return " ".join([*said, *fold_steps(template)])


def _distances(name: str) -> QLineEdit:
    made = QLineEdit()
    made.setAccessibleName(name)
    made.setPlaceholderText("distances, a comma between")
    return made


def _read(text: str, document: Document) -> tuple[float, ...]:
    """Return the distances (mm) that are written in a line; raises UnitError."""
    return tuple(
        sorted(parse_length(part, document.unit) for part in text.replace(";", ",").split(",") if part.strip())
    )


def _choice(name: str, entries: dict[str, str]) -> QComboBox:
    made = QComboBox()
    made.setAccessibleName(name)
    for text, data in entries.items():
        made.addItem(text, data)
    return made
