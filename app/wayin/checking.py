"""The ruler held to the picked thing: what it should measure, what another measure would mean, and the scale mended."""

from __future__ import annotations

from math import dist

from PySide6.QtCore import QEvent, QObject, Signal
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QPushButton

from app.document.document import Document
from app.look.tokens import GAP, SPACE
from app.panels.lengths import LengthField
from app.wayin.found import scaled
from app.wayin.mending import longest
from app.wayin.tray import Tray
from layout.geometry.units import format_length

READING = 0.5  # mm: what a ruler tells
UNLIKELY = 0.08  # share beyond which the scale was not measured but mistaken


class Check(QFrame):
    """Says the longest measure; a typed one is compared, and may correct the scale of everything on the picture."""

    asked = Signal(bool)
    corrected = Signal(float)
    refused = Signal(str)

    def __init__(self, tray: Tray, document: Document) -> None:
        super().__init__()
        self.setProperty("card", True)
        self.tray, self.document = tray, document
        self.uncertainty: float | None = None
        self.dpi: float | None = None
        self.words, self.answer = QLabel(), QLabel()
        for label in (self.words, self.answer):
            label.setWordWrap(True)
        self.measured = LengthField("What your ruler says", lambda: document.unit)
        self.correct = QPushButton("Correct the scale")
        self.correct.hide()
        self.answer.hide()
        grid = QGridLayout(self)
        grid.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        grid.setSpacing(GAP + 2)
        grid.addWidget(self.words, 0, 0, 1, 2)
        label = QLabel("&Measured")
        label.setBuddy(self.measured)
        grid.addWidget(label, 1, 0)
        grid.addWidget(self.measured, 1, 1)
        grid.addWidget(self.answer, 2, 0, 1, 2)
        grid.addWidget(self.correct, 3, 0, 1, 2)
        grid.setColumnStretch(1, 1)
        self.measured.entered.connect(self._compare)
        self.measured.refused.connect(self.refused)
        self.correct.clicked.connect(self._correct)
        self.measured.installEventFilter(self)
        tray.picked.connect(self._another)
        tray.changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Say the longest measure of the picked thing."""
        thing = self.tray.thing
        self.setVisible(thing is not None)
        if thing is not None:
            said = format_length(self._longest(), self.document.unit)
            self.words.setText(f"Hold your ruler: {thing.name} should measure {said} across its longest.")
            if not self.measured.hasFocus():
                self.measured.clear()
            self.measured.setPlaceholderText(said)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's name)
        """Draw the line to measure while the hand is on the field."""
        if event.type() in (QEvent.Type.FocusIn, QEvent.Type.FocusOut):
            self.asked.emit(event.type() == QEvent.Type.FocusIn)
        return super().eventFilter(watched, event)

    def _another(self) -> None:
        self.measured.clear()
        self.answer.hide()
        self.correct.hide()
        self.refresh()

    def _longest(self) -> float:
        thing = self.tray.thing
        return 0.0 if thing is None else dist(*longest(thing.outline))

    def _compare(self, mm: float) -> None:
        told = self._longest()
        if mm <= 0 or told <= 0:
            return
        share = mm / told - 1.0
        near = max(READING, self.uncertainty or 0.0)
        if abs(mm - told) <= near:
            words = "That agrees, as far as a ruler can tell. Leave the scale as it is."
        else:
            words = f"That is {abs(share):.1%} {'more' if share > 0 else 'less'}".replace("%", " %") + self._meaning(
                share
            )
        self.answer.setText(words)
        self.answer.setProperty("tone", "good" if abs(mm - told) <= near else "warn")
        self.answer.style().unpolish(self.answer)
        self.answer.style().polish(self.answer)
        self.answer.show()
        self.correct.setVisible(abs(mm - told) > near)

    def _meaning(self, share: float) -> str:
        if abs(share) > UNLIKELY:
            return ": more than a scanner errs. Was it measured across its longest, and is the scale the right one?"
        if self.dpi:
            return f", as if the scan had {self.dpi / (1 + share):.0f} dots per inch instead of {self.dpi:.0f}."
        return ". Everything from this picture would change by as much."

    def _correct(self) -> None:
        told, mm = self._longest(), self.measured.length
        if told > 0 and mm > 0:
            by = mm / told
            self.tray.change(tuple(scaled(t, by) for t in self.tray.things))
            self.dpi = self.dpi / by if self.dpi else None
            self.corrected.emit(by)
            self.answer.setText("The scale is corrected: everything on the picture has changed with it.")
            self.correct.hide()
            self.measured.clear()
