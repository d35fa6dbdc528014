"""One run on the plate, drawn in page coordinates: papers, metal, names."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from shapely import unary_union
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from app.guide.hatching import HATCHES, hatch
from app.guide.history import Gone, gone_before
from app.guide.ink import Ink, width_of
from app.guide.job import Job
from app.guide.labels import Labels, pointer
from app.guide.marks import (
    BED_LINE,
    HOLE_DASH,
    IMAGE_DASH,
    SCRAP_DASH,
    SCRAP_LINE,
    TAPE_DASH,
    TAPE_LINE,
    badge,
    metal,
    name_tag,
)
from app.guide.paper import laid_paper
from app.guide.pictures import outline
from app.guide.sheet import Box
from app.guide.tape import tape_spots
from app.guide.tiles import Tile
from layout.geometry.pose import cos_sin
from layout.model.plan import LaidScrap, Layout
from layout.rules.book import posed

FEED_WORDS = "this end goes into the rollers first"


class Drawing:
    """The plate of one run, or of runs that look alike, on one tile."""

    def __init__(self, job: Job, layout: Layout, places: Sequence[int], tile: Tile) -> None:
        self.job, self.layout, self.places, self.tile = job, layout, places, tile
        self.run = layout.runs[places[0]]
        self.source = {cut.die: cut.scrap for cut in self.run.cuts}
        self.labels = Labels()
        self.tape: list[Polygon] = []
        posed = [(job.dies[p.die], p.pose) for p in layout.dies]
        self.bodies = [tile.plate.polygon(pose.outline(die.body)) for die, pose in posed]
        self.cuts = [tile.plate.polygon(pose.outline(die.cut)) for die, pose in posed]
        self.solids = [Polygon(body.exterior) for body in self.bodies]
        self.papers = [tile.plate.carry(laid_paper(job, laid)) for laid in self.run.scraps]

    @cached_property
    def view(self) -> Polygon:
        """What may be written in."""
        window = self.tile.window
        return box(window.x + 0.5, window.y + 0.5, window.right - 0.5, window.bottom - 0.5)

    @cached_property
    def metal(self) -> BaseGeometry:
        """All dies together, their openings filled."""
        return unary_union(self.solids)

    def paint(self, ink: Ink) -> None:
        """Paint papers, then metal over them, then the words."""
        for number, laid in enumerate(self.run.scraps):
            self._paper(ink, number, laid)
        for number, (body, cut) in enumerate(zip(self.bodies, self.cuts, strict=True)):
            metal(ink, body, cut, number in self.source)
        for laid in self.run.scraps:
            self._images(ink, laid)
        for number in self.source:
            for spot in tape_spots(number, self.bodies, self.cuts):
                ink.ring(spot.exterior.coords[:-1], TAPE_LINE, TAPE_DASH)
                self.tape.append(spot)
        ink.box(self.tile.plate.bed, BED_LINE)
        self._thirds(ink)
        self._feed(ink)
        for number in sorted(range(len(self.bodies)), key=lambda n: self.solids[n].area):
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

    def _paper(self, ink: Ink, number: int, laid: LaidScrap) -> None:
        angle, gap = HATCHES[number % len(HATCHES)]
        paper = self.papers[number]
        holes = unary_union([self._on_page(laid, gone) for gone in self._gone(laid)])
        ink.strokes(hatch(paper.difference(self.metal).difference(holes).intersection(self.view), angle, gap), 0.1)
        outline(ink, holes, 0.15, HOLE_DASH)
        ink.ring(paper.exterior.coords[:-1], SCRAP_LINE, SCRAP_DASH)
        for stain in self.job.scraps[laid.scrap].spoiled:
            spoiled = self.tile.plate.polygon(laid.pose.outline(stain))
            ink.area(spoiled)
            ink.strokes([*hatch(spoiled, 45, 1.2), *hatch(spoiled, 135, 1.2)], 0.12)
            ink.ring(spoiled.exterior.coords[:-1], 0.15)

    def _gone(self, laid: LaidScrap) -> tuple[Gone, ...]:
        return gone_before(self.job, self.layout, self.places[0], laid)

    def _on_page(self, laid: LaidScrap, gone: Gone) -> Polygon:
        return self.tile.plate.carry(posed(posed(self.job.shapes[gone.shape].polygon, gone.pose), laid.pose))

    def _images(self, ink: Ink, laid: LaidScrap) -> None:
        for image in self.job.scraps[laid.scrap].images:
            if image.outline is not None:
                inked = self.tile.plate.polygon(laid.pose.outline(image.outline))
                ink.ring(inked.exterior.coords[:-1], 0.12, IMAGE_DASH)

    def _thirds(self, ink: Ink) -> None:
        """Mark a third and two thirds of the bed's length on both sides: where to fold the page or to look along."""
        bed = self.tile.plate.bed
        for share in (1, 2):
            y = bed.bottom - bed.height * share / 3
            for x, way in ((bed.x, 1), (bed.right, -1)):
                ink.line([(x, y), (x + 2.0 * way, y)], BED_LINE)

    def _feed(self, ink: Ink) -> None:
        bed = self.tile.plate.bed
        middle, y = bed.x + bed.width / 2, bed.y - 3.2
        half = width_of(FEED_WORDS, 3.0) / 2
        around = Box(middle - half - 8, y - 3, 2 * half + 16, 6)
        ink.area(box(around.x, around.y, around.right, around.bottom))
        ink.text((middle, y + 1.1), FEED_WORDS, 3.0, align="middle")
        for x in (middle - half - 5, middle + half + 5):
            ink.line([(x, y + 2.2), (x, y - 2.4)], 0.5)
            ink.line([(x - 1.4, y - 0.6), (x, y - 2.8), (x + 1.4, y - 0.6)], 0.5)
        self.labels.take(around)

    def _name_die(self, ink: Ink, number: int) -> None:
        die = self.layout.dies[number].die
        shown, name = str(self.job.names.die_numbers[die]), self.job.names.dies[die]
        faces = self._faces(number)
        for rows in ([name, self.source_words(number)], [name], []):
            width = max([5.6, *(width_of(row, 2.8, n == 0) + 0.6 for n, row in enumerate(rows))])
            place = self.labels.place(faces, width, 5.4 + 3.3 * len(rows))
            if place is not None:
                middle = place.x + place.width / 2
                badge(ink, (middle, place.y + 2.7), shown)
                for row, words in enumerate(rows):
                    ink.text((middle, place.y + 8.0 + 3.3 * row), words, 2.8, align="middle", bold=row == 0)
                return
        self._point_at_die(ink, number, shown)

    def source_words(self, number: int) -> str:
        """Say which scrap a die lies on."""
        if number not in self.source:
            return "lift off for this pass"
        return f"on {self.job.names.scraps[self.run.scraps[self.source[number]].scrap]}"

    def _faces(self, number: int) -> BaseGeometry:
        """Return the parts of a die that no line crosses and no smaller die lies in."""
        own = self.solids[number]
        nested = [o for n, o in enumerate(self.solids) if n != number and o.area < own.area and o.intersects(own)]
        inks = [
            self.tile.plate.polygon(s.pose.outline(i.outline)).exterior
            for s in self.run.scraps
            for i in self.job.scraps[s.scrap].images
            if i.outline is not None
        ]
        lines = [self.bodies[number].boundary, self.cuts[number].boundary, *inks, *(t.boundary for t in self.tape)]
        free = own.intersection(self.view).difference(unary_union(lines).buffer(0.5))
        return free.difference(unary_union(nested).buffer(0.5))

    def _point_at_die(self, ink: Ink, number: int, shown: str) -> None:
        seen = self.bodies[number].intersection(self.view)
        if seen.is_empty:
            return
        edges = unary_union([self.tile.plate.bed_ring, *(p.boundary for p in self.papers)]).buffer(0.5)
        outside = self.view.difference(unary_union([self.metal, *self.tape]).buffer(0.5)).difference(edges)
        place = self.labels.place(outside.intersection(seen.buffer(25)), 5.6, 5.6)
        if place is not None:
            middle = (place.x + 2.8, place.y + 2.8)
            ink.line(pointer(middle, seen), 0.15)
            badge(ink, middle, shown)

    def _name_paper(self, ink: Ink, number: int, laid: LaidScrap) -> None:
        words = self.paper_words(number)
        edges = unary_union([self.tile.plate.bed_ring, *(p.boundary for p in self.papers)]).buffer(0.6)
        free = self.papers[number].intersection(self.view).difference(self.metal.buffer(0.4)).difference(edges)
        free = free.difference(unary_union(self.tape).buffer(0.3))
        for shown in (words, self.job.names.scraps[laid.scrap], ""):
            width = width_of(shown, 3.2, True) + 1.5
            for size in ((width + 7, 7.0), (max(width, 8.0), 11.0)) if shown else ((6.5, 6.5),):
                place = self.labels.place(free, *size)
                if place is not None:
                    name_tag(ink, place, shown, self.up(laid))
                    return
