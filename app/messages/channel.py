"""Where everything that must be told to the person is put; the window shows it in its bar."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from types import TracebackType
from typing import Literal

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from layout.geometry.value import Value
from layout.model.errors import PlatefulError

Kind = Literal["fault", "news"]


class Message(Value, frozen=True, eq=False):
    """One sentence for a person, and what she may do about it."""

    text: str
    kind: Kind = "fault"
    actions: tuple[tuple[str, Callable[[], None]], ...] = ()


class Messages(QObject):
    """The one channel; who shows messages listens to `told`."""

    told = Signal(object)
    settled = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._step: QUndoStack | None = None

    def fault(self, text: str) -> None:
        """Tell of something that went wrong."""
        self._tell(Message(text))

    def news(self, text: str, *actions: tuple[str, Callable[[], None]]) -> None:
        """Tell of something worth knowing, with what may be done about it."""
        self._tell(Message(text, "news", tuple(actions)))

    def refusal(self, text: str, undo: QUndoStack) -> None:
        """Tell why something was not done, until the next step: that one was done."""
        self.fault(text)
        self._step = undo
        undo.indexChanged.connect(self._gone_on)

    def step(self, text: str, offer: str, undo: QUndoStack) -> None:
        """Tell of the step just made and offer to take it back, as long as it is the last one."""
        self.news(text, (offer, undo.undo))
        self._step = undo
        undo.indexChanged.connect(self._gone_on)

    def clear(self) -> None:
        """Take the present message away: the matter is settled."""
        self._let_go()
        self.settled.emit()

    def _tell(self, message: Message) -> None:
        self._let_go()
        self.told.emit(message)

    def _gone_on(self) -> None:
        # An offer would now take back something else than it says; what was refused is past.
        self.clear()

    def _let_go(self) -> None:
        if self._step is not None:
            self._step.indexChanged.disconnect(self._gone_on)
        self._step = None

    def catch_all(self) -> None:
        """Bring every exception that nobody caught into this channel; the details go to standard error."""
        sys.excepthook = self._uncaught

    def _uncaught(self, kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if isinstance(error, PlatefulError):
            self.fault(str(error))
            return
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        traceback.print_exception(kind, error, trace)
        self.fault("Something went wrong inside the program; your project is kept. Undo the last step and save.")
