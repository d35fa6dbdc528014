"""A line of text that gives way: shortened where its room is too narrow, and told in full to a screen reader."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget


class ShortLabel(QLabel):
    """One line. It takes all room there is and asks for some letters' width, or takes no more than these."""

    def __init__(self, letters: int, *, grows: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._whole, self._letters, self._grows = "", letters, grows
        self.setTextFormat(Qt.TextFormat.PlainText)
        across = QSizePolicy.Policy.MinimumExpanding if grows else QSizePolicy.Policy.Fixed
        self.setSizePolicy(across, QSizePolicy.Policy.Preferred)

    @property
    def whole(self) -> str:
        """The text as it was set."""
        return self._whole

    def set_letters(self, letters: int) -> None:
        """Ask for the width of so many letters from now on."""
        if letters != self._letters:
            self._letters = letters
            self.updateGeometry()

    def setText(self, text: str) -> None:  # noqa: N802 (Qt's name)
        if text != self._whole:
            self._whole = text
            self.setAccessibleName(text)
            self.updateGeometry()
            self._shorten()

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        metrics = self.fontMetrics()
        wide = metrics.averageCharWidth() * self._letters
        return QSize(wide if self._grows else min(wide, metrics.horizontalAdvance(self._whole) + 2), metrics.height())

    def minimumSizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return self.sizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self._shorten()

    def changeEvent(self, event: QEvent) -> None:  # noqa: N802 (Qt's name)
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._shorten()

    def _shorten(self) -> None:
        super().setText(self.fontMetrics().elidedText(self._whole, Qt.TextElideMode.ElideRight, self.width()))
