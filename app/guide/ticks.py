"""The tick list: every pass in its order, with a small picture, its scraps and what it cuts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from app.guide.flow import Block, Words, rows
from app.guide.history import layings
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.names import spans
from app.guide.paper import laid_paper
from app.guide.pictures import PassPicture, SmallDie
from app.guide.rollercurve import highest, paint_curve, peak_of, profile_of
from app.guide.sheet import Box
from layout.model.plan import Layout

SIZE, HEAD = 2.7, 3.8
MOST_TICKS = 12
"""At most so many passes share one picture, so that a page can hold them."""


def tick_blocks(job: Job) -> Iterator[Block]:
    """Give the tick list's blocks: two passes, or groups that look alike, in a row."""
    if job.plan.layouts:
        yield Words("The grey shape beside each plate is the blade that lies under the rollers at that height.", 3.0)
    cells = [
        PassCell(job, layout, places, number == 0)
        for layout in job.plan.layouts
        for number, places in enumerate(alike_in_a_row(job, layout))
    ]
    yield from rows(cells, 2)


def alike_in_a_row(job: Job, layout: Layout) -> Iterator[tuple[int, ...]]:
    """Give a layout's passes in their order, those together that follow one another and look alike on the plate."""
    group = {place: number for number, places in enumerate(layings(job, layout)) for place in places}
    for _, places in groupby(range(len(layout.runs)), key=group.__getitem__):
        yield from batched(list(places), MOST_TICKS)


def batched(places: Sequence[int], most: int) -> Iterator[tuple[int, ...]]:
    """Give places in their order, at most so many together."""
    for first in range(0, len(places), most):
        yield tuple(places[first : first + most])


@dataclass(frozen=True)
class PassCell:
    """One pass to tick off, or several that look alike on the plate."""

    job: Job
    layout: Layout
    places: tuple[int, ...]
    first: bool = True
    """Whether the dies of its layout are taped down for it."""
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return self._head_height(width) + self._body_height(width)

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        below = ink.paragraph(box, self._head, HEAD, bold=True)
        ink.line([(box.x, below + 0.6), (box.right, below + 0.6)], 0.2)
        self._body(ink, box.less(top=self._head_height(box.width)))

    @property
    def _head(self) -> str:
        numbers = spans(sorted({self.job.names.die_numbers[placed.die] for placed in self.layout.dies}))
        dies = "die" if len(self.layout.dies) == 1 else "dies"
        if self.first:
            return f"Layout {self.layout.id}: tape down {dies}\u00a0{numbers}"
        return f"Layout {self.layout.id}: the {dies} {'stays' if dies == 'die' else 'stay'}"

    def _head_height(self, width: float) -> float:
        return HEAD * 1.3 * len(wrap(self._head, width, HEAD, True)) + 2.0

    def _body_height(self, width: float) -> float:
        column = width - 47
        ticks = sum(self._tick_height(words, column) for _, words in self._ticks())
        return max(42.0, 3.0 + ticks + sum(_high(line, column) for line in self._lines()))

    def _body(self, ink: Ink, box: Box) -> None:
        picture(self.job, self.layout, self.places[0]).paint(ink, Box(box.x, box.y + 1, 34, 38))
        self._curve(ink, Box(box.x + 34, box.y + 1, 11, 38))
        column = box.less(left=47, top=1)
        y = column.y
        for name, words in self._ticks():
            self._tick(ink, Box(column.x, y, column.width, 8), name, words)
            y += self._tick_height(words, column.width)
        for line in self._lines():
            y = ink.paragraph(Box(column.x, y, column.width, 10), line, SIZE) + 0.6

    def _ticks(self) -> list[tuple[str, str]]:
        """Return what is ticked off: the pass's number, and its scraps."""
        of = self.job.plan.passes
        runs = [(self.job.runs[self.layout.id, place], self.layout.runs[place]) for place in self.places]
        return [(f"pass {number} of {of}", f"scraps: {self.job.names.run(run)}") for number, run in runs]

    def _tick_height(self, words: str, width: float) -> float:
        return 6.0 + _high(words, width - self._indent)

    @property
    def _indent(self) -> float:
        """What belongs to one pass of several stands under its number."""
        return 6.6 if len(self.places) > 1 else 0.0

    def _tick(self, ink: Ink, box: Box, name: str, words: str) -> None:
        ink.box(Box(box.x, box.y + 0.5, 4.6, 4.6), 0.4)
        ink.text((box.x + 6.6, box.y + 4.4), name, 4.2, bold=True)
        ink.paragraph(box.less(left=self._indent, top=6.0), words, SIZE)

    def _lines(self) -> list[str]:
        cuts = "cuts" if len(self.places) == 1 else "cuts each time"
        told = {cuts: self._cuts(), "lift off": self._idle(), "rollers": self._peak()}
        return [f"{name}: {text}" for name, text in told.items() if text]

    def _curve(self, ink: Ink, box: Box) -> None:
        """Draw the blade under the rollers beside the small plate, at its height."""
        machine = self.job.project.machine
        high = machine.bed_length * bed_scale(machine.bed_width, machine.bed_length)
        top = box.y + (box.height - high) / 2
        most = highest(self.job)
        paint_curve(
            ink,
            Box(box.x, top, box.width, high),
            profile_of(self.job, self.layout, self.places[0]),
            machine.bed_length,
            most,
        )

    def _cuts(self) -> str:
        run = self.layout.runs[self.places[0]]
        made: Counter[str] = Counter()
        for cut in run.cuts:
            made[self.job.wanted_name(cut.wanted)] += len(run.scraps[cut.scrap].copies)
        return "; ".join(f"{count}\u00a0×\u00a0{name}" for name, count in made.items())

    def _peak(self) -> str:
        most = round(peak_of(self.job, self.layout, self.places[0]))
        return f"at most {self.job.length(most)} of blade at once"

    def _idle(self) -> str:
        used = {cut.die for cut in self.layout.runs[self.places[0]].cuts}
        idle = [placed.die for number, placed in enumerate(self.layout.dies) if number not in used]
        words = "die" if len(idle) == 1 else "dies"
        return f"{words}\u00a0{spans(sorted(self.job.names.die_numbers[die] for die in idle))}" if idle else ""


def _high(words: str, width: float) -> float:
    return SIZE * 1.3 * len(wrap(words, width, SIZE)) + 0.6


def bed_scale(width: float, length: float) -> float:
    """Return the scale of the small plate in its cell."""
    return min(30 / width, 34 / length, 0.5)


def picture(job: Job, layout: Layout, place: int) -> PassPicture:
    """Return the small picture of one pass."""
    run = layout.runs[place]
    used = {cut.die for cut in run.cuts}
    key = ("small", layout.id)
    if key not in job.kept:
        solids = [p.pose.outline(job.dies[p.die].body).solid.polygon for p in layout.dies]
        numbers = [str(job.names.die_numbers[p.die]) for p in layout.dies]
        job.kept[key] = [SmallDie.of(*one, solids) for one in zip(numbers, solids, strict=True)]
    bed = (job.project.machine.bed_width, job.project.machine.bed_length)
    papers = [laid_paper(job, laid) for laid in run.scraps]
    return PassPicture(bed, papers, job.kept[key], [n in used for n in range(len(layout.dies))], job.blades_up)
