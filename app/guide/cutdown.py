"""Sheets cut down: the cuts with their distances, and what becomes of each part."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from shapely.geometry import LineString, Polygon

from app.guide.hatching import cross_hatch
from app.guide.ink import WHITE, Ink, wrap
from app.guide.job import Job
from app.guide.names import spans
from app.guide.pictures import Scaled, outline
from app.guide.sheet import Box
from layout.model.parting import FAR, cut_apart
from layout.model.plan import Line, StraightCut
from layout.rules.cutting_down import across, stop_of

NAME, ROW = 3.2, 2.8
HIGH = 56.0
LEAST_NUMBER, NUMBER = 1.7, 3.2
"""Sizes of a part's number (mm); a part too narrow for the least bears none."""
CIRCLE = 1.7
SHARES = (0.3, 0.5, 0.7, 0.15, 0.85)
"""Where along a cut its number may stand."""
XY = tuple[float, float]
Uses = tuple[str, ...]


def cut_down_cells(job: Job) -> list[CutDownCell]:
    """Return a cell for each way of cutting a scrap's sheets down; sheets cut and used alike share one."""
    groups: dict[tuple[str, tuple[StraightCut, ...], Uses], list[int]] = defaultdict(list)
    for entry in job.plan.cut_downs:
        groups[entry.scrap, entry.cuts, _uses(job, entry.scrap, entry.copy, len(entry.cuts) + 1)].append(entry.copy)
    return [CutDownCell(job, scrap, tuple(copies), cuts, uses) for (scrap, cuts, uses), copies in groups.items()]


def _uses(job: Job, scrap: str, copy: int, parts: int) -> Uses:
    """Say for each part of a sheet what it is for."""
    found: dict[int | None, list[str]] = defaultdict(list)
    for panel in job.plan.panels:
        if (panel.scrap, panel.copy) == (scrap, copy):
            found[panel.part].append(job.names.shapes[panel.panel])
    for punched in job.plan.punched:
        if (punched.scrap, punched.copy) == (scrap, copy):
            found[punched.part].append("to be punched")
    for layout in job.plan.layouts:
        for place, run in enumerate(layout.runs):
            for laid in run.scraps:
                if laid.scrap == scrap and copy in laid.copies:
                    found[laid.part].append(f"pass\u00a0{job.runs[layout.id, place]}")
    return tuple(", ".join(dict.fromkeys(found[part])) or "left over" for part in range(parts))


@dataclass(frozen=True)
class CutDownCell:
    """Sheets that are cut down alike: the cuts in their order, and the parts with their sizes."""

    job: Job
    scrap: str
    copies: tuple[int, ...]
    cuts: tuple[StraightCut, ...]
    uses: Uses
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        rows = sum(len(wrap(row, width, ROW)) for row in self._rows)
        return 1.3 * (NAME * len(wrap(self._name, width, NAME, True)) + ROW * rows) + HIGH + 8.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        top = ink.paragraph(box, self._name, NAME, bold=True)
        scaled = Scaled.fit(self._sheet.bounds, Box(box.x + 2, top + 1.5, box.width - 4, HIGH), most=0.5)
        outline(ink, scaled.shape(self._sheet), 0.3)
        for stain in self.job.scraps[self.scrap].spoiled:
            ink.strokes(cross_hatch(scaled.shape(stain.polygon), 1.0), 0.1)
        taken = [spot for number, part in enumerate(self._parts, 1) if (spot := _number(ink, scaled, part, number))]
        for number, cut in enumerate(self.cuts, 1):
            _cut(ink, scaled, cut.line, self._before(number), number, taken)
        y = top + HIGH + 3.0
        for row in self._rows:
            y = ink.paragraph(Box(box.x, y, box.width, 8), row, ROW)

    @property
    def _name(self) -> str:
        alike = "" if len(self.copies) == 1 else ", all alike"
        return self.job.names.sheets(self.scrap, self.copies) + alike

    @property
    def _sheet(self) -> Polygon:
        return self.job.scraps[self.scrap].outline.polygon

    @cached_property
    def _parts(self) -> list[Polygon]:
        return cut_apart(self._sheet, self.cuts)

    def _before(self, number: int) -> Polygon:
        """Return the part that a cut divides, as it is then."""
        return cut_apart(self._sheet, self.cuts[: number - 1])[self.cuts[number - 1].part]

    @cached_property
    def _rows(self) -> list[str]:
        cuts = _together(self._stop(number) for number in range(1, len(self.cuts) + 1))
        made = [f"{'cut' if len(numbers) == 1 else 'cuts'} {spans(numbers)}: {words}" for words, numbers in cuts]
        parts = _together(self._part(number) for number in range(len(self._parts)))
        return made + [
            f"{'part' if len(numbers) == 1 else 'parts'} {spans(numbers)}: {words}" for words, numbers in parts
        ]

    def _stop(self, number: int) -> str:
        line = self.cuts[number - 1].line
        return f"{self.job.length(stop_of(self._before(number), line))} from the {_edge(line)}"

    def _part(self, number: int) -> str:
        x0, y0, x1, y1 = self._parts[number].bounds
        sides = self.job.sides(x1 - x0, y1 - y0).replace(" ", "\u00a0")
        return f"{sides}, {self.uses[number]}"


