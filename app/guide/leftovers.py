"""What will be left over: each sheet that is used, with what is cut out of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry.base import BaseGeometry

from app.guide.flow import Block, Words, rows
from app.guide.history import Gone, pieces_by_sheet
from app.guide.ink import Ink
from app.guide.job import Job
from app.guide.pictures import paint_sheet
from app.guide.sheet import Box
from layout.rules.book import posed


def leftover_blocks(job: Job) -> Iterator[Block]:
    """Give the leftover pages' blocks: alike sheets share a picture."""
    groups = _alike(pieces_by_sheet(job))
    if groups:
        yield Words("Grey is what comes out of each sheet; white is what goes back into the drawer.", 3.2, after=2.0)
    yield from rows([Leftover(job, scrap, tuple(copies), pieces) for (scrap, pieces), copies in groups.items()], 3)


def _alike(sheets: dict[tuple[str, int], tuple[Gone, ...]]) -> dict[tuple[str, tuple[Gone, ...]], list[int]]:
    groups: dict[tuple[str, tuple[Gone, ...]], list[int]] = defaultdict(list)
    for (scrap, copy), pieces in sheets.items():
        groups[scrap, pieces].append(copy)
    return groups


@dataclass(frozen=True)
class Leftover:
    """One sheet after the last pass."""

    job: Job
    scrap: str
    copies: tuple[int, ...]
    pieces: tuple[Gone, ...]
    keep: bool = False

    def height(self, width: float) -> float:  # noqa: ARG002 (drawn, not set)
        """How high it is."""
        return 62.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        scrap = self.job.scraps[self.scrap]
        gone = [self._shape(piece) for piece in self.pieces]
        stains = [stain.polygon for stain in scrap.spoiled]
        picture = Box(box.x + 1, box.y + 1, box.width - 2, 48)
        paint_sheet(ink, picture, scrap.outline.polygon, scrap.up, stains, (), gone)
        name = self.job.names.scraps[self.scrap]
        if scrap.count > 1:
            name += f", sheet{'s' if len(self.copies) > 1 else ''} " + ", ".join(str(copy + 1) for copy in self.copies)
        below = ink.paragraph(Box(box.x, box.y + 50, box.width, 8), name, 2.9, bold=True)
        share = 100 * (1 - sum(piece.area for piece in gone) / scrap.outline.area)
        out = "1 piece" if len(gone) == 1 else f"{len(gone)} pieces"
        ink.paragraph(Box(box.x, below, box.width, 6), f"{out} out, {share:.0f} % of the paper left", 2.5)

    def _shape(self, piece: Gone) -> BaseGeometry:
        return posed(self.job.shapes[piece.shape].polygon, piece.pose)
