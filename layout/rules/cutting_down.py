"""Sheets cut down by straight cuts from edge to edge, and the paper that a plan means by scrap, copies and part."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import shapely

from layout.model.parting import cut_apart
from layout.model.plan import CutDown, Line
from layout.rules.book import Book, PaperShape, Shape
from layout.rules.finding import AREA_SLACK


class Sheets:
    """The parts of every sheet of a plan; whole sheets come from the book."""

    def __init__(self, book: Book, cut_downs: Iterable[CutDown] = ()) -> None:
        self._book = book
        self._parts: dict[tuple[str, int], list[PaperShape]] = {}
        for entry in cut_downs:
            if entry.scrap in book.scraps:
                self._parts[entry.scrap, entry.copy] = self._made(entry)

    def shape(self, scrap: str, copies: Sequence[int], part: int | None) -> PaperShape:
        """Return the paper meant, in the scrap's frame; the whole sheet where the part is not there."""
        if self.is_there(scrap, copies, part) and part is not None:
            return self._parts[scrap, copies[0]][part]
        return self._book.sheet(scrap)

    def is_there(self, scrap: str, copies: Sequence[int], part: int | None) -> bool:
        """Whether a part is named exactly where the sheets are cut down, and each of them has it."""
        known = [self._parts.get((scrap, copy)) for copy in copies]
        if part is None:
            return not any(known)
        return all(parts is not None and part < len(parts) for parts in known)

    def are_alike(self, scrap: str, copies: Sequence[int], part: int | None) -> bool:
        """Whether stacked sheets were cut down to the same part."""
        if part is None or not self.is_there(scrap, copies, part):
            return True
        parts = [self._parts[scrap, copy][part].area for copy in copies]
        return all(p.symmetric_difference(parts[0]).area <= AREA_SLACK for p in parts[1:])

    def _made(self, entry: CutDown) -> list[PaperShape]:
        areas = cut_apart(self._book.scraps[entry.scrap].outline.polygon, entry.cuts)
        return [PaperShape(area, self._book.gaps.paper_edge) for area in areas]


def across(line: Line) -> tuple[float, float]:
    """Return the direction from what is left of a line to what is right of it."""
    (ax, ay), (bx, by) = line
    length = math.hypot(bx - ax, by - ay)
    return (by - ay) / length, -(bx - ax) / length


def stop_of(part: Shape, line: Line) -> float:
    """Return where a trimmer's stop is set to cut a part: from the far edge of what is left of the line (mm)."""
    (nx, ny), (x, y) = across(line), line[0]
    return float(x * nx + y * ny - min(px * nx + py * ny for px, py in shapely.get_coordinates(part)))
