"""A field for a length: takes what people write, and says at once what it understood."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from layout.geometry.units import Unit, UnitError, format_length, parse_length


class LengthField(QLineEdit):
    """Holds mm; shows and reads the person's unit."""

    entered = Signal(float)
    refused = Signal(str)

    def __init__(self, name: str, unit: Callable[[], Unit], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._unit, self._mm = unit, 0.0
        self.setAccessibleName(name)
        self.editingFinished.connect(self._finish)
        self.textEdited.connect(self._say)

    @property
    def length(self) -> float:
        """The length last shown or entered, in mm."""
        return self._mm

    def show_length(self, mm: float) -> None:
        """Show a length, unless the person is writing another."""
        self._mm = mm
        if not (self.hasFocus() and self.isModified()):
            self._write()

    def _write(self) -> None:
        self.setText(format_length(self._mm, self._unit()))
        self._mark(False, "")

    def _say(self, text: str) -> None:
        try:
            mm = parse_length(text, self._unit())
        except UnitError as error:
            self._mark(True, str(error))
            return
        other: Unit = "mm" if self._unit() == "in" else "in"
        self._mark(False, f"{format_length(mm, self._unit())} = {format_length(mm, other)}")

    def _finish(self) -> None:
        if not self.isModified():
            return
        self.setModified(False)
        try:
            mm = parse_length(self.text(), self._unit())
        except UnitError as error:
            self.refused.emit(str(error))
            self._write()
            return
        self._mm = mm
        self._write()
        self.entered.emit(mm)

    def _mark(self, wrong: bool, told: str) -> None:
        self.setToolTip(told)
        self.setAccessibleDescription(told)
        if bool(self.property("wrong")) != wrong:
            self.setProperty("wrong", wrong)
            self.style().unpolish(self)
            self.style().polish(self)
