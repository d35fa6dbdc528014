"""What the person looks at and holds in hand: the layout, the pass, the things picked out. No part of the file."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from app.document.document import Document


class Selection(QObject):
    """One selection shared by canvas and panels; it follows the document and never changes it."""

    moved = Signal()  # another layout or pass is looked at
    changed = Signal()  # other things are picked out

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._layout = 0
        self._run = 0
        self._dies: frozenset[int] = frozenset()
        self._scraps: frozenset[int] = frozenset()
        document.replaced.connect(self._start_again)
        document.plan_changed.connect(self._stay_inside)

    @property
    def layout(self) -> int:
        """Number of the layout looked at."""
        return self._layout

    @property
    def run(self) -> int:
        """Number of the pass within its layout."""
        return self._run

    @property
    def dies(self) -> frozenset[int]:
        """Numbers of the picked dies in the layout."""
        return self._dies

    @property
    def scraps(self) -> frozenset[int]:
        """Numbers of the picked scraps in the run."""
        return self._scraps

    @property
    def empty(self) -> bool:
        """Whether nothing is picked."""
        return not self._dies and not self._scraps

    def look_at(self, layout: int, run: int) -> None:
        """Turn to a layout and a pass; what was picked is put down."""
        if (layout, run) != (self._layout, self._run):
            self._layout, self._run = layout, run
            self._dies = self._scraps = frozenset()
            self._stay_inside()
            self.moved.emit()
            self.changed.emit()

    def pick(self, dies: frozenset[int] = frozenset(), scraps: frozenset[int] = frozenset()) -> None:
        """Pick exactly these."""
        if (dies, scraps) != (self._dies, self._scraps):
            self._dies, self._scraps = dies, scraps
            self.changed.emit()

    def _start_again(self) -> None:
        self._layout = self._run = 0
        self._dies = self._scraps = frozenset()
        self.moved.emit()
        self.changed.emit()

    def _stay_inside(self) -> None:
        layouts = self._document.plan.layouts
        layout = min(self._layout, max(0, len(layouts) - 1))
        runs = layouts[layout].runs if layouts else ()
        run = min(self._run, max(0, len(runs) - 1))
        dies = frozenset(i for i in self._dies if layouts and i < len(layouts[layout].dies))
        scraps = frozenset(i for i in self._scraps if runs and i < len(runs[run].scraps))
        moved, changed = (layout, run) != (self._layout, self._run), (dies, scraps) != (self._dies, self._scraps)
        self._layout, self._run, self._dies, self._scraps = layout, run, dies, scraps
        if moved:
            self.moved.emit()
        if changed:
            self.changed.emit()
