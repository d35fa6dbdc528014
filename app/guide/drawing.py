"""One run on the plate, drawn in page coordinates: papers, metal, names."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtGui import QPainterPath
from shapely import unary_union
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from app.guide.hatching import HATCHES, STAIN_GAP, cross_hatch, hatch
from app.guide.history import Gone, gone_before
from app.guide.ink import BLACK, WHITE, Ink, path_of, width_of
from app.guide.job import Job
from app.guide.joins import join_spots
from app.guide.labels import Found, Labels, lead, pointer
from app.guide.marks import (
    BADGE,
    BED_LINE,
    CUT_DASH,
    CUT_LINE,
    END,
    HOLE_DASH,
    IDLE_DASH,
    IMAGE_DASH,
    METAL_LINE,
    SCRAP_DASH,
    SCRAP_LINE,
    TAPE_DASH,
    TAPE_LINE,
    NameTag,
    badge,
    name_tags,
)
from app.guide.paper import laid_paper
from app.guide.pictures import outline
from app.guide.room import Canvas, Ground
from app.guide.sheet import Box
from app.guide.taped import COARSE, Taped
from app.guide.tiles import Tile
from layout.geometry.pose import cos_sin
from layout.model.plan import LaidScrap, Layout
from layout.rules.book import posed

LABEL = 2.8
TICK = 2.0
REACHES = (8.0, 14.0, 20.0)
"""A number that points at a die stands no farther from it than need be (mm)."""
NAME_REACHES = (10.0, 18.0, 30.0)
"""Likewise a scrap's name that has no room on its paper."""
FEED_WORDS = "this end goes into the rollers first"


