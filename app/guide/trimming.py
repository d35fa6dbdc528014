"""Panels trimmed by hand: their size, where they are scored, what is snipped away, which sheets they come from."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from shapely.geometry import box as rectangle
from shapely.geometry.base import BaseGeometry

from app.guide.hatching import hatch
from app.guide.ink import Ink, wrap
from app.guide.job import Job
from app.guide.names import spans
from app.guide.pictures import Scaled, outline
from app.guide.sheet import Box
from layout.geometry.blanks.scoring import table_of
from layout.model.plan import CutPanel
from layout.model.project import Panel

NAME, ROW = 3.2, 2.8
HIGH = 50.0


def panel_cells(job: Job) -> list[PanelCell]:
    """Return a cell for each panel of the plan."""
    made: dict[str, list[CutPanel]] = defaultdict(list)
    for entry in job.plan.panels:
        made[entry.panel].append(entry)
    return [PanelCell(job, panel, tuple(made[panel.id])) for panel in job.project.panels if panel.id in made]


def snipped(panel: Panel) -> BaseGeometry:
    """Return what is snipped off a panel's trimmed rectangle."""
    shape = panel.outline.polygon
    return rectangle(*shape.bounds).difference(shape.buffer(1e-4))


@dataclass(frozen=True)
class PanelCell:
    """One kind of panel to be trimmed and scored, and what it is made from."""

    job: Job
    panel: Panel
    entries: tuple[CutPanel, ...]
    keep: bool = False

    def height(self, width: float) -> float:
        """How high it is in a column of this width."""
        rows = sum(len(wrap(row, width, ROW)) for row in self._rows)
        return 1.3 * (NAME * len(wrap(self._name, width, NAME, True)) + ROW * rows) + HIGH + 8.0

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint it at the top of a box."""
        y = ink.paragraph(box, self._name, NAME, bold=True)
        self._picture(ink, Box(box.x + 2, y + 1.5, box.width - 4, HIGH))
        y += HIGH + 3.0
        for row in self._rows:
            y = ink.paragraph(Box(box.x, y, box.width, 6), row, ROW)

    def _picture(self, ink: Ink, box: Box) -> None:
        shape = self.panel.outline.polygon
        scaled = Scaled.fit(shape.bounds, box, most=0.5)
        ink.strokes(hatch(scaled.shape(snipped(self.panel)), 45.0, 1.0), 0.08)
        for a, b in self.panel.scores:
            ink.line([scaled.point(a), scaled.point(b)], 0.2, (1.2, 0.8))
        outline(ink, scaled.shape(rectangle(*shape.bounds)), 0.12)
        outline(ink, scaled.shape(shape), 0.3)

    @property
    def _name(self) -> str:
        x0, y0, x1, y1 = self.panel.outline.bounds
        return f"{len(self.entries)}\u00a0× {self.panel.name or self.panel.id}, {self.job.sides(x1 - x0, y1 - y0)}"

    @cached_property
    def _rows(self) -> list[str]:
        return [*self._scores(), f"from {self._sources()}"]

    def _scores(self) -> Iterator[str]:
        numbers = table_of(self.panel.outline.bounds, self.panel.scores)
        for edge, places in (("left", numbers.across), ("lower", numbers.along)):
            if places:
                last = self.job.length(places[-1])
                yield f"score from the {edge} edge at {', '.join([*map(self.job.number, places[:-1]), last])}"
        if numbers.aslant:
            lines = "one slanting line" if numbers.aslant == 1 else f"{numbers.aslant} slanting lines"
            yield f"score {lines} from crossing to crossing, as drawn"
        if numbers.arcs:
            yield "score the curved lines by the template at true size: the project sheet has it"

    def _sources(self) -> str:
        """Name the sheets with the parts that give one each: 'night sheet, sheets 1–4: parts 1, 3'."""
        parts: dict[tuple[str, int], list[int]] = defaultdict(list)
        for entry in self.entries:
            parts[entry.scrap, entry.copy] += [] if entry.part is None else [entry.part + 1]
        alike: dict[tuple[str, tuple[int, ...]], list[int]] = defaultdict(list)
        for (scrap, copy), numbers in parts.items():
            alike[scrap, tuple(sorted(numbers))].append(copy)
        return "; ".join(self._source(scrap, numbers, copies) for (scrap, numbers), copies in alike.items())

    def _source(self, scrap: str, numbers: tuple[int, ...], copies: list[int]) -> str:
        name = self.job.names.sheets(scrap, copies)
        if not numbers:
            return name
        return f"{name}: {'part' if len(numbers) == 1 else 'parts'}\u00a0{spans(list(numbers))}"
