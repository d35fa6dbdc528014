"""The first pages: what is made, what to fetch, how the stack is built, and whether the print is true."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from app.guide.embossing import embossing_turns
from app.guide.flow import Block, Heading, Row, Words, rows
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.pictures import paint_die, paint_sheet
from app.guide.sheet import Box
from app.guide.steps import NO_CLEAR, Places, stack_order, steps
from layout.model.project import Die, Scrap

CARD = (85.60, 53.98)
LAYER = 30.0
"""How wide a layer of the stack is drawn."""
CARD_CORNER = 3.18
"""A bank card, mm: ISO/IEC 7810, size ID-1."""


def cover_blocks(job: Job, places: Places) -> Iterator[Block]:
    """Give the cover's blocks in reading order."""
    yield Words(_what(job), 3.6, after=0.8)
    if job.plan.proven and job.plan.passes:
        yield Words(
            f"Fewer passes are not possible: {job.plan.because.rstrip('.')}."
            if job.plan.because
            else "Fewer passes are not possible.",
            3.2,
        )
    lost = sum(entry.count for entry in job.plan.unplaced)
    if lost:
        pieces = "One piece is" if lost == 1 else f"{lost} pieces are"
        yield Words(f"{pieces} not in this plan: the reasons stand after the scraps.", 3.2, bold=True)
    if job.plan.layouts:
        yield Heading("How it goes")
        yield from _how(job, places)
    yield Row([Stack(job), Card()], 2)
    dies, scraps = used_dies(job), used_scraps(job)
    if dies:
        yield Heading("Fetch these dies")
    yield from rows([DieCell(job, die) for die in dies], 5)
    if scraps:
        yield Heading("Fetch these scraps: pencil the name and the arrow on the back of each")
    yield from rows([ScrapCell(job, scrap, sheets) for scrap, sheets in scraps], 5)
    if job.plan.unplaced:
        yield Heading("Not in this plan")
    for entry in job.plan.unplaced:
        yield Words(f"{entry.count} × {job.wanted_name(entry.wanted)}: {entry.reason}", mark="–")


def _how(job: Job, places: Places) -> Iterator[Block]:
    for number, words in enumerate(steps(job, places), 1):
        yield Words(words, mark=f"{number}")
    if not job.blades_up:
        yield Words(NO_CLEAR)


def used_dies(job: Job) -> list[Die]:
    """Return the dies that the plan tapes down, in the order of their numbers."""
    used = {placed.die for layout in job.plan.layouts for placed in layout.dies}
    return [die for die in job.project.dies if die.id in used]


def used_scraps(job: Job) -> list[tuple[Scrap, int]]:
    """Return the scraps that the plan uses, each with how many sheets of it."""
    plan = job.plan
    laid = [(s.scrap, copy) for layout in plan.layouts for run in layout.runs for s in run.scraps for copy in s.copies]
    by_hand = [(p.scrap, p.copy) for p in (*plan.punched, *plan.panels)]
    sheets = Counter(scrap for scrap, _ in {*laid, *by_hand})
    return [(scrap, sheets[scrap.id]) for scrap in job.project.scraps if scrap.id in sheets]


def _what(job: Job) -> str:
    plan, project = job.plan, job.project
    kits = "one kit" if project.kits == 1 else f"{project.kits} kits"
    ways = "one layout" if len(plan.layouts) == 1 else f"{len(plan.layouts)} layouts"
    passes = "one pass" if plan.passes == 1 else f"{plan.passes} passes"
    hand = f", and {len(plan.punched)} pieces punched by hand" if plan.punched else ""
    turns = len(embossing_turns(job))
    hand += f", and {'one turn' if turns == 1 else f'{turns} turns'} with embossing folders" if turns else ""
    bed = job.sides(project.machine.bed_width, project.machine.bed_length)
    if not plan.layouts:
        return f"{job.title}: {kits}. Nothing is cut by the machine in this plan{hand}. Bed {bed}."
    return f"{job.title}: {kits}, cut in {passes} with {ways} of dies{hand}. Bed {bed}."


@dataclass(frozen=True)
class Stack:
    """What lies on what, as a cross-section."""

    job: Job
    keep: bool = False

    def height(self, width: float) -> float:  # noqa: ARG002 (drawn, not set)
        """How high it is."""
        return 66.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        Heading("The stack, from the top").paint(ink, box)
        y = box.y + 10.5
        for words, high, dash in stack_order(self.job):
            beside = Box(box.x + LAYER + 3, y, box.width - LAYER - 3, 8)
            below = ink.paragraph(beside, words, 3.0)
            middle = (y + below) / 2 + 0.3
            if dash:
                ink.line([(box.x + 2, middle), (box.x + LAYER - 2, middle)], 0.4, dash)
            else:
                ink.box(Box(box.x, middle - high / 2, LAYER, high), 0.25)
            y = max(below, middle + high / 2) + 1.8
        ink.paragraph(
            Box(box.x, y + 1.0, box.width, 8), "What else your machine wants in the stack: its manual decides."
        )


@dataclass(frozen=True)
class Card:
    """The outline of a bank card: the quickest check of true size."""

    keep: bool = False

    def height(self, width: float) -> float:  # noqa: ARG002 (drawn, not set)
        """How high it is."""
        return 66.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        card = Box(box.right - CARD[0] - 1, box.y + 9, *CARD)
        Heading("Is the print true?").paint(ink, box)
        ink.rounded(card, CARD_CORNER, 0.2)
        words = Box(card.x + 10, card.y + 17, card.width - 20, 20)
        ink.paragraph(words, "Lay a bank card here. If it does not fill the outline, the print is not true.", 3.2)


@dataclass(frozen=True)
class DieCell:
    """A die to fetch."""

    job: Job
    die: Die
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return 24.0 + 3.8 * len(wrap(self.die.name, width, 2.9, True))

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        shown = str(self.job.names.die_numbers[self.die.id])
        paint_die(ink, Box(box.x, box.y + 1, box.width, 20), self.die.body.polygon, self.die.cut.polygon, shown)
        ink.paragraph(Box(box.x, box.y + 22, box.width, 8), self.die.name or self.die.id, 2.9, bold=True)


@dataclass(frozen=True)
class ScrapCell:
    """A scrap to fetch."""

    job: Job
    scrap: Scrap
    sheets: int
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return 37.0 + 3.8 * len(wrap(self._name, width, 2.9, True))

    @property
    def _name(self) -> str:
        name = self.job.names.scraps[self.scrap.id]
        return name if self.sheets == 1 else f"{name}: {self.sheets} sheets"

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        scrap = self.scrap
        images = [image.outline.polygon for image in scrap.images if image.outline is not None]
        stains = [stain.polygon for stain in scrap.spoiled]
        picture = Box(box.x, box.y + 1, box.width - 2, 28)
        paint_sheet(ink, picture, scrap.outline.polygon, scrap.up, stains, images)
        below = ink.paragraph(Box(box.x, box.y + 30, box.width, 8), self._name, 2.9, bold=True)
        x0, y0, x1, y1 = scrap.outline.bounds
        words = f"{self.job.paper_name(scrap.id)}, {self.job.sides(x1 - x0, y1 - y0)}"
        ink.paragraph(Box(box.x, below, box.width, 6), words, 2.5)
