"""A calm bar over the plate's edge or above what it is about: one sentence at a time, never a box in the way."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import (
    QApplication,
    QBoxLayout,
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QToolButton,
    QWidget,
)

from app.look.icons import icon
from app.look.tokens import LIGHT, ROOM, SPACE, TEXT_POINTS, Look
from app.messages.channel import Message, Messages

if TYPE_CHECKING:
    from PySide6.QtGui import QKeyEvent

Way = QBoxLayout.Direction
SIGN = 22
CLOSE = 16 / SIGN
LEAST_WORDS, WIDEST = 300, 680  # pixels at the usual text size: of the words beside buttons, of a bar that floats
MOST_COVERED = 0.25  # of a part's height


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
        self._under: QWidget | None = None  # what the bar floats on
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(ROOM, SPACE, SPACE, SPACE)
        self._row.setSpacing(SPACE)
        self._said, self._offers = QBoxLayout(Way.LeftToRight), QHBoxLayout()
        self._said.setSpacing(SPACE)
        self._offers.setSpacing(SPACE)
        self._said.addWidget(self._text, 1)
        self._said.addLayout(self._offers)
        self._row.addWidget(self._sign, 0, Qt.AlignmentFlag.AlignTop)
        self._row.addLayout(self._said, 1)
        self._row.addWidget(self._close, 0, Qt.AlignmentFlag.AlignTop)
        self.buttons: list[QPushButton] = []
        self._message: Message | None = None
        self.hide()
        messages.told.connect(self.show_message)
        messages.settled.connect(self.hide)

    def float_on(self, part: QWidget) -> None:
        """Lie over the upper edge of a part beside the bar; that part stays where it is when the bar comes and goes."""
        self._under = part
        self.setProperty("floating", True)
        self.place()

    def place(self) -> None:
        """Lie where the part is now, as high as the words need; across the window where they would cover the part."""
        if self._under is None or self.isHidden():
            return
        room, whole = QRect(self._under.mapTo(self.parentWidget(), QPoint()), self._under.size()), self.parentWidget()
        wide = min(room.width() - 2 * SPACE, round(WIDEST * self._side / SIGN))
        left = room.left() + (room.width() - wide) // 2
        high = self._height(wide)
        if high > MOST_COVERED * room.height():
            left, wide = SPACE, whole.width() - 2 * SPACE
            high = self._height(wide)
        self.setGeometry(left, room.top() + SPACE, wide, high)
        self.raise_()

    def _height(self, wide: int) -> int:
        """Return the height for a width, having put the buttons below the words where these had too little beside."""
        beside = wide - self._offers.sizeHint().width() > LEAST_WORDS * self._side / SIGN
        self._said.setDirection(Way.LeftToRight if beside else Way.TopToBottom)
        self._row.invalidate()
        return self.heightForWidth(wide)

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
        self._text.setMinimumHeight(self._side)
        self.place()
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
        self.place()

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
            self._offers.removeWidget(button)
            button.hide()
            button.deleteLater()
        self.buttons = [self._button(name, act) for name, act in message.actions]
        for button in self.buttons:
            self._offers.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
            button.show()  # at once, as the words give it room

    def _button(self, name: str, act: Callable[[], None]) -> QPushButton:
        button = QPushButton(name)
        button.setFocusPolicy(Qt.FocusPolicy.TabFocus)  # a click leaves the keyboard where it was
        button.clicked.connect(lambda: (self.hide(), act()))
        return button
