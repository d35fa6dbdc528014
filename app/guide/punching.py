"""Punch cards: which punch, which edge of the sheet goes in, and how deep."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

from shapely.geometry import LineString, Polygon
from shapely.geometry import box as rectangle

from app.guide.flow import Block, half, rows
from app.guide.frame import middle
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.marks import paint_up
from app.guide.names import spans
from app.guide.paper import sheet_paper
from app.guide.pictures import Scaled, outline
from app.guide.sheet import Box
from layout.geometry.pose import Pose, cos_sin
from layout.model.plan import Punched
from layout.rules.book import posed

XY = tuple[float, float]
AT_STOP = 0.6
"""A sheet this near (mm) to the throat's back is simply pushed in as far as it goes."""
NAME, ROW = 3.2, 2.8
SMALL = 0.5
"""Scale of a picture that does not fit at true size."""
AROUND = 8.5
"""Room round the sheet for arrows and their numbers (mm)."""
MOST_HIGH = 100.0
LEAST_WORDS = 60.0
"""Words stand beside a picture only where they have so much room (mm)."""
TRUE = "drawn at true size: lay the sheet on it and mark the middles"


def punch_rows(job: Job) -> Iterator[Block]:
    """Give the punch cards in rows: two to a row, alone where only so a sheet is drawn at true size."""
    whole = middle(job.sheet).width
    for alone, cells in groupby(
        punch_cells(job), key=lambda cell: not cell.is_true(half(whole)) and cell.is_true(whole)
    ):
        yield from rows(list(cells), 1 if alone else 2)


def punch_cells(job: Job) -> list[PunchCell]:
    """Return a cell for each punch in each sheet; sheets punched alike share one."""
    by_sheet: dict[tuple[str, str, int | None, int], list[Punched]] = defaultdict(list)
    for entry in job.plan.punched:
        by_sheet[entry.punch, entry.scrap, entry.part, entry.copy].append(entry)
    groups: dict[tuple[str, str, int | None, bytes, tuple[Pose, ...]], list[int]] = defaultdict(list)
    for (punch, scrap, part, copy), entries in by_sheet.items():
        paper = sheet_paper(job, scrap, copy, part).wkb
        groups[punch, scrap, part, paper, tuple(entry.pose for entry in entries)].append(copy)
    return [
        PunchCell(job, tuple(by_sheet[punch, scrap, part, copies[0]]), tuple(copies))
        for (punch, scrap, part, _, _), copies in groups.items()
    ]


def depth(job: Job, entry: Punched) -> tuple[float, float]:
    """Return how far the shape's middle lies behind the edge that goes in, and the room left to the stop (mm)."""
    punch = next(p for p in job.project.punches if p.id == entry.punch)
    paper = posed(sheet_paper(job, entry.scrap, entry.copy, entry.part), entry.pose.inverse())
    half = min(punch.mouth, 1e5) / 2
    in_mouth = paper.intersection(rectangle(-half, -1e5, half, 1e5))
    middle = punch.cut.polygon.centroid
    along = in_mouth.intersection(LineString([(middle.x, middle.y), (middle.x, 1e5)]))
    return along.bounds[3] - middle.y, punch.reach - in_mouth.bounds[3]


