"""Embossing turns in the tick list: the folder with its hinge, and where the pieces lie in it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from app.guide.flow import Block, Heading, Words, rows
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.pictures import Scaled, outline
from app.guide.sheet import Box
from layout.model.embossing import Folder, Turn, folders, turns
from layout.planning.embossing import embossed, too_large

ORDER = (
    "After cutting. Lay the pieces into the open folder as drawn, good side as the folder’s maker says, close it, and "
    "crank it through hinge first, in the stack for folders that your machine’s manual names."
)


def embossing_turns(job: Job) -> tuple[Turn, ...]:
    """Return the embossing turns of the guide's plan, worked out where the plan holds none that fit."""
    if "embossing" not in job.kept:
        job.kept["embossing"] = turns(embossed(job.project, job.plan))
    made: tuple[Turn, ...] = job.kept["embossing"]
    return made


def embossing_blocks(job: Job) -> Iterator[Block]:
    """Give the tick list's blocks for embossing, none where nothing is embossed."""
    made = embossing_turns(job)
    owned = {folder.id: folder for folder in folders(job.project)}
    if made:
        yield Heading("Embossing")
        yield Words(ORDER, 3.0, keep=True)
    yield from rows([TurnCell(job, owned[turn.folder], n, len(made)) for n, turn in enumerate(made)], 2)
    for wanted, folder in too_large(job.project):
        room = job.sides(folder.width, folder.length)
        yield Words(f"{job.wanted_name(wanted)} does not fit into {folder.name} ({room}): it stays plain.", 3.0)


@dataclass(frozen=True)
class TurnCell:
    """One turn with a folder, to tick off."""

    job: Job
    folder: Folder
    place: int
    of: int
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return max(46.0, 10.0 + sum(len(wrap(line, width - 47, 2.7)) * 2.7 * 1.3 + 0.6 for line in self._lines()))

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        self._picture(ink, Box(box.x + 1, box.y + 4, 43, 38))
        words = Box(box.x + 47, box.y + 1, box.width - 47, 38)
        ink.box(Box(words.x, words.y + 0.5, 4.6, 4.6), 0.4)
        ink.text((words.x + 6.6, words.y + 4.4), f"embossing {self.place + 1} of {self.of}", 4.2, bold=True)
        y = words.y + 7
        for line in self._lines():
            y = ink.paragraph(Box(words.x, y, words.width, 10), line, 2.7) + 0.6

    def _lines(self) -> list[str]:
        pieces = Counter(self.job.wanted_name(piece.wanted) for piece in self._turn.pieces)
        listed = "; ".join(f"{count} × {name}" for name, count in pieces.items())
        room = self.job.sides(self.folder.width, self.folder.length)
        return [f"folder: {self.folder.name}, usable {room}", f"pieces: {listed}", "hinge first"]

    @property
    def _turn(self) -> Turn:
        return embossing_turns(self.job)[self.place]

    def _picture(self, ink: Ink, box: Box) -> None:
        """Draw the folder with its hinge at the top, an arrow into the rollers, and the pieces in it."""
        scaled = Scaled.fit((0, 0, self.folder.width, self.folder.length), box.less(top=5, left=1, right=1), most=0.4)
        (left, top), (right, bottom) = scaled.point((0, self.folder.length)), scaled.point((self.folder.width, 0))
        ink.box(Box(left, top, right - left, bottom - top), 0.25)
        ink.line([(left, top - 0.6), (right, top - 0.6)], 1.0)
        middle = (left + right) / 2
        ink.text((middle - 2.2, top - 2.2), "hinge", 2.5, align="right")
        ink.line([(middle, top - 1.4), (middle, top - 5.0)], 0.4)
        ink.line([(middle - 1.2, top - 3.4), (middle, top - 5.2), (middle + 1.2, top - 3.4)], 0.4)
        for piece in self._turn.pieces:
            shape = piece.pose.outline(self.job.shapes[self.job.wanted[piece.wanted].shape]).polygon
            outline(ink, scaled.shape(shape), 0.15)
