"""What will be left over: each sheet that is used, with what is cut out of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from app.guide.flow import Block, Words, rows
from app.guide.history import Gone, pieces_by_sheet
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.names import spans
from app.guide.pictures import paint_sheet
from app.guide.sheet import Box
from layout.rules.book import posed

COLUMNS = 4
NAME, OUT = 2.9, 2.5
MOST_HIGH = 48.0
MOST_SCALE = 0.5
Seen = tuple[str, tuple[tuple[str, int, int, int], ...]]
"""A sheet as its small picture shows it: pieces to a mm and a degree."""


def leftover_blocks(job: Job) -> Iterator[Block]:
    """Give the leftover pages' blocks: sheets that look alike share a picture."""
    groups = list(_alike(pieces_by_sheet(job)))
    if groups:
        yield Words("Grey is what comes out of each sheet; white is what goes back into the drawer.", 3.2, after=2.0)
    yield from rows([Leftover(job, *group) for group in groups], COLUMNS)


def _alike(sheets: dict[tuple[str, int], tuple[Gone, ...]]) -> Iterator[tuple[str, tuple[int, ...], tuple[Gone, ...]]]:
    groups: dict[Seen, list[int]] = defaultdict(list)
    for (scrap, copy), pieces in sheets.items():
        groups[_seen(scrap, pieces)].append(copy)
    for (scrap, _), copies in groups.items():
        yield scrap, tuple(sorted(copies)), sheets[scrap, copies[0]]


def _seen(scrap: str, pieces: tuple[Gone, ...]) -> Seen:
    poses = ((piece.shape, piece.pose) for piece in pieces)
    return scrap, tuple(sorted((s, round(pose.x), round(pose.y), round(pose.turn) % 360) for s, pose in poses))


@dataclass(frozen=True)
class Leftover:
    """One sheet after the last pass, or several that look alike."""

    job: Job
    scrap: str
    copies: tuple[int, ...]
    pieces: tuple[Gone, ...]
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        words = len(wrap(self._name, width, NAME, True)) * NAME + len(wrap(self._out, width, OUT)) * OUT
        return self._picture_height(width) + 6.0 + 1.3 * words

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        scrap = self.job.scraps[self.scrap]
        gone = [posed(self.job.shapes[piece.shape].polygon, piece.pose) for piece in self.pieces]
        stains = [stain.polygon for stain in scrap.spoiled]
        high = self._picture_height(box.width)
        paint_sheet(
            ink, Box(box.x + 1, box.y + 1, box.width - 2, high), scrap.outline.polygon, scrap.up, stains, (), gone
        )
        below = ink.paragraph(Box(box.x, box.y + high + 2, box.width, 8), self._name, NAME, bold=True)
        ink.paragraph(Box(box.x, below, box.width, 6), self._out, OUT)

    def _picture_height(self, width: float) -> float:
        x0, y0, x1, y1 = self.job.scraps[self.scrap].outline.bounds
        return min(MOST_HIGH, (y1 - y0) * min(MOST_SCALE, (width - 2) / max(x1 - x0, 1.0)))

    @property
    def _name(self) -> str:
        name = self.job.names.scraps[self.scrap]
        if self.job.scraps[self.scrap].count == 1:
            return name
        return f"{name}, sheet{'s' if len(self.copies) > 1 else ''} {spans([copy + 1 for copy in self.copies])}"

    @property
    def _out(self) -> str:
        gone = sum(self.job.shapes[piece.shape].area for piece in self.pieces)
        out = "1 piece" if len(self.pieces) == 1 else f"{len(self.pieces)} pieces"
        return f"{out} out, {100 * (1 - gone / self.job.scraps[self.scrap].outline.area):.0f} % of the paper left"
