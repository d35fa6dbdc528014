"""What lies on the tray on its way in: the things found, which one is picked, and the way back from every change."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.wayin.found import Found
from layout.geometry.value import replace

Things = tuple[Found, ...]


class Tray(QObject):
    """Owns the things; who shows them listens to `changed` and `picked`."""

    changed = Signal()
    picked = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.things: Things = ()
        self.at = -1
        self._before: list[Things] = []
        self._after: list[Things] = []
        self._merge: Hashable = None

    @property
    def thing(self) -> Found | None:
        """The picked thing."""
        return self.things[self.at] if 0 <= self.at < len(self.things) else None

    @property
    def kept(self) -> int:
        """How many will be taken in."""
        return sum(t.kept for t in self.things)

    def start(self, things: Sequence[Found]) -> None:
        """Lay other things on the tray; there is no way back from it."""
        self.things, self.at = tuple(things), 0 if things else -1
        self._before, self._after, self._merge = [], [], None
        self.changed.emit()
        self.picked.emit()

    def pick(self, at: int) -> None:
        """Pick a thing by its number, -1 for none."""
        if at != self.at and -1 <= at < len(self.things):
            self.at = at
            self._merge = None
            self.picked.emit()

    def step(self, by: int) -> bool:
        """Pick the next or previous thing that is kept; tells whether there was one."""
        at = self.at + by
        while 0 <= at < len(self.things):
            if self.things[at].kept:
                self.pick(at)
                return True
            at += by
        return False

    def alter(self, merge: Hashable = None, **fields: Any) -> None:
        """Change the picked thing; changes in a row of the same `merge` are one step back."""
        if self.thing is not None:
            things = (*self.things[: self.at], replace(self.thing, **fields), *self.things[self.at + 1 :])
            self.change(things, (merge, self.at) if merge is not None else None)

    def change(self, things: Things, merge: Hashable = None) -> None:
        """Go on to other things, as many as before."""
        if things == self.things:
            return
        if merge is None or merge != self._merge:
            self._before.append(self.things)
        self._after, self._merge, self.things = [], merge, things
        self.changed.emit()

    def undo(self) -> None:
        """Take the last change back."""
        self._go(self._before, self._after)

    def redo(self) -> None:
        """Do again what was taken back."""
        self._go(self._after, self._before)

    def _go(self, source: list[Things], other: list[Things]) -> None:
        if source:
            other.append(self.things)
            self.things, self._merge = source.pop(), None
            self.changed.emit()
