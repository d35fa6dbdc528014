"""Handwork: sheets cut down first, shapes punched, panels trimmed and scored."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon
from shapely.geometry import box as rectangle

from app.guide.flow import Block, Heading, Words, rows
from app.guide.ink import WHITE, Ink, wrap
from app.guide.job import Job
from app.guide.marks import paint_up
from app.guide.names import joined
from app.guide.paper import sheet_paper
from app.guide.pictures import Scaled, outline
from app.guide.sheet import Box
from layout.geometry.pose import Pose, cos_sin
from layout.model.plan import CutDown, CutPanel, LaidScrap, Line, Punched
from layout.model.project import Panel
from layout.rules.book import posed
from layout.rules.cutting_down import cut_apart

XY = tuple[float, float]
AT_STOP = 0.6
"""A sheet this near (mm) to the throat's back is simply pushed in as far as it goes."""


def hand_blocks(job: Job) -> Iterator[Block]:
    """Give the blocks of the handwork pages."""
    if job.plan.cut_downs:
        yield Heading("First cut these sheets down, in the order of the numbers")
        yield Words(
            "In circles: the cuts in their order, each from edge to edge of the piece it divides. Bold: the parts.",
            3.2,
            keep=True,
        )
        yield from rows([CutDownCell(job, entry) for entry in job.plan.cut_downs], 3)
    groups = _by_sheet(job)
    if groups:
        yield Heading("Punch")
        yield Words("Turn each sheet as drawn and push the marked edge into the punch.", 3.2, keep=True)
        yield from rows([PunchCell(job, punched) for punched in groups], 2)
    if job.plan.panels:
        yield Heading("Trim these panels to size and score the dashed lines")
        yield from rows(_panels(job), 3)


def _by_sheet(job: Job) -> list[tuple[Punched, ...]]:
    groups: dict[tuple[str, str, int, int | None], list[Punched]] = defaultdict(list)
    for entry in job.plan.punched:
        groups[entry.punch, entry.scrap, entry.copy, entry.part].append(entry)
    return [tuple(entries) for entries in groups.values()]


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
    """All punchings of one punch in one sheet."""

    job: Job
    entries: tuple[Punched, ...]
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        listed = sum(len(wrap(row, width, 2.7)) for row in self._rows())
        return 1.3 * (3.2 * len(wrap(self._name, width, 3.2, True)) + 2.7 * listed) + 58.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        y = ink.paragraph(Box(box.x, box.y, box.width, 6), self._name, 3.2, bold=True)
        self._picture(ink, Box(box.x + 7, y + 7, box.width - 14, 42))
        y += 55
        for row in self._rows():
            y = ink.paragraph(Box(box.x, y, box.width, 5), row, 2.7)

    @property
    def _name(self) -> str:
        first = self.entries[0]
        name = self.job.names.shapes[first.punch]
        return f"{name} in {_sheet_name(self.job, first.scrap, first.copy, first.part)}"

    def _rows(self) -> list[str]:
        return [f"{joined(numbers)}: {words}" for words, numbers in self._groups().items()]

    def _groups(self) -> dict[str, list[int]]:
        groups: dict[str, list[int]] = defaultdict(list)
        for number, entry in enumerate(self.entries, 1):
            groups[self._words(entry)].append(number)
        return groups

    def _words(self, entry: Punched) -> str:
        middle, rest = depth(self.job, entry)
        if rest <= AT_STOP:
            return "push the marked edge in as far as it goes"
        return f"middle of the shape {self.job.length(middle)} behind the marked edge"

    def _picture(self, ink: Ink, box: Box) -> None:
        first = self.entries[0]
        paper = sheet_paper(self.job, first.scrap, first.copy, first.part)
        scaled = Scaled.fit(paper.bounds, box, most=0.6)
        outline(ink, scaled.shape(paper), 0.3)
        punch: Polygon = self.job.shapes[first.punch].polygon
        for number, entry in enumerate(self.entries, 1):
            shape = posed(punch, entry.pose)
            outline(ink, scaled.shape(shape), 0.2)
            middle = scaled.shape(shape).representative_point()
            ink.text((middle.x, middle.y + 0.9), str(number), 2.5, bold=True, align="middle")
        for tip, way in self._arrows(scaled, paper):
            paint_up(ink, tip, way, 1.8)

    def _arrows(self, scaled: Scaled, paper: Polygon) -> list[tuple[XY, XY]]:
        """Return the arrows outside the edges that go in, each place marked once."""
        found: list[tuple[XY, XY]] = []
        for entry in self.entries:
            tip, way = self._arrow(scaled, paper, entry)
            if all(math.dist(tip, other) > 3.0 for other, _ in found):
                found.append((tip, way))
        return found

    def _arrow(self, scaled: Scaled, paper: Polygon, entry: Punched) -> tuple[XY, XY]:
        c, s = cos_sin(entry.pose.turn + 90.0)
        middle = posed(self.job.shapes[entry.punch].polygon, entry.pose).centroid
        ray = LineString([(middle.x, middle.y), (middle.x + c * 1e4, middle.y + s * 1e4)]).intersection(paper)
        end = max(ray.coords if isinstance(ray, LineString) else ray.geoms[0].coords, key=lambda p: p[0] * c + p[1] * s)
        x, y = scaled.point(end)
        return (x + c * 2.4, y - s * 2.4), (c, -s)


