"""What the scale of a picture rests on: asked in words, one way at a time."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QFormLayout, QFrame, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.document.document import Document
from app.look.tokens import GAP, SPACE
from layout.geometry.units import Unit, format_length, format_sides, parse_length, parse_sides

WAYS = {
    "dpi": "the scanner: dots per inch",
    "card": "a bank card on the photo",
    "coin": "a coin on the photo",
    "a4": "a whole sheet of A4 under it",
    "letter": "a whole sheet of Letter under it",
    "corners": "four corners, marked by hand",
    "corners on it": "a sheet under it, corners by hand",
}
FIELDS = {
    "dpi": "Dots per inch",
    "coin": "Across the coin",
    "corners": "Its two sides",
    "corners on it": "Its two sides",
}
DOUBTFUL = 1.0  # mm: as much as dies keep between them on the plate
USUAL = {"dpi": "300", "coin": "", "corners": "85.6 × 53.98 mm", "corners on it": "297 × 210 mm"}


class Scaling(QFrame):
    """Asks how large the picture is; `asked` carries what the reading process needs to know."""

    asked = Signal(dict)
    marks_wanted = Signal(bool)
    refused = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setProperty("card", True)
        self._document = document
        self.way, self.value, self.find = QComboBox(), QLineEdit(), QPushButton("&Find outlines")
        for way, name in WAYS.items():
            self.way.addItem(name, way)
        self.way.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.way.setAccessibleName("The scale rests on")
        self.told = QLabel()
        self.told.setWordWrap(True)
        self.told.setProperty("tone", "quiet")
        self.sizes = QWidget()
        self.sizes.setLayout(QVBoxLayout())
        self.sizes.layout().setContentsMargins(0, 0, 0, 0)
        form = self.form = QFormLayout(self)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        form.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        form.setSpacing(GAP + 2)
        form.addRow("Scale &rests on", self.way)
        form.addRow("Dots per inch", self.value)
        form.addRow(self.find)
        form.addRow(self.sizes)
        form.addRow(self.told)
        self.way.activated.connect(lambda _: self._chosen())
        self.value.returnPressed.connect(self.find.click)
        self.find.clicked.connect(self._ask)
        self.show_way("dpi", "")

    def show_way(self, way: str, value: str) -> None:
        """Show what the scale rests on just now."""
        self.way.setCurrentIndex(self.way.findData(way))
        self._chosen(value)

    def show_picture(self, on: bool) -> None:
        """Show what belongs to pictures, or hide it."""
        self.form.setRowVisible(self.way, on)
        self.form.setRowVisible(self.find, on)
        self.form.setRowVisible(self.value, on and self.way.currentData() in FIELDS)
        self.form.setRowVisible(self.sizes, False)

    def offer_sizes(self, sizes: list[dict[str, Any]]) -> list[QPushButton]:
        """Offer the sizes that a drawing without a unit would have."""
        layout = self.sizes.layout()
        while layout.count():
            layout.takeAt(0).widget().deleteLater()
        made = []
        for size in sizes:
            sides = format_sides(size["width"], size["height"], self._document.unit)
            button = QPushButton(f"{sides} (drawn in {size['unit']})")
            button.clicked.connect(lambda _, unit=size["unit"]: self.asked.emit({"unit": unit}))
            layout.addWidget(button)
            made.append(button)
        self.form.setRowVisible(self.sizes, True)
        return made

    def _chosen(self, value: str | None = None) -> None:
        way = self.way.currentData()
        self.form.setRowVisible(self.value, way in FIELDS)
        if way in FIELDS:
            self.form.labelForField(self.value).setText(FIELDS[way])
            self.value.setAccessibleName(FIELDS[way])
            self.value.setText(value or USUAL[way])
            self.value.setPlaceholderText("24.26 mm" if way == "coin" else USUAL[way])
        self.marks_wanted.emit(way.startswith("corners"))

    def _ask(self) -> None:
        way, text = self.way.currentData(), self.value.text().strip()
        try:
            self.asked.emit(_request(way, text, self._document))
        except ValueError as error:
            self.refused.emit(str(error))
            self.value.setFocus()
            self.value.selectAll()


def how_true(mm: float | None, unit: Unit) -> str:
    """Say how far borders found in a picture may be off; where that would spoil a cut, say what to do."""
    if not mm:
        return ""
    if mm <= DOUBTFUL:
        return f"Borders are true to {format_length(mm, unit)}."
    off = format_length(mm, unit)
    return f"Borders may be {off} off in places: compare each with the picture, and drag it right or scan again."


def _request(way: str, text: str, document: Document) -> dict[str, Any]:
    if way in ("a4", "letter"):
        return {"how": "sheet", "value": way}
    if way.startswith("corners"):
        return {"how": "corners", "sides": parse_sides(text, document.unit), "on_it": way.endswith("on it")}
    if way == "coin":
        return {"how": "coin", "value": parse_length(text, "mm")}
    if way == "card":
        return {"how": "card", "value": None}
    try:
        return {"how": "dpi", "value": float(text.replace(",", "."))}
    except ValueError as error:
        raise ValueError(
            f"“{text}” is no number of dots per inch: write what the scanner was set to, such as 300."
        ) from error
