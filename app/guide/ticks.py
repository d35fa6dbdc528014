"""The tick list: every pass in its order, with a small picture, its scraps and what it cuts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from app.guide.flow import Block, Heading, Words, rows
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.names import joined
from app.guide.paper import laid_paper
from app.guide.pictures import PassPicture, SmallDie
from app.guide.rollercurve import highest, paint_curve, profile_of
from app.guide.sheet import Box
from layout.model.plan import Layout


def tick_blocks(job: Job) -> Iterator[Block]:
    """Give the tick list's blocks: one heading a layout, two passes in a row."""
    if job.plan.layouts:
        yield Words("The grey shape beside each plate is the blade that lies under the rollers at that height.", 3.0)
    for layout in job.plan.layouts:
        dies = sorted({job.names.die_numbers[placed.die] for placed in layout.dies})
        yield Heading(f"Layout {layout.id}: tape down dies {joined(dies)}")
        yield from rows([PassCell(job, layout, place) for place in range(len(layout.runs))], 2)


@dataclass(frozen=True)
class PassCell:
    """One pass to tick off."""

    job: Job
    layout: Layout
    place: int
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        rows = sum(len(wrap(line, width - 47, 2.7)) for line in self._lines())
        return max(42.0, 12.0 + rows * 2.7 * 1.3 + 4 * 0.6)

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        picture(self.job, self.layout, self.place).paint(ink, Box(box.x, box.y + 1, 34, 38))
        self._curve(ink, Box(box.x + 34, box.y + 1, 11, 38))
        words = Box(box.x + 47, box.y + 1, box.width - 47, 38)
        ink.box(Box(words.x, words.y + 0.5, 4.6, 4.6), 0.4)
        number = self.job.runs[self.layout.id, self.place]
        ink.text((words.x + 6.6, words.y + 4.4), f"pass {number} of {self.job.plan.passes}", 4.2, bold=True)
        y = words.y + 7
        for line in self._lines():
            y = ink.paragraph(Box(words.x, y, words.width, 10), line, 2.7) + 0.6

    def _lines(self) -> list[str]:
        scraps = self.job.names.run(self.layout.runs[self.place])
        told = {"scraps": scraps, "cuts": self._cuts(), "lift off": self._idle(), "rollers": self._peak()}
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
            profile_of(self.job, self.layout, self.place),
            machine.bed_length,
            most,
        )

    def _cuts(self) -> str:
        run = self.layout.runs[self.place]
        made: Counter[str] = Counter()
        for cut in run.cuts:
            made[self.job.wanted_name(cut.wanted)] += len(run.scraps[cut.scrap].copies)
        return "; ".join(f"{count} × {name}" for name, count in made.items())

    def _peak(self) -> str:
        return f"at most {profile_of(self.job, self.layout, self.place).peak().length:.0f} mm of blade at once"

    def _idle(self) -> str:
        used = {cut.die for cut in self.layout.runs[self.place].cuts}
        idle = [placed.die for number, placed in enumerate(self.layout.dies) if number not in used]
        return joined([self.job.names.die_numbers[die] for die in idle])


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
