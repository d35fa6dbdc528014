"""Work that may wait: done in short slices between the window's events, so that no hand waits for it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from time import perf_counter

from PySide6.QtCore import QObject, QTimer

SLICE_S = 0.006  # a third of a frame at 60 a second

Work = Iterator[object]


class Chores(QObject):
    """One queue for the whole window; a piece of work is an iterator that does a little at every step."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._waiting: dict[str, Work] = {}
        self._next = QTimer(self)
        self._next.setSingleShot(True)
        self._next.setInterval(0)
        self._next.timeout.connect(self._slice)

    def add(self, name: str, work: Work, *, first: bool = False) -> None:
        """Do this work when nothing else is to do, instead of what waits under the same name; `first`: before all."""
        self._waiting.pop(name, None)
        self._waiting = {name: work, **self._waiting} if first else {**self._waiting, name: work}
        self._next.start()

    def call(self, name: str, call: Callable[[], object]) -> None:
        """Make a call when nothing else is to do, instead of what waits under the same name."""
        self.add(name, _Call(call))

    def drop(self, name: str) -> None:
        """Leave a piece of work undone."""
        self._waiting.pop(name, None)

    def waits(self, name: str) -> bool:
        """Whether a piece of work is not done yet."""
        return name in self._waiting

    def finish(self) -> None:
        """Do everything that waits, now."""
        while self._waiting:
            self._do(next(iter(self._waiting)), float("inf"))

    def _slice(self) -> None:
        end = perf_counter() + SLICE_S
        while self._waiting and perf_counter() < end:
            name = next(iter(self._waiting))
            called = isinstance(self._waiting[name], _Call)
            self._do(name, end)
            if called:
                break  # what it changed is laid out and painted by the window's own events, before anything else
        if self._waiting:
            self._next.start()

    def _do(self, name: str, end: float) -> None:
        work = self._waiting[name]
        try:
            for _ in work:
                # A step may drop its own work, put other work in its place, or put some before it.
                if perf_counter() >= end or next(iter(self._waiting.items()), None) != (name, work):
                    return
        except BaseException:
            self._forget(name, work)
            raise
        self._forget(name, work)

    def _forget(self, name: str, work: Work) -> None:
        if self._waiting.get(name) is work:
            del self._waiting[name]


class _Call:
    """A call as a piece of work of one step."""

    def __init__(self, call: Callable[[], object]) -> None:
        self._call: Callable[[], object] | None = call

    def __iter__(self) -> _Call:
        return self

    def __next__(self) -> object:
        if self._call is None:
            raise StopIteration
        call, self._call = self._call, None
        return call()
