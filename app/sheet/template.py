"""The template of a blank: cut lines, score lines, what is snipped away, and every distance from two edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import shapely
from shapely import unary_union
from shapely.geometry import Polygon
from shapely.geometry import box as rectangle
from shapely.geometry.base import BaseGeometry

from app.guide.flow import Block, Heading, Words
from app.guide.frame import bar_along, paint_frame
from app.guide.hatching import hatch
from app.guide.ink import Ink, width_of, wrap
from app.guide.joins import join_spots, paint_joins
from app.guide.pictures import Scaled, outline
from app.guide.sheet import Box, Sheet
from app.guide.tiles import Tile, tiles, turned
from app.guide.trimming import snipped
from app.sheet.job import SheetJob
from app.sheet.tables import table
from layout.geometry.blanks.drawn import Drawn
from layout.geometry.blanks.faces import Blank, BlankError
from layout.geometry.blanks.kinds import KINDS, Sizes, read_blank
from layout.geometry.blanks.pillow import STRIP
from layout.geometry.blanks.scoring import ScoreTable, table_of
from layout.model.project import Panel

CUT = 0.4
SCORE, SCORE_DASH = 0.25, (1.8, 0.9)
LABEL = 2.6
MOST = 88.0
AIR = 0.8
"""Between a name and the lines round it (mm)."""
SPOT = 0.2
SNIP = "Snip away what is hatched, then fold every score line with a bone folder."
JOIN = (
    "The template at true size comes on {sheets} sheets: cut one sheet of each pair along its dotted line, lay the "
    "crosses of the same name on each other, and tape."
)
LEGEND = "Full lines: cut. Dashed lines: score. Hatched: snip away. All distances from the left and the lower edge."


@dataclass(frozen=True)
class Face:
    """A named field of a blank."""

    name: str
    shape: BaseGeometry

    def write(self, ink: Ink, shown: BaseGeometry, size: float) -> None:
        """Write its name within what is shown of it: in one row, in few, or upright; nowhere where none fits."""
        areas = [part for part in shapely.get_parts(shown) if part.area > 0.0]
        if not areas:
            return
        shown = max(areas, key=shapely.area)
        middle = shown.centroid.coords[0], shapely.maximum_inscribed_circle(shown, tolerance=SPOT).coords[0]
        whole = width_of(self.name, size)
        for rows in dict.fromkeys(wrap(self.name, width, size) for width in (whole + 0.1, whole * 0.65, whole * 0.4)):
            wide, high = max(width_of(row, size) for row in rows), size * 1.3 * len(rows)
            for x, y in middle:
                if _holds(shown, x, y, wide, high):
                    for number, row in enumerate(rows):
                        ink.text((x, y - high / 2 + size * (1.3 * number + 1.0)), row, size, align="middle")
                    return
        upright = [spot for spot in middle if _holds(shown, *spot, size * 1.3, whole)]
        if upright:
            ink.turned_text(upright[0], self.name, size, -90)


def _holds(shape: BaseGeometry, x: float, y: float, wide: float, high: float) -> bool:
    """Whether words of a size fit round a place inside a shape, with a little air."""
    half = wide / 2 + AIR, high / 2
    return bool(shape.contains(rectangle(x - half[0], y - half[1], x + half[0], y + half[1])))


@dataclass(frozen=True)
class Template:
    """A panel with score lines: its paper, its numbers, its named fields."""

    job: SheetJob
    panel: Panel
    keep: bool = False

    @cached_property
    def numbers(self) -> ScoreTable:
        """The distances to score at."""
        return table_of(self.panel.outline.bounds, self.panel.scores)

    @property
    def sizes(self) -> Sizes | Drawn | None:
        """The kind of blank it was made as, where that is known."""
        return read_blank(self.panel.extra.get("blank"))

    @cached_property
    def faces(self) -> tuple[Face, ...]:
        """The fields that are named, where its kind is known."""
        try:
            blank = self.sizes.blank() if self.sizes else None
        except BlankError:
            return ()
        return tuple(Face(name, shape) for name, shape in _named(blank)) if blank else ()

    @property
    def away(self) -> BaseGeometry:
        """What is snipped off the trimmed rectangle."""
        return snipped(self.panel)

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return self._scale(width) * self.numbers.length + 17.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        scale = self._scale(box.width)
        x0, y0, x1, y1 = self.panel.outline.bounds
        room = Box(box.x + 22, box.y + 2, box.width - 26, scale * (y1 - y0))
        scaled = Scaled.fit((x0, y0, x1, y1), room, most=scale)
        paper = next((w.paper for w in self.job.project.wanted if w.shape == self.panel.id), None)
        ink.area(scaled.shape(self.panel.outline.polygon), self.job.tint(paper))
        paint_lines(ink, self, scaled)
        for face in self.faces:
            face.write(ink, scaled.shape(face.shape), LABEL)
        self._across(ink, scaled)
        self._along(ink, scaled)

    def _scale(self, width: float) -> float:
        return min(1.0, (width - 26) / self.numbers.width, MOST / self.numbers.length)

    def _across(self, ink: Ink, scaled: Scaled) -> None:
        """Write the distances from the left edge below the blank, in two rows where they are close."""
        x0, y0, _, _ = self.panel.outline.bounds
        last = [-1e9, -1e9]
        for at in (*self.numbers.across, self.numbers.width):
            x, y = scaled.point((x0 + at, y0))
            words = self.job.number(at)
            half = width_of(words, LABEL) / 2
            row = 0 if x - half > last[0] + 1.2 else 1
            last[row] = x + half
            ink.line([(x, y + 0.8), (x, y + 2.2 + row * 3.4)], 0.12)
            ink.text((x, y + 5.2 + row * 3.4), words, LABEL, align="middle")
        x, y = scaled.point((x0, y0))
        ink.text((x - 1.5, y + 5.2), "0", LABEL, align="middle")
        ink.text((x, y + 12.6), f"from the left edge, {_unit(self.job)}", 2.4)

    def _along(self, ink: Ink, scaled: Scaled) -> None:
        """Write the distances from the lower edge at the left of the blank."""
        x0, y0, _, _ = self.panel.outline.bounds
        last = 1e9
        for at in (*self.numbers.along, self.numbers.length):
            x, y = scaled.point((x0, y0 + at))
            at_y = min(y, last - 3.2)
            last = at_y
            ink.line([(x - 0.8, y), (x - 2.2, y), (x - 4.0, at_y)], 0.12)
            ink.text((x - 4.6, at_y + 0.9), self.job.number(at), LABEL, align="right")
        x, y = scaled.point((x0, y0 + self.numbers.length / 2))
        ink.turned_text((x - 16, y), f"from the lower edge, {_unit(self.job)}", 2.4, -90)


def _named(blank: Blank) -> Iterator[tuple[str, BaseGeometry]]:
    """Give the fields worth a name; the narrow pieces of a curved panel are one field."""
    fields: dict[str, list[Polygon]] = {}
    for face in blank.faces:
        name, curved, _ = face.name.partition(STRIP)
        plain = "wing" not in name and "gusset" not in name and not name.endswith("strip") and "field" not in name
        if curved or plain:
            fields.setdefault(name, []).append(Polygon(face.ring))
    yield from ((name, unary_union(shapes)) for name, shapes in fields.items())


def paint_lines(ink: Ink, template: Template, scaled: Scaled, clear: BaseGeometry | None = None) -> None:
    """Draw snipped parts (unhatched where a part of the page is kept clear), scores and border."""
    panel, away = template.panel, scaled.shape(template.away)
    ink.strokes(hatch(away if clear is None else away.difference(clear), 45, 1.2), 0.1)
    for a, b in panel.scores:
        ink.line([scaled.point(a), scaled.point(b)], SCORE, SCORE_DASH)
    outline(ink, scaled.shape(rectangle(*panel.outline.bounds)), 0.12)
    outline(ink, scaled.shape(panel.outline.polygon), CUT)


def template_blocks(job: SheetJob) -> Iterator[Block]:
    """Give each scored panel that is wanted: template, score table, how it is folded."""
    for panel in scored_panels(job):
        template = Template(job, panel)
        size = template.numbers
        yield Heading(f"Template: {panel.name or panel.id}, trimmed to {job.sides(size.width, size.length)}")
        yield Words(_about(job, template), 3.0, keep=True)
        yield template
        yield from score_blocks(job, template)
        yield Words("", after=1.5, keep=True)
        for number, words in enumerate(fold_steps(template), 1):
            yield Words(words, 3.0, mark=str(number))
        sheets = len(_true_tiles(template)) if job.template else 1
        if sheets > 1:
            yield Words(JOIN.format(sheets=sheets), 3.0)


def scored_panels(job: SheetJob) -> list[Panel]:
    """Return the panels that are wanted and scored, or snipped."""
    asked = {w.shape for w in job.project.wanted}
    return [p for p in job.project.panels if p.id in asked and (p.scores or len(p.outline.outer) > 4)]


def score_blocks(job: SheetJob, template: Template) -> Iterator[Block]:
    """Give the numbers in the order in which a scoring board is used."""
    numbers = template.numbers
    entries: list[tuple[None, Sequence[str]]] = []
    if numbers.across:
        entries.append((None, ("1", "left edge at the stop", _row(job, numbers.across))))
    if numbers.along:
        entries.append(
            (None, (str(len(entries) + 1), "a quarter turn: lower edge at the stop", _row(job, numbers.along)))
        )
    if numbers.aslant:
        corners = f"{numbers.aslant} slanting lines, from score to score as drawn"
        entries.append((None, (str(len(entries) + 1), "by ruler", corners)))
    for words in arc_words(job, numbers):
        entries.append((None, (str(len(entries) + 1), "by a plate’s rim or the template", words)))
    if entries:
        yield from table(("", "how it lies", f"score at ({_unit(job)})"), (0.4, 3.0, 6.0), entries)


def arc_words(job: SheetJob, numbers: ScoreTable) -> Iterator[str]:
    """Say the arcs that are scored, alike ones together."""
    alike: dict[tuple[str, str], int] = {}
    for arc in numbers.arcs:
        key = job.length(arc.radius), job.length(arc.deep)
        alike[key] = alike.get(key, 0) + 1
    for (radius, deep), count in alike.items():
        yield f"{count} arcs of radius {radius}, {deep} deep in the middle, as drawn"


def fold_steps(template: Template) -> tuple[str, ...]:
    """Say how it becomes what it is."""
    snip = (
        ()
        if template.away.area < 1.0
        else ("Snip away what is hatched, then fold every score line with a bone folder.",)
    )
    known = template.sizes
    return (*snip, *(KINDS[known.kind].steps if isinstance(known, Sizes) else ()))


def _about(job: SheetJob, template: Template) -> str:
    known = template.sizes
    if not isinstance(known, Sizes):
        return LEGEND
    inside = [getattr(known, n) for n in ("width", "depth", "height") if n in KINDS[known.kind].asks]
    words = " × ".join([*map(job.number, inside[:-1]), job.length(inside[-1])])
    return f"A {KINDS[known.kind].name}, {words} inside. {LEGEND}"


def _row(job: SheetJob, distances: Sequence[float]) -> str:
    return ",  ".join(map(job.number, distances))


def _unit(job: SheetJob) -> str:
    return {"in": "inches", "mm": "mm", "cm": "cm"}[job.unit]


# ---- at true size ------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class TemplatePage:
    """A blank at true size, or a tile's share of it."""

    job: SheetJob
    template: Template
    tile: Tile

    @property
    def sheet(self) -> Sheet:
        """The sheet it is printed on."""
        return self.tile.sheet

    def paint(self, ink: Ink, number: int, pages: int) -> None:
        """Paint the page."""
        panel = self.template.panel
        name = panel.name or panel.id
        heading = f"{name}, true size" + ("" if self.tile.is_whole else f" · {self.tile.name}")
        sub = "full lines: cut · dashed: score · hatched: snip away"
        paint_frame(ink, self.job, self.sheet, heading, number, pages, sub=sub)
        bar_along(ink, self.sheet.usable.x + 0.5, self.tile.window.y + 12)
        x0, y0, _, _ = panel.outline.bounds
        scaled = Scaled(1.0, self.tile.plate.bed.x - x0, self.tile.plate.bed.bottom + y0)
        spots = unary_union([box.polygon for box in join_spots(self.tile)])
        room = self.tile.window.polygon.difference(spots)
        with ink.within(self.tile.window):
            paint_lines(ink, self.template, scaled, spots)
            for face in self.template.faces:
                face.write(ink, scaled.shape(face.shape).intersection(room), 3.2)
        if not self.tile.is_whole:
            paint_joins(ink, self.tile)


def true_pages(job: SheetJob) -> Iterator[TemplatePage]:
    """Give each scored panel at true size, on as many sheets as it takes."""
    for panel in scored_panels(job):
        template = Template(job, panel)
        yield from (TemplatePage(job, template, tile) for tile in _true_tiles(template))


def _true_tiles(template: Template) -> tuple[Tile, ...]:
    """Return the fewest sheets that show a blank at true size."""
    sheet, sides = template.job.sheet, (template.numbers.width, template.numbers.length)
    return min((tiles(one, *sides) for one in (sheet, turned(sheet))), key=len)
