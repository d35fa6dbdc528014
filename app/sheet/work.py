"""The order of work, the person's own steps with their pictures, and the plate's layouts in small."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtGui import QImage

from app.guide.flow import Block, Heading, Words, rows
from app.guide.history import layings
from app.guide.ink import Ink
from app.guide.names import span
from app.guide.sheet import Box
from app.guide.ticks import picture
from app.sheet.job import SheetJob
from app.sheet.template import scored_panels
from layout.model.plan import Layout

PICTURE = 42.0
ACROSS = 8
"""How many small plates stand in a row."""


def work_blocks(job: SheetJob) -> Iterator[Block]:
    """Give the order of work, handwork and machine first, then the person's own steps."""
    yield Heading("Order of work")
    number = 0
    for number, words in enumerate(_steps(job), 1):
        yield Words(words, 3.0, mark=str(number))
    for own, (words, image) in enumerate(job.own_steps(), number + 1):
        shown = read_picture(image)
        yield Words(words, 3.0, mark=str(own), keep=shown is not None)
        if shown is not None:
            yield Picture(shown)


def layout_blocks(job: SheetJob) -> Iterator[Block]:
    """Give every layout of the plate in small."""
    cells = [LayoutCell(job, layout, places) for layout in job.plan.layouts for places in layings(job, layout)]
    if cells:
        yield Heading("The plate in small: the placement guide has each layout at true size")
        yield from rows(cells, ACROSS)


def read_picture(address: str) -> QImage | None:
    """Return the picture that a data address holds (RFC 2397); None where there is none."""
    _, comma, data = address.partition(",")
    if not comma or not address.startswith("data:image/"):
        return None
    try:
        image = QImage.fromData(base64.b64decode(data, validate=True))
    except (binascii.Error, ValueError):
        return None
    return None if image.isNull() else image


def _steps(job: SheetJob) -> Iterator[str]:
    plan = job.plan
    if plan.cut_downs:
        yield (
            "Cut the sheets down, one setting of the stop at a time: the placement guide’s page “By hand” shows every "
            "cut in its order."
        )
    if plan.panels:
        yield f"Trim the panels: {_panels(job)}."
    if scored_panels(job):
        yield "Score the blanks by the numbers beside the template, snip what is hatched, and do not fold yet."
    if plan.punched:
        yield f"Punch the {len(plan.punched)} small pieces before their sheets go under a die."
    if plan.passes:
        ways = "one layout" if len(plan.layouts) == 1 else f"{len(plan.layouts)} layouts"
        passes = "one pass" if plan.passes == 1 else f"{plan.passes} passes"
        yield f"Cut the rest with the dies: {passes}, {ways}, by the placement guide. Sort the pieces kit by kit."
    if scored_panels(job):
        mats = "Glue the mats on while the blanks lie flat. " if _has_mats(job) else ""
        yield f"{mats}Fold and glue the blanks as the template’s steps say."


def _has_mats(job: SheetJob) -> bool:
    scored = scored_panels(job)
    return any(w.shape in job.panels and job.panels[w.shape] not in scored for w in job.project.wanted)


def _panels(job: SheetJob) -> str:
    counts: dict[str, int] = {}
    for entry in job.plan.panels:
        counts[entry.panel] = counts.get(entry.panel, 0) + 1
    named = []
    for panel in job.project.panels:
        if panel.id in counts:
            x0, y0, x1, y1 = panel.outline.bounds
            named.append(f"{counts[panel.id]} × {panel.name or panel.id} ({job.sides(x1 - x0, y1 - y0)})")
    return ", ".join(named)


@dataclass(frozen=True)
class Picture:
    """A picture of the person's own."""

    image: QImage
    keep: bool = False

    def height(self, width: float) -> float:  # noqa: ARG002 (the same in any column)
        """How high it is."""
        return PICTURE + 2.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box, as large as it goes."""
        scale = min((box.width - 6) / self.image.width(), PICTURE / self.image.height())
        ink.image(Box(box.x + 5.5, box.y, self.image.width() * scale, self.image.height() * scale), self.image)


@dataclass(frozen=True)
class LayoutCell:
    """One laying of the plate in small, with its name and passes."""

    job: SheetJob
    layout: Layout
    places: tuple[int, ...]
    keep: bool = False

    def height(self, width: float) -> float:  # noqa: ARG002 (drawn, not set)
        """How high it is."""
        return 38.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        picture(self.job, self.layout, self.places[0]).paint(ink, Box(box.x - 2, box.y + 1, box.width + 4, 31))
        numbers = [self.job.runs[self.layout.id, place] for place in self.places]
        ink.text((box.x + box.width / 2, box.y + 35), f"{self.layout.id}: {span(numbers)}", 2.6, align="middle")
