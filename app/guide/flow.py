"""Blocks set one below the other, over as many pages as they need."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from app.guide.frame import middle, paint_frame
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.sheet import Box, Sheet

LEADING = 1.3
GUTTER = 5.0


class Block(Protocol):
    """Something that knows its height in a column and paints itself; `keep` holds it together with the next one."""

    keep: bool

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""


@dataclass(frozen=True)
class Words:
    """A paragraph; with `mark`, an entry of a numbered list."""

    words: str
    size: float = 3.2
    bold: bool = False
    mark: str = ""
    after: float = 1.2
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return self.size * LEADING * len(wrap(self.words, width - self._indent, self.size, self.bold)) + self.after

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        if self.mark:
            ink.text((box.x, box.y + self.size), self.mark, self.size, bold=True)
        ink.paragraph(box.less(left=self._indent), self.words, self.size, bold=self.bold)

    @property
    def _indent(self) -> float:
        return 3.5 + 2.0 * len(self.mark) if self.mark else 0.0


@dataclass(frozen=True)
class Heading:
    """A heading, kept together with what follows it."""

    words: str
    keep: bool = True

    def height(self, width: float) -> float:  # noqa: ARG002 (the same in any column)
        """How high it is in a column of this width."""
        return 9.4

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        ink.text((box.x, box.y + 6.2), self.words, 4.4, bold=True)
        ink.line([(box.x, box.y + 7.6), (box.right, box.y + 7.6)], 0.2)


@dataclass(frozen=True)
class Row:
    """Blocks side by side in columns of equal width."""

    cells: Sequence[Block]
    columns: int
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return max(cell.height(self._width(width)) for cell in self.cells)

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        width = self._width(box.width)
        for place, cell in enumerate(self.cells):
            cell.paint(ink, Box(box.x + place * (width + GUTTER), box.y, width, box.height))

    def _width(self, width: float) -> float:
        return (width - GUTTER * (self.columns - 1)) / self.columns


def half(width: float) -> float:
    """Return how wide each of two columns is."""
    return (width - GUTTER) / 2


def rows(cells: Sequence[Block], columns: int) -> list[Row]:
    """Set cells in rows of so many columns."""
    return [Row(cells[first : first + columns], columns) for first in range(0, len(cells), columns)]


@dataclass(frozen=True)
class FlowPage:
    """A page of blocks."""

    job: Job
    heading: str
    sub: str
    placed: list[tuple[Block, Box]] = field(default_factory=list)

    @property
    def sheet(self) -> Sheet:
        """The sheet it is printed on."""
        return self.job.sheet

    def paint(self, ink: Ink, number: int, pages: int) -> None:
        """Paint the page."""
        paint_frame(ink, self.job, self.sheet, self.heading, number, pages, sub=self.sub)
        for block, box in self.placed:
            block.paint(ink, box)


def flow(job: Job, heading: str, sub: str, blocks: Iterable[Block]) -> list[FlowPage]:
    """Set blocks on pages: a block that does not fit goes to the next page, and so do headings just above it."""
    area = middle(job.sheet).less(top=1.0, bottom=1.0)
    pages = [FlowPage(job, heading, sub)]
    y = area.y
    for group in _groups(blocks):
        need = sum(block.height(area.width) for block in group)
        if y + need > area.bottom and pages[-1].placed:
            pages.append(FlowPage(job, heading, sub))
            y = area.y
        for block in group:
            height = block.height(area.width)
            pages[-1].placed.append((block, Box(area.x, y, area.width, height)))
            y += height
    return pages if pages[0].placed else []


def _groups(blocks: Iterable[Block]) -> Iterable[list[Block]]:
    group: list[Block] = []
    for block in blocks:
        group.append(block)
        if not block.keep:
            yield group
            group = []
    if group:
        yield group