class Drawing:
    """The plate of one run, or of runs that look alike, on one tile."""

    def __init__(self, job: Job, layout: Layout, places: Sequence[int], tile: Tile) -> None:
        self.job, self.layout, self.places, self.tile = job, layout, places, tile
        self.run = layout.runs[places[0]]
        self.source = {cut.die: cut.scrap for cut in self.run.cuts}
        self.taped = Taped.of(job, layout, tile)
        key = ("papers", layout.id, places[0], tile)
        if key not in job.kept:
            job.kept[key] = [tile.plate.carry(laid_paper(job, laid)) for laid in self.run.scraps]
        self.papers: list[Polygon] = job.kept[key]

    @cached_property
    def coarse(self) -> list[Polygon]:
        """The scraps without detail that hatches and words could do without."""
        return [shapely.simplify(paper, COARSE) for paper in self.papers]

    @cached_property
    def paths(self) -> list[QPainterPath]:
        """The scraps' borders as the grid of room takes them."""
        return [path_of(paper) for paper in self.coarse]

    @cached_property
    def holes(self) -> list[BaseGeometry]:
        """What is out of each scrap already."""
        found = [(laid, gone_before(self.job, self.layout, self.places[0], laid)) for laid in self.run.scraps]
        return [unary_union([self._on_page(laid, gone) for gone in pieces]) for laid, pieces in found]

    @cached_property
    def labels(self) -> Labels:
        """The room for words that all lines of this page leave, join marks too."""
        canvas = Canvas(self.tile.window)
        for path in self.paths:
            canvas.line(path)
        for hole in map(path_of, self.holes):
            canvas.area(hole)
            canvas.line(hole)
        for image in self.images:
            canvas.line(path_of(image))
        room = self.taped.room.copy()
        room.taken |= canvas.numbers() > 0
        for spot in (*join_spots(self.tile), *self._ticks()):
            room.take(spot)
        return Labels(tuple(self.places), room, self.taped.room, self.taped.kept)

    @cached_property
    def grounds(self) -> NDArray[np.uint32]:
        """The number of the scrap, from 1, that each cell of the page shows, 0 under dies."""
        canvas = Canvas(self.tile.window)
        for number, path in enumerate(self.paths, 1):
            canvas.area(path, number)
        return np.where(self.taped.owners > 0, 0, canvas.numbers())

    @cached_property
    def open_ground(self) -> Ground:
        """Where neither a scrap nor a die lies."""
        canvas = Canvas(self.tile.window)
        for path in self.paths:
            canvas.area(path)
        return Ground(np.where(self.taped.owners > 0, 1, canvas.numbers()), 0)

    @cached_property
    def images(self) -> list[Polygon]:
        """The stamped images on the scraps of this run."""
        found = []
        for paper, laid in zip(self.papers, self.run.scraps, strict=True):
            inked = [image.outline for image in self.job.scraps[laid.scrap].images if image.outline is not None]
            shown = [self.tile.plate.polygon(laid.pose.outline(outline)) for outline in inked]
            found += [image for image in shown if paper.contains(image.representative_point())]
        return found

    @cached_property
    def stains(self) -> list[BaseGeometry]:
        """What is spoiled of each scrap, as far as it is on the part that is laid."""
        found = []
        for paper, laid in zip(self.papers, self.run.scraps, strict=True):
            stains = self.job.scraps[laid.scrap].spoiled
            spoiled = unary_union([self.tile.plate.polygon(laid.pose.outline(stain)) for stain in stains])
            found.append(spoiled.intersection(paper))
        return found

    def paint(self, ink: Ink) -> None:
        """Paint papers, then metal over them, then the words."""
        for number in range(len(self.papers)):
            self._paper(ink, number)
        taped, drawn = self.taped, self.taped.drawn(frozenset(self.source))
        ink.plate(drawn.idle, METAL_LINE, IDLE_DASH)
        ink.plate(drawn.metal, METAL_LINE)
        ink.plate(drawn.blades, CUT_LINE, CUT_DASH, fill=None)
        for inked in self.images:
            ink.ring(inked.exterior.coords[:-1], 0.12, IMAGE_DASH)
        ink.plate(drawn.tape, TAPE_LINE, TAPE_DASH, fill=None)
        ink.box(self.tile.plate.bed, BED_LINE)
        self._thirds(ink)
        self._feed(ink)
        for number in sorted(range(len(taped.solids)), key=lambda n: taped.solids[n].area):
            self._name_die(ink, number)
        for number, laid in enumerate(self.run.scraps):
            self._name_paper(ink, number, laid)

    def paper_words(self, number: int) -> str:
        """Name the scrap at a place of the run, with the sheets that take turns there."""
        return self.job.names.laid(*(self.layout.runs[place].scraps[number] for place in self.places))

    def beyond(self, number: int) -> float:
        """Return how far (mm) a scrap goes on below what the page shows, where the plate is on one page."""
        return self.papers[number].bounds[3] - self.tile.window.bottom if self.tile.is_whole else 0.0

    def up(self, laid: LaidScrap) -> tuple[float, float]:
        """Return the direction on the page in which a laid scrap's print stands upright."""
        x, y = cos_sin(laid.pose.turn + self.job.scraps[laid.scrap].up)
        return (-x if self.tile.plate.mirrored else x, -y)

    def _paper(self, ink: Ink, number: int) -> None:
        angle, gap = HATCHES[number % len(HATCHES)]
        paper = self.papers[number]
        holes = self.holes[number]
        seen = shapely.clip_by_rect(self.coarse[number], *self.taped.view.bounds)
        ink.strokes(hatch(seen, angle, gap, self.taped.metal, holes), 0.1)
        outline(ink, holes, 0.15, HOLE_DASH)
        ink.ring(paper.exterior.coords[:-1], SCRAP_LINE, SCRAP_DASH)
        spoiled = self.stains[number]
        if not spoiled.is_empty:
            ink.area(spoiled)
            ink.strokes(cross_hatch(spoiled, STAIN_GAP, self.taped.metal), 0.12)
            outline(ink, spoiled, 0.15)

    def _on_page(self, laid: LaidScrap, gone: Gone) -> Polygon:
        return self.tile.plate.carry(posed(posed(self.job.shapes[gone.shape].polygon, gone.pose), laid.pose))

    def _thirds(self, ink: Ink) -> None:
        """Mark a third and two thirds of the bed's length on both sides: where to fold the page or to look along."""
        for tick in self._ticks():
            ink.line([(tick.x, tick.y), (tick.right, tick.y)], BED_LINE)

    def _ticks(self) -> list[Box]:
        bed = self.tile.plate.bed
        ys = [bed.bottom - bed.height * share / 3 for share in (1, 2)]
        return [Box(x, y, TICK, 0.0) for y in ys for x in (bed.x, bed.right - TICK)]

    def _feed(self, ink: Ink) -> None:
        bed = self.tile.plate.bed
        middle, y = bed.x + bed.width / 2, bed.y - 3.2
        half = width_of(FEED_WORDS, 3.0) / 2
        around = Box(middle - half - 8, y - 3, 2 * half + 16, 6)
        ink.blank(around)
        ink.text((middle, y + 1.1), FEED_WORDS, 3.0, align="middle")
        for x in (middle - half - 5, middle + half + 5):
            ink.line([(x, y + 2.2), (x, y - 2.4)], 0.5)
            ink.line([(x - 1.4, y - 0.6), (x, y - 2.8), (x + 1.4, y - 0.6)], 0.5)
        self.labels.room.take(around)

    def _name_die(self, ink: Ink, number: int) -> None:
        die = self.layout.dies[number].die
        shown, name = str(self.job.names.die_numbers[die]), self.job.names.dies[die]
        choices = [[name, self.source_words(number)], [name], []]
        if number in self.taped.nests:
            choices.pop()  # a bare number beside the dies in an opening would seem to be one of theirs
        sizes = list(map(_label_size, choices))
        solid = self.taped.solids[number]
        found = self.labels.place_on_die(number, self.taped.face(number), _around(solid), *sizes)
        if found is None:
            self._point_at_die(ink, number, shown)
            return
        which, place = found
        middle = place.x + place.width / 2
        badge(ink, (middle, place.y + 2.7), shown)
        for row, words in enumerate(choices[which]):
            ink.text((middle, place.y + 8.0 + 3.3 * row), words, LABEL, align="middle", bold=row == 0)

    def source_words(self, number: int) -> str:
        """Say which scrap a die lies on."""
        if number not in self.source:
            return "lift off for this pass"
        return f"on {self.job.names.scraps[self.run.scraps[self.source[number]].scrap]}"

    def _point_at_die(self, ink: Ink, number: int, shown: str) -> None:
        seen = self.taped.bodies[number].intersection(self.taped.view)
        if seen.is_empty:
            return
        tries = (_around(seen, reach) for reach in REACHES)
        places = (
            self.labels.place(("point", number, n), self.taped.beside, near, (5.6, 5.6)) for n, near in enumerate(tries)
        )
        found = next(filter(None, places), None)
        if found is not None:
            middle = (found[1].x + 2.8, found[1].y + 2.8)
            ink.line(pointer(middle, seen), 0.15)
            ink.circle(middle, BADGE, 0.0, fill=WHITE)
            badge(ink, middle, shown)
            return
        # Better a bit of blade hidden than a die without a number.
        spot = self.taped.solids[number].intersection(self.taped.view).representative_point()
        ink.circle((spot.x, spot.y), BADGE, 0.0, fill=WHITE)
        badge(ink, (spot.x, spot.y), shown)

    def _name_paper(self, ink: Ink, number: int, laid: LaidScrap) -> None:
        *named, arrow = name_tags(self.paper_words(number), self.job.names.scraps[laid.scrap])
        for tags in (named, [arrow]):
            found = self._place_on_paper(number, ("paper", laid.scrap, len(tags)), [tag.size for tag in tags])
            if found is not None:
                tags[found[0]].paint(ink, found[1], self.up(laid))
                return
            if tags is named:
                self._name_beside(ink, number, laid, named)

    def _place_on_paper(self, number: int, key: object, sizes: Sequence[tuple[float, float]]) -> Found:
        return self.labels.place(key, Ground(self.grounds, number + 1), _around(self.coarse[number]), *sizes)

    def _name_beside(self, ink: Ink, number: int, laid: LaidScrap, tags: Sequence[NameTag]) -> None:
        """Write a scrap's name on open ground, with a line to its paper."""
        bare = shapely.difference(self.coarse[number], unary_union(self.taped.solids)).intersection(self.taped.view)
        if bare.is_empty:
            return
        sizes = list(dict.fromkeys(tag.bare for tag in tags))
        for reach in NAME_REACHES:
            around = _around(self.coarse[number], reach)
            found = self.labels.place(("beside", laid.scrap, reach), self.open_ground, around, *sizes)
            if found is not None:
                place = found[1]
                line = lead(place, bare)
                ink.line(line, 0.15)
                ink.circle(line[1], END, 0.0, fill=BLACK)
                next(tag for tag in tags if tag.bare == sizes[found[0]]).paint_bare(ink, place)
                return


def _around(shape: BaseGeometry, reach: float = 0.0) -> Box:
    """Return the box round a shape, `reach` mm away from it."""
    x0, y0, x1, y1 = shape.bounds
    return Box(x0 - reach, y0 - reach, x1 - x0 + 2 * reach, y1 - y0 + 2 * reach)


def _label_size(rows: Sequence[str]) -> tuple[float, float]:
    width = max([5.6, *(width_of(row, LABEL, n == 0) + 0.6 for n, row in enumerate(rows))])
    return width, 5.4 + 3.3 * len(rows)