def _together(words: Iterable[str]) -> Iterable[tuple[str, list[int]]]:
    """Give each of the words once, with the numbers (from 1) at which it stands."""
    found: dict[str, list[int]] = defaultdict(list)
    for number, row in enumerate(words, 1):
        found[row].append(number)
    return found.items()


def _edge(line: Line) -> str:
    """Name the edge that a cut is measured from, as the sheet is drawn: the far one of what is left of the cut."""
    nx, ny = across(line)
    edges = {(1, 0): "left edge", (-1, 0): "right edge", (0, 1): "lower edge", (0, -1): "upper edge"}
    near = [words for (x, y), words in edges.items() if math.hypot(nx - x, ny - y) < 1e-3]
    return near[0] if near else "far edge, square to the cut"


def _number(ink: Ink, scaled: Scaled, part: Polygon, number: int) -> XY | None:
    """Write a part's number into it, and return where; None where it is too narrow."""
    shown = scaled.shape(part)
    x0, y0, x1, y1 = shown.bounds
    size = min(NUMBER, 0.8 * min(x1 - x0, y1 - y0))
    if size < LEAST_NUMBER:
        return None
    spot = shown.representative_point()
    ink.circle((spot.x, spot.y), 0.65 * size, 0.0, fill=WHITE)
    ink.text((spot.x, spot.y + 0.32 * size), str(number), size, bold=True, align="middle")
    return spot.x, spot.y


def _cut(ink: Ink, scaled: Scaled, line: Line, part: Polygon, number: int, taken: list[XY]) -> None:
    """Draw one cut from edge to edge of the part that it divides, with its number clear of those there are."""
    (ax, ay), (bx, by) = line
    far = FAR / (math.hypot(bx - ax, by - ay) or 1.0)
    reach = LineString([(ax - (bx - ax) * far, ay - (by - ay) * far), (bx + (bx - ax) * far, by + (by - ay) * far)])
    seen = reach.intersection(part)
    if seen.is_empty:
        return
    x0, y0, x1, y1 = seen.bounds
    rises = (bx - ax) * (by - ay) >= 0
    start, end = scaled.point((x0, y0 if rises else y1)), scaled.point((x1, y1 if rises else y0))
    ink.line([start, end], 0.2, (1.6, 0.8))
    at = _clear(start, end, taken)
    taken.append(at)
    ink.circle(at, CIRCLE, 0.15, fill=WHITE)
    ink.text((at[0], at[1] + 0.8), str(number), 2.2, align="middle")


def _clear(start: XY, end: XY, taken: Sequence[XY]) -> XY:
    """Return the place on a line that lies farthest from what is taken; the first of those that are far enough."""
    places = [(start[0] + (end[0] - start[0]) * s, start[1] + (end[1] - start[1]) * s) for s in SHARES]
    room = [min((math.dist(place, other) for other in taken), default=math.inf) for place in places]
    far = [place for place, free in zip(places, room, strict=True) if free >= 2.2 * CIRCLE]
    return far[0] if far else places[room.index(max(room))]
