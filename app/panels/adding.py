"""Small forms that add one thing in seconds: a piece to the kit, a scrap by two sides, a shape by its size."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.document.asking import ask, free_id
from app.document.document import Document
from app.look.flowing import Flow
from app.look.tokens import GAP
from app.panels.columns import sheet_of
from app.panels.paperbox import PaperBox, new_paper_words
from app.panels.tables import CellError, whole
from layout.geometry.outline import Outline
from layout.geometry.units import UnitError, format_length, format_sides, parse_sides
from layout.geometry.value import replace
from layout.model.project import Die, Scrap, Wanted

LETTERS, DIGITS = 9, 4  # room that a field of words or of a number keeps, however narrow the form


class Adding(QWidget):
    """Labelled fields side by side, then a button and a word; it keeps in step with the document."""

    refused = Signal(str)

    def __init__(self, document: Document, title: str) -> None:
        super().__init__()
        self.document = document
        self.button = QPushButton(title)
        self.button.clicked.connect(self._press)
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setProperty("tone", "quiet")
        for signal in (document.replaced, document.project_changed):
            signal.connect(self.refresh)

    def lay_out(self, fields: Sequence[tuple[str, QWidget]], *below: QWidget) -> None:
        """Lay the named fields and the button into the form, and what comes below them."""
        column = QVBoxLayout(self)
        column.setContentsMargins(0, GAP, 0, 0)
        column.setSpacing(GAP)
        row = Flow(gap=GAP)
        for name, field in fields:
            row.addWidget(Labelled(name, field))
        row.addWidget(self.button)
        column.addLayout(row)
        for widget in below:
            column.addWidget(widget)
        for _, field in fields:
            if isinstance(field, NumberField):
                field.returnPressed.connect(self.button.click)

    def refresh(self) -> None:
        """Read the document again."""

    def add(self) -> None:
        """Add the thing; raises ValueError with a sentence."""

    def _press(self) -> None:
        try:
            self.add()
        except ValueError as error:
            self.refused.emit(str(error))

    def fill(self, box: QComboBox, choices: list[tuple[str, str]]) -> None:
        """Offer these choices, keeping the one that is chosen."""
        now = box.currentData()
        if [(box.itemData(i), box.itemText(i)) for i in range(box.count())] == choices:
            return
        box.clear()
        for value, text in choices:
            box.addItem(text, value)
        box.setCurrentIndex(max(0, box.findData(now)))


class AddPiece(Adding):
    """Adds a piece to what a kit needs, and says how many kits."""

    def __init__(self, document: Document) -> None:
        super().__init__(document, "Add")
        self.shape, self.paper, self.number, self.kits = QComboBox(), QComboBox(), NumberField(), NumberField()
        self.lay_out(
            (("Shape", self.shape), ("Paper", self.paper), ("A kit", self.number)), Labelled("Kits to make", self.kits)
        )
        self.kits.editingFinished.connect(self._kits)
        self.refresh()

    def refresh(self) -> None:
        project = self.document.project
        self.fill(self.shape, [(s.id, s.name) for s in (*project.dies, *project.punches, *project.panels)])
        self.fill(self.paper, [("", "any paper"), *((p.id, p.name) for p in project.papers)])
        self.kits.setText(str(project.kits))

    def add(self) -> None:
        project, shape = self.document.project, self.shape.currentData()
        if shape is None:
            raise CellError("The drawer is empty: add a die or a punch first.")
        name = free_id([w.id for w in project.wanted], shape)
        new = Wanted(name, shape, self.number.number(), self.paper.currentData() or None)
        ask(self.document, f"Need of {self.shape.currentText()}", replace(project, wanted=(*project.wanted, new)))
        self.shape.setFocus()

    def _kits(self) -> None:
        try:
            kits = self.kits.number()
        except ValueError as error:
            self.refused.emit(str(error))
            self.refresh()
            return
        if kits != self.document.project.kits:
            ask(self.document, "Change of kits", replace(self.document.project, kits=kits))


class AddScrap(Adding):
    """Adds a rectangular scrap by its two sides."""

    def __init__(self, document: Document) -> None:
        super().__init__(document, "Add")
        self.sides, self.paper, self.number = QLineEdit(), PaperBox(), NumberField()
        self.lay_out((("Two sides", self.sides), ("Paper", self.paper), ("Sheets", self.number)), self.told)
        self.sides.textChanged.connect(lambda: say_sides(self))
        self.sides.returnPressed.connect(self.button.click)
        self.refresh()

    def refresh(self) -> None:
        self.paper.offer(self.document.project.papers)
        self.sides.setPlaceholderText("4 1/4 × 5 1/2" if self.document.unit == "in" else "105 × 148")

    def add(self) -> None:
        before = self.document.project
        outline = sheet_of(self.sides.text(), self.document)
        project, paper = self.paper.taken(before)
        name = f"{paper.name} {_round_sides(outline, self.document)}"
        new = Scrap(free_id([s.id for s in project.scraps], name), paper.id, outline, self.number.number())
        new = replace(new, extra={"name": name})
        ask(self.document, "Addition of a scrap", replace(project, scraps=(*project.scraps, new)))
        self.sides.clear()
        self.paper.choose(paper.id)
        self.told.setText("" if project is before else new_paper_words(paper))
        self.sides.setFocus()


class AddShape(Adding):
    """Adds a rectangular die by the size it cuts."""

    def __init__(self, document: Document) -> None:
        super().__init__(document, "Add")
        self.name, self.sides = QLineEdit(), QLineEdit()
        self.lay_out((("New label die", self.name), ("Cuts two sides", self.sides)), self.told)
        self.name.setPlaceholderText("label")
        self.name.returnPressed.connect(self.sides.setFocus)
        self.sides.textChanged.connect(lambda: say_sides(self))
        self.sides.returnPressed.connect(self.button.click)
        self.refresh()

    def refresh(self) -> None:
        self.sides.setPlaceholderText("2 1/4 × 1 1/2" if self.document.unit == "in" else "57 × 38")

    def add(self) -> None:
        project = self.document.project
        name = self.name.text().strip() or "label"
        cut = sheet_of(self.sides.text(), self.document)
        taken = [s.id for s in (*project.dies, *project.punches, *project.panels)]
        from layout.geometry.rim import metal_about

        die = Die(free_id(taken, name), name, metal_about(cut), cut)
        ask(self.document, f"Addition of {name}", replace(project, dies=(*project.dies, die)))
        self.sides.clear()
        self.name.clear()
        self.name.setFocus()  # where the next one begins


def say_sides(form: AddScrap | AddShape) -> None:
    """Say what was understood of two sides, while they are written."""
    text, document = form.sides.text(), form.document
    try:
        width, height = parse_sides(text, document.unit)
    except UnitError as error:
        form.told.setText(str(error) if text.strip() else "")
        return
    other = "mm" if document.unit == "in" else "in"
    form.told.setText(f"{format_length(width, other)} × {format_length(height, other)}")


def _round_sides(outline: Outline, document: Document) -> str:
    left, low, right, high = outline.bounds
    return format_sides(right - left, high - low, document.unit, with_unit=False)


class NumberField(QLineEdit):
    """A whole number from 1, written."""

    def __init__(self) -> None:
        super().__init__("1")
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return super().minimumSizeHint() + QSize(DIGITS * self.fontMetrics().averageCharWidth(), 0)

    def number(self) -> int:
        """Return the number; raises ValueError with a sentence."""
        return whole(self.text().strip(), "pieces", 1)


class Labelled(QWidget):
    """A field below its name."""

    def __init__(self, name: str, field: QWidget) -> None:
        super().__init__()
        self._field = field
        label = QLabel(name)
        label.setBuddy(field)
        label.setProperty("tone", "quiet")
        field.setAccessibleName(name)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(GAP)
        column.addWidget(label)
        column.addWidget(field)
        if isinstance(field, NumberField):
            column.setAlignment(field, Qt.AlignmentFlag.AlignLeft)
            self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        else:
            field.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def minimumSizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        least = super().minimumSizeHint()
        if isinstance(self._field, NumberField):
            return least
        return least.expandedTo(QSize((LETTERS + 4) * self._field.fontMetrics().averageCharWidth(), 0))
