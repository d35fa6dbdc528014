"""Which pages a guide has, in which order, and painting them on any device."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate
from typing import Protocol

from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QPagedPaintDevice, QPageLayout, QPageSize, QPainter

from app.guide.byhand import hand_blocks
from app.guide.cover import cover_blocks
from app.guide.embossing import embossing_blocks
from app.guide.flow import FlowPage, flow
from app.guide.history import layings
from app.guide.ink import Ink
from app.guide.job import Job
from app.guide.leftovers import leftover_blocks
from app.guide.platepage import PlatePage, key_pages
from app.guide.sheet import Sheet
from app.guide.steps import Places
from app.guide.ticks import tick_blocks
from app.guide.tiles import tiles

INCH = 25.4


class Page(Protocol):
    """A page that knows its sheet and paints itself in mm."""

    @property
    def sheet(self) -> Sheet:
        """The sheet it is printed on."""

    def paint(self, ink: Ink, number: int, pages: int) -> None:
        """Paint the page, which is `number` of `pages`."""


def guide_pages(job: Job) -> tuple[Page, ...]:
    """Return the pages of the guide, in the order in which they are used."""
    hand = flow(job, "By hand", "first: what is cut down, punched and trimmed without the machine", hand_blocks(job))
    ticks = flow(
        job,
        "Tick list",
        "every pass in its order: tick it off when it is through",
        [*tick_blocks(job), *embossing_blocks(job)],
    )
    plates = list(_plate_pages(job))
    left = flow(job, "What will be left over", "each sheet after the last pass", leftover_blocks(job))
    return (*_cover(job, [hand, ticks, plates]), *hand, *ticks, *plates, *left)


def _cover(job: Job, parts: Sequence[Sequence[Page]]) -> list[FlowPage]:
    """Return the cover, which names the pages of the other parts; those begin where it ends."""
    made: list[FlowPage] = []
    while True:
        starts = accumulate(map(len, parts), initial=len(made) + 1)
        places = Places(*(_pages(start, len(part)) for start, part in zip(starts, parts, strict=False)))
        again = flow(job, "Placement guide", "what to fetch, and how it goes", cover_blocks(job, places))
        if len(again) <= len(made):
            return again
        made = again


def _pages(start: int, count: int) -> str:
    return "" if count == 0 else f"page\u00a0{start}" if count == 1 else f"pages\u00a0{start}–{start + count - 1}"


def paint_page(painter: QPainter, pages: Sequence[Page], index: int, units_per_mm: float) -> None:
    """Paint one page on a painter whose origin is the sheet's upper left corner; `units_per_mm` is its resolution."""
    page = pages[index]
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.scale(units_per_mm * page.sheet.stretch_x, units_per_mm * page.sheet.stretch_y)
    page.paint(Ink(painter), index + 1, len(pages))
    painter.restore()


def paint_guide(device: QPagedPaintDevice, pages: Sequence[Page], chosen: Sequence[int] | None = None) -> None:
    """Paint pages on a PDF writer or a printer, each at true size on its own sheet; raises OSError.

    All of them, or only those at `chosen` places.
    """
    places = range(len(pages)) if chosen is None else chosen
    if not places:
        raise OSError("no page is chosen")
    device.setPageLayout(page_layout(pages[places[0]].sheet))
    painter = QPainter()
    if not painter.begin(device):
        raise OSError("the page cannot be begun")
    for number, index in enumerate(places):
        if number:
            device.setPageLayout(page_layout(pages[index].sheet))
            device.newPage()
        paint_page(painter, pages, index, device.logicalDpiX() / INCH)
    if not painter.end():
        raise OSError("the pages could not be written")


def page_layout(sheet: Sheet) -> QPageLayout:
    """Return the sheet as Qt knows it, without margins: the guide keeps clear of the edges itself."""
    width, height = sheet.width * sheet.stretch_x, sheet.height * sheet.stretch_y
    across = width > height
    size = QPageSize(QSizeF(min(width, height), max(width, height)), QPageSize.Unit.Millimeter)
    way = QPageLayout.Orientation.Landscape if across else QPageLayout.Orientation.Portrait
    made = QPageLayout(size, way, QMarginsF(0, 0, 0, 0), QPageLayout.Unit.Millimeter)
    made.setMode(QPageLayout.Mode.FullPageMode)  # else a printer's own margins would shift the page
    return made


def _plate_pages(job: Job) -> Iterator[Page]:
    machine = job.project.machine
    sheets = tiles(job.sheet, machine.bed_width, machine.bed_length, job.blades_up)
    for layout in job.plan.layouts:
        for places in layings(job, layout):
            listing = key_pages(job, layout, places, sheets[0])
            yield from (PlatePage(job, layout, places, tile, not listing) for tile in sheets)
            yield from listing