@dataclass(frozen=True)
class CutDownCell:
    """One sheet to be cut down: the cuts in their order, and the parts with their sizes."""

    job: Job
    entry: CutDown
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return 56.0 + 3.6 * len(wrap(self._sizes(), width, 2.7)) + 3.9 * len(wrap(self._name, width, 3.0, True))

    @property
    def _name(self) -> str:
        return _sheet_name(self.job, self.entry.scrap, self.entry.copy, None)

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        whole = self.job.scraps[self.entry.scrap].outline.polygon
        top = ink.paragraph(box, self._name, 3.0, bold=True)
        scaled = Scaled.fit(whole.bounds, Box(box.x + 2, top + 2, box.width - 4, 48), most=0.5)
        outline(ink, scaled.shape(whole), 0.3)
        for number, part in enumerate(self._parts(), 1):
            spot = scaled.shape(part).representative_point()
            ink.text((spot.x, spot.y + 1), str(number), 3.2, bold=True, align="middle")
        for number, cut in enumerate(self.entry.cuts, 1):
            before = cut_apart(whole, self.entry.cuts[: number - 1])[cut.part]
            self._cut(ink, scaled, cut.line, before, number)
        ink.paragraph(Box(box.x, top + 52, box.width, 8), self._sizes(), 2.7)

    def _cut(self, ink: Ink, scaled: Scaled, line: Line, part: Polygon, number: int) -> None:
        """Draw one cut from edge to edge of the part that it divides, with its number."""
        (ax, ay), (bx, by) = line
        far = 1e4 / (math.hypot(bx - ax, by - ay) or 1.0)
        reach = LineString([(ax - (bx - ax) * far, ay - (by - ay) * far), (bx + (bx - ax) * far, by + (by - ay) * far)])
        seen = reach.intersection(part)
        if seen.is_empty:
            return
        x0, y0, x1, y1 = seen.bounds
        rises = (bx - ax) * (by - ay) >= 0
        points = [scaled.point((x0, y0 if rises else y1)), scaled.point((x1, y1 if rises else y0))]
        ink.line(points, 0.2, (1.6, 0.8))
        x, y = (points[0][0] * 0.7 + points[1][0] * 0.3, points[0][1] * 0.7 + points[1][1] * 0.3)
        ink.circle((x, y), 1.7, 0.15, fill=WHITE)
        ink.text((x, y + 0.8), str(number), 2.2, align="middle")

    def _parts(self) -> list[Polygon]:
        return list(cut_apart(self.job.scraps[self.entry.scrap].outline.polygon, self.entry.cuts))

    def _sizes(self) -> str:
        sizes = []
        for number, part in enumerate(self._parts(), 1):
            x0, y0, x1, y1 = part.bounds
            sizes.append(f"part {number}: {self.job.sides(x1 - x0, y1 - y0)}")
        return "; ".join(sizes)


@dataclass(frozen=True)
class PanelCell:
    """One kind of panel to be trimmed and scored, and what it is made from."""

    job: Job
    panel: Panel
    entries: tuple[CutPanel, ...]
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        return 52.0 + 3.6 * len(wrap(self._sources(), width, 2.7)) + 3.8 * len(wrap(self._name, width, 2.9, True))

    @property
    def _name(self) -> str:
        x0, y0, x1, y1 = self.panel.outline.bounds
        return f"{len(self.entries)} × {self.panel.name or self.panel.id}, {self.job.sides(x1 - x0, y1 - y0)}"

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        shape = self.panel.outline.polygon
        scaled = Scaled.fit(shape.bounds, Box(box.x + 2, box.y + 2, box.width - 4, 42), most=0.5)
        outline(ink, scaled.shape(shape), 0.3)
        for a, b in self.panel.scores:
            ink.line([scaled.point(a), scaled.point(b)], 0.2, (1.2, 0.8))
        below = ink.paragraph(Box(box.x, box.y + 46, box.width, 6), self._name, 2.9, bold=True)
        ink.paragraph(Box(box.x, below, box.width, 6), self._sources(), 2.7)

    def _sources(self) -> str:
        return "from " + "; ".join(_sheet_name(self.job, e.scrap, e.copy, e.part) for e in self.entries)


def _sheet_name(job: Job, scrap: str, copy: int, part: int | None) -> str:
    return job.names.laid(LaidScrap(scrap, Pose(), (copy,), part))


def _panels(job: Job) -> list[PanelCell]:
    made = []
    for panel in job.project.panels:
        entries = tuple(entry for entry in job.plan.panels if entry.panel == panel.id)
        if entries:
            made.append(PanelCell(job, panel, entries))
    return made
