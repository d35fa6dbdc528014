"""The machine's bed and the distances that keep pieces whole."""

from __future__ import annotations

import math
from functools import partial

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QCheckBox, QFormLayout, QLabel, QWidget

from app.document.asking import ask
from app.document.document import Document
from app.look.tokens import SPACE
from app.panels.lengths import LengthField
from layout.geometry.units import format_length
from layout.geometry.value import replace
from layout.model.flat_profiles import wants_flat, with_flat

# field of the project, field in it, what to call it, least, most (mm)
LENGTHS = (
    ("machine", "bed_width", "Bed, along the rollers", 20.0, 2000.0),
    ("machine", "bed_length", "Bed, the way it travels", 20.0, 2000.0),
    ("machine", "bed_margin", "Metal stays inside by", 0.0, 200.0),
    ("machine", "overhang_across", "Paper sticks out at the sides up to", 0.0, 2000.0),
    ("machine", "overhang_along", "Paper sticks out at the ends up to", 0.0, 2000.0),
    ("clearances", "body_gap", "Between two dies", 0.0, 100.0),
    ("clearances", "paper_edge", "From a piece to the paper's edge", 0.0, 100.0),
    ("clearances", "web", "Between two pieces", 0.0, 100.0),
    ("clearances", "image_tolerance", "A stamped image may be off by", 0.0, 100.0),
)
LETTERS = 14  # room for a length with its unit, in the field's frame
FLAT_WORDS = "Plan for a low peak under the rollers"
CAUTION = (
    "Your machine's manual decides how thick a stack may be and which plates belong in it. "
    "Keep fingers away from the rollers and from the blades."
)


class MachineForm(QWidget):
    """Lengths of machine and clearances, one field each."""

    refused = Signal(str)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.fields: dict[str, LengthField] = {}
        form = self._form = QFormLayout(self)
        form.setContentsMargins(0, 0, 0, 0)
        form.setVerticalSpacing(SPACE)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapLongRows)
        for part, field, name, least, most in LENGTHS:
            made = self.fields[field] = LengthField(name, lambda: document.unit)
            made.entered.connect(partial(self._entered, part, field, name, (least, most)))
            made.refused.connect(self.refused)
            form.addRow(name, made)
        self.flat = QCheckBox(FLAT_WORDS)
        self.flat.setToolTip("Among plans that are equal in all else, the next plan takes the lowest peak of blade.")
        self.flat.clicked.connect(self._wish_flat)
        form.addRow(self.flat)
        caution = QLabel(CAUTION)
        caution.setWordWrap(True)
        caution.setProperty("tone", "quiet")
        form.addRow(caution)
        for signal in (document.replaced, document.project_changed):
            signal.connect(self.refresh)
        self.refresh()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        """Set the fields below their names where beside them a length would not be read whole."""
        super().resizeEvent(event)
        names = (self._form.labelForField(field) for field in self.fields.values())
        need = max(name.sizeHint().width() for name in names) + LETTERS * self.fontMetrics().averageCharWidth()
        policies = QFormLayout.RowWrapPolicy
        self._form.setRowWrapPolicy(policies.WrapAllRows if self.width() < need else policies.WrapLongRows)

    def refresh(self) -> None:
        """Read the document again."""
        self.flat.setChecked(wants_flat(self._document.project))
        for part, field, *_ in LENGTHS:
            mm = getattr(getattr(self._document.project, part), field)
            if math.isinf(mm):
                self.fields[field].setText("any length")
            else:
                self.fields[field].show_length(mm)

    def _wish_flat(self, wanted: bool) -> None:
        ask(self._document, "Change of the peak's worth", with_flat(self._document.project, wanted), counts=False)

    def _entered(self, part: str, field: str, name: str, limits: tuple[float, float], mm: float) -> None:
        if not limits[0] <= mm <= limits[1]:
            unit = self._document.unit
            least, most = (format_length(limit, unit) for limit in limits)
            self.refused.emit(f"{name}: {format_length(mm, unit)} cannot be; write from {least} to {most}.")
            self.refresh()
            return
        project = self._document.project
        after = replace(project, **{part: replace(getattr(project, part), **{field: mm})})
        if after != project:
            ask(self._document, f"Change of {name.lower()}", after)
