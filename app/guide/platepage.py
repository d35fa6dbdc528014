"""The plate at true size: where each die is taped down and which scrap lies where."""

from __future__ import annotations

from dataclasses import dataclass

from app.guide.drawing import Drawing
from app.guide.frame import bar_along, middle, paint_frame
from app.guide.ink import Ink
from app.guide.job import Job
from app.guide.joins import paint_joins
from app.guide.keylist import arranged, paint_list
from app.guide.names import span
from app.guide.sheet import Box, Sheet
from app.guide.tiles import Tile, split
from layout.model.plan import Layout


@dataclass(frozen=True)
class PlatePage:
    """One sheet: one layout with the scraps of the runs at `places`, or the tile's share of it."""

    job: Job
    layout: Layout
    places: tuple[int, ...]
    tile: Tile
    listed: bool = True
    """Whether what lies where is listed on it, where it has columns for that."""

    @property
    def sheet(self) -> Sheet:
        """The sheet it is printed on."""
        return self.tile.sheet

    @property
    def heading(self) -> str:
        """What the page is about."""
        return heading(self.job, self.layout, self.places) + ("" if self.tile.is_whole else f" · {self.tile.name}")

    def paint(self, ink: Ink, number: int, pages: int) -> None:
        """Paint the page."""
        paint_frame(ink, self.job, self.sheet, self.heading, number, pages, plate=True)
        bar_along(ink, self.sheet.usable.x + 0.5, self.tile.window.y + 12)
        drawing = Drawing(self.job, self.layout, self.places, self.tile)
        with ink.within(self.tile.window):
            drawing.paint(ink)
        if not self.tile.is_whole:
            paint_joins(ink, self.tile)
        if self.listed and self.tile.columns_beside:
            paint_list(ink, drawing, self.tile.columns_beside)


@dataclass(frozen=True)
class KeyPage:
    """The list, or a part of it, that goes with plate pages which have no room for it."""

    job: Job
    layout: Layout
    places: tuple[int, ...]
    tile: Tile
    part: int = 0

    @property
    def sheet(self) -> Sheet:
        """The sheet it is printed on."""
        return self.job.sheet

    def paint(self, ink: Ink, number: int, pages: int) -> None:
        """Paint the page."""
        words = f"{heading(self.job, self.layout, self.places)} · what lies where"
        paint_frame(ink, self.job, self.sheet, words, number, pages)
        drawing = Drawing(self.job, self.layout, self.places, self.tile)
        paint_list(ink, drawing, key_columns(self.sheet), self.part)


def key_pages(job: Job, layout: Layout, places: tuple[int, ...], tile: Tile) -> list[KeyPage]:
    """Return the pages of the list, none where it has room beside the plate."""
    drawing, beside = Drawing(job, layout, places, tile), tile.columns_beside
    if beside and len(arranged(drawing, beside)) == 1:
        return []
    parts = range(len(arranged(drawing, key_columns(job.sheet))))
    return [KeyPage(job, layout, places, tile, part) for part in parts]


def key_columns(sheet: Sheet) -> tuple[Box, ...]:
    """Return the columns of a page that holds nothing but the list."""
    return split(middle(sheet).less(top=1, bottom=1), 3)


def heading(job: Job, layout: Layout, places: tuple[int, ...]) -> str:
    """Say which layout and which passes of the project a page is for."""
    return f"Layout {layout.id} · {span([job.runs[layout.id, place] for place in places])} of {job.plan.passes}"