@dataclass(frozen=True)
class PunchCell:
    """All punchings of one punch in one sheet, or in sheets that are punched alike."""

    job: Job
    entries: tuple[Punched, ...]
    copies: tuple[int, ...]
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        picture, words = self._boxes(Box(0.0, 0.0, width, 0.0))
        listed = 1.3 * ROW * sum(len(wrap(row, words.width, ROW)) for row in self._rows(width))
        return max(picture.bottom + AROUND, words.y + listed) + 5.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        ink.paragraph(box, self._name, NAME, bold=True)
        picture, words = self._boxes(box)
        self._picture(ink, picture)
        y = words.y
        for row in self._rows(box.width):
            y = ink.paragraph(Box(words.x, y, words.width, 5), row, ROW)

    def _boxes(self, box: Box) -> tuple[Box, Box]:
        """Return where the picture stands, and the words: beside it where there is room, else below."""
        top = box.y + 1.3 * NAME * len(wrap(self._name, box.width, NAME, True)) + AROUND
        x0, y0, x1, y1 = self._paper.bounds
        scale = self._scale(box.width)
        wide, high = (x1 - x0) * scale, (y1 - y0) * scale
        beside = wide + 2 * AROUND + 2.0
        if box.width - beside >= LEAST_WORDS:
            words = Box(box.x + beside, top, box.width - beside, high)
            return Box(box.x + AROUND, top, wide, high), words
        picture = Box(box.x + AROUND, top, box.width - 2 * AROUND, high)
        return picture, Box(box.x, picture.bottom + AROUND, box.width, 0.0)

    @cached_property
    def _paper(self) -> Polygon:
        first = self.entries[0]
        return sheet_paper(self.job, first.scrap, first.copy, first.part)

    @property
    def _name(self) -> str:
        first = self.entries[0]
        name = self.job.names.shapes[first.punch]
        return f"{name} in {self.job.names.sheets(first.scrap, self.copies, first.part)}"

    def is_true(self, width: float) -> bool:
        """Whether its picture fits a column of this width at true size."""
        x0, y0, x1, y1 = self._paper.bounds
        return bool(x1 - x0 <= width - 2 * AROUND and y1 - y0 <= MOST_HIGH)

    def _scale(self, width: float) -> float:
        x0, y0, x1, y1 = self._paper.bounds
        if self.is_true(width):
            return 1.0
        return min(SMALL, (width - 2 * AROUND) / (x1 - x0), MOST_HIGH / (y1 - y0))

    def _rows(self, width: float) -> list[str]:
        rows = [f"{spans(numbers)}: {words}" for words, numbers in self._groups.items()]
        return [TRUE, *rows] if self.is_true(width) else rows

    @cached_property
    def _groups(self) -> dict[str, list[int]]:
        groups: dict[str, list[int]] = defaultdict(list)
        for number, entry in enumerate(self.entries, 1):
            groups[self._words(entry)].append(number)
        return groups

    def _words(self, entry: Punched) -> str:
        middle, rest = depth(self.job, entry)
        if rest <= AT_STOP:
            return "push the edge in as far as it goes"
        return f"middle of the shape {self.job.length(middle)} behind the edge"

    def _picture(self, ink: Ink, box: Box) -> None:
        scaled = Scaled.fit(self._paper.bounds, box)
        outline(ink, scaled.shape(self._paper), 0.3)
        punch: Polygon = self.job.shapes[self.entries[0].punch].polygon
        for number, entry in enumerate(self.entries, 1):
            shape = scaled.shape(posed(punch, entry.pose))
            outline(ink, shape, 0.2)
            middle = shape.representative_point()
            ink.text((middle.x, middle.y + 0.9), str(number), 2.5, bold=True, align="middle")
        for tip, way, numbers in self._arrows(scaled):
            paint_up(ink, tip, way, 1.8)
            words = ",\u200a".join(map(str, numbers))
            ink.text((tip[0] + way[0] * 3.6, tip[1] + way[1] * 3.6 + 0.8), words, 2.3, align="middle")

    def _arrows(self, scaled: Scaled) -> Iterator[tuple[XY, XY, list[int]]]:
        """Give the arrows outside the edges that go in, each place marked once, with the shapes it is for."""
        found: list[tuple[XY, XY, list[int]]] = []
        for number, entry in enumerate(self.entries, 1):
            tip, way = self._arrow(scaled, entry)
            same = [numbers for other, _, numbers in found if math.dist(tip, other) <= 3.0]
            if same:
                same[0].append(number)
            else:
                found.append((tip, way, [number]))
        yield from found

    def _arrow(self, scaled: Scaled, entry: Punched) -> tuple[XY, XY]:
        c, s = cos_sin(entry.pose.turn + 90.0)
        middle = posed(self.job.shapes[entry.punch].polygon, entry.pose).centroid
        ray = LineString([(middle.x, middle.y), (middle.x + c * 1e4, middle.y + s * 1e4)]).intersection(self._paper)
        end = max(ray.coords if isinstance(ray, LineString) else ray.geoms[0].coords, key=lambda p: p[0] * c + p[1] * s)
        x, y = scaled.point(end)
        return (x + c * 2.4, y - s * 2.4), (c, -s)
