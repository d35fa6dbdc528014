"""Where everything that must be told to the person is put; the window shows it in its bar."""

from __future__ import annotations

import sys
import traceback
from collections.abc import Callable
from dataclasses import dataclass, field
from types import TracebackType
from typing import Literal

from PySide6.QtCore import QObject, Signal

from layout.model.errors import PlatefulError

Kind = Literal["fault", "news"]


@dataclass(frozen=True, slots=True)
class Message:
    """One sentence for a person, and what she may do about it."""

    text: str
    kind: Kind = "fault"
    actions: tuple[tuple[str, Callable[[], None]], ...] = field(default=(), compare=False)


class Messages(QObject):
    """The one channel; who shows messages listens to `told`."""

    told = Signal(object)
    settled = Signal()

    def fault(self, text: str) -> None:
        """Tell of something that went wrong."""
        self.told.emit(Message(text))

    def news(self, text: str, *actions: tuple[str, Callable[[], None]]) -> None:
        """Tell of something worth knowing, with what may be done about it."""
        self.told.emit(Message(text, "news", tuple(actions)))

    def clear(self) -> None:
        """Take the present message away: the matter is settled."""
        self.settled.emit()

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
