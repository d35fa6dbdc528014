"""A calm bar above the plate: one sentence at a time, never a box in the way."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QApplication, QFrame, QHBoxLayout, QLabel, QPushButton, QSizePolicy, QToolButton, QWidget

from app.look.icons import icon
from app.look.tokens import LIGHT, ROOM, SPACE, TEXT_POINTS, Look
from app.messages.channel import Message, Messages

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent

SIGN = 22
CLOSE = 16 / SIGN


class MessageBar(QFrame):
    """Shows the latest message until it is put away, settled or followed by another."""

    def __init__(self, messages: Messages, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._look, self._side = LIGHT, SIGN
        self._sign = QLabel()
        self._text = QLabel()
        self._text.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self._text.setWordWrap(True)  # after the policy, which would forget that the height hangs on the width
        self._text.setTextFormat(Qt.TextFormat.PlainText)
        self._text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self._close = QToolButton()
        self._close.setAccessibleName("Put the message away")
        self._close.setToolTip("Put the message away (Esc)")
        self._close.setProperty("flat", True)
        self._close.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self._close.clicked.connect(self.hide)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(ROOM, SPACE, SPACE, SPACE)
        self._row.setSpacing(SPACE)
        self._row.addWidget(self._sign)
        self._row.addWidget(self._text, 1)
        self._row.addWidget(self._close)
        self.buttons: list[QPushButton] = []
        self._message: Message | None = None
        self.hide()
        messages.told.connect(self.show_message)
        messages.settled.connect(self.hide)

    @property
    def text(self) -> str:
        """The sentence shown now, empty where none is."""
        return self._text.text() if not self.isHidden() else ""

    def set_look(self, look: Look) -> None:
        """Ink the icons for a look, as large as the program's text asks."""
        share = QApplication.font().pointSizeF() / TEXT_POINTS
        self._look, self._side = look, round(SIGN * share)
        self._close.setIcon(icon("close", look.text))
        self._close.setIconSize(QSize(self._side, self._side) * CLOSE)
        if self._message is not None:
            self._ink(self._message)

    def show_message(self, message: Message) -> None:
        """Show one message in place of the last."""
        self._message = message
        self._ink(message)
        self._text.setText(message.text)
        self.setAccessibleName(message.text)
        self._offer(message)
        self.show()

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802 (Qt's name)
        if event.key() == Qt.Key.Key_Escape:
            self.hide()
        else:
            super().keyPressEvent(event)

    def _ink(self, message: Message) -> None:
        name, ink = ("fault", self._look.fault) if message.kind == "fault" else ("tick", self._look.accent)
        self._sign.setPixmap(icon(name, ink).pixmap(self._side, self._side))
        self.setProperty("message", message.kind)
        self.style().unpolish(self)
        self.style().polish(self)

    def _offer(self, message: Message) -> None:
        for button in self.buttons:
            button.deleteLater()
        self.buttons = [self._button(name, act) for name, act in message.actions]
        for at, button in enumerate(self.buttons):
            self._row.insertWidget(2 + at, button)

    def _button(self, name: str, act: Callable[[], None]) -> QPushButton:
        button = QPushButton(name)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # a click leaves the keyboard where it was
        button.clicked.connect(lambda: (self.hide(), act()))
        return button
