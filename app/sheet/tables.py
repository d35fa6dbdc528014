"""Tables on the page: a head, rows that break across pages, a patch of paper before a row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from PySide6.QtGui import QColor

from app.guide.flow import Block
from app.guide.ink import Ink, wrap
from app.guide.sheet import Box

SIZE = 3.0
LINE = SIZE * 1.3
PAD = 1.2
PATCH = 4.5


@dataclass(frozen=True)
class TableRow:
    """One row; `shares` are its columns' shares of the width, `patch` the ground of the paper it is about."""

    cells: Sequence[str]
    shares: Sequence[float]
    bold: bool = False
    patch: QColor | None = None
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return PAD * 2 + LINE * max(len(wrap(c, w, SIZE, self.bold)) for c, _, w in self._placed(width))

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        if self.patch is not None:
            ink.box(Box(box.x + 0.4, box.y + PAD, PATCH - 1.2, SIZE), 0.15, fill=self.patch)
        for cell, x, width in self._placed(box.width):
            ink.paragraph(Box(box.x + x, box.y + PAD, width, box.height), cell, SIZE, bold=self.bold)
        ink.line([(box.x, box.y + box.height), (box.right, box.y + box.height)], 0.3 if self.bold else 0.1)

    def _placed(self, width: float) -> Iterator[tuple[str, float, float]]:
        whole, x = sum(self.shares), PATCH
        for cell, share in zip(self.cells, self.shares, strict=True):
            column = (width - PATCH) * share / whole
            yield cell, x, column - 2.0
            x += column


def table(
    head: Sequence[str], shares: Sequence[float], entries: Sequence[tuple[QColor | None, Sequence[str]]]
) -> Iterator[Block]:
    """Give a table's rows, the head held together with the first one."""
    yield TableRow(head, shares, bold=True, keep=True)
    for patch, cells in entries:
        yield TableRow(cells, shares, patch=patch)
