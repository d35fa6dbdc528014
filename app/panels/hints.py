"""Three short hints at the first start; each one read is gone for good."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QLabel, QPushButton, QVBoxLayout, QWidget

from app.look.flowing import Flow
from app.look.tokens import ROOM, SPACE
from app.settings import Settings

HINTS = (
    "Click a pass below to see how it lies. Plan works all of them out anew after a change.",
    "Move anything by hand: what is too close says so at once.",
    "Hold what should stay, plan the rest round it, then print the placement guide.",
)


class Hints(QFrame):
    """A card below the answers, in room that is free anyway; hidden once all hints are read."""

    def __init__(self, settings: Settings, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._settings, self._short = settings, False
        self.setProperty("hint", True)
        self._text = QLabel()
        self._text.setWordWrap(True)
        self.next = QPushButton()
        self.next.clicked.connect(self._read)
        self.no_more = QPushButton("No more hints")
        self.no_more.clicked.connect(self._read_all)
        for button in (self.next, self.no_more):
            # A click leaves the keyboard where it was: a button that hides would hand it on to the next in line.
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        column = QVBoxLayout(self)
        column.setContentsMargins(ROOM, SPACE, ROOM, SPACE)
        column.setSpacing(SPACE)
        column.addWidget(self._text)
        row = Flow(gap=SPACE)
        row.addWidget(self.next)
        row.addWidget(self.no_more)
        column.addLayout(row)
        self._show()

    @property
    def left(self) -> list[int]:
        """Numbers of the hints not read yet."""
        return [at for at in range(len(HINTS)) if not self._settings.flag(f"hint-{at + 1}")]

    def give_way(self, short: bool) -> None:
        """Stay away while the window is too low for hints beside the plate."""
        self._short = short
        self._show()

    def _show(self) -> None:
        left = self.left
        if not left or self._short:
            self.hide()
        elif self.parent() is not None:  # else it would be a window of its own
            self.show()
        if left:
            self._text.setText(HINTS[left[0]])
            self.setAccessibleName(f"Hint {left[0] + 1} of {len(HINTS)}: {HINTS[left[0]]}")
            self.next.setText("Next" if len(left) > 1 else "Got it")
            self.no_more.setVisible(len(left) > 1)

    def _read(self) -> None:
        self._settings.note(f"hint-{self.left[0] + 1}")
        self._show()

    def _read_all(self) -> None:
        for at in self.left:
            self._settings.note(f"hint-{at + 1}")
        self._show()
