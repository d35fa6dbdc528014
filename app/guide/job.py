"""One guide to be made: the project, its plan, the sheet, and how the dies lie."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from app.guide.names import Names, run_numbers
from app.guide.sheet import Sheet
from layout.geometry.outline import Outline
from layout.geometry.units import Unit, format_on_board
from layout.model.plan import Plan
from layout.model.project import Die, Project, Scrap, Wanted


@dataclass(frozen=True)
class Job:
    """Everything a page needs to know; `blades_up` mirrors the plate pages."""

    project: Project
    plan: Plan
    sheet: Sheet
    blades_up: bool = False
    unit: Unit = "mm"
    kept: dict[Any, Any] = field(default_factory=dict, compare=False, repr=False)
    """What pages have worked out once and use again."""

    @cached_property
    def names(self) -> Names:
        """What dies and scraps are called."""
        return Names.of(self.project)

    @cached_property
    def runs(self) -> dict[tuple[str, int], int]:
        """The number of each pass, by layout id and place in it."""
        return run_numbers(self.plan)

    @cached_property
    def dies(self) -> dict[str, Die]:
        """Dies by id."""
        return {die.id: die for die in self.project.dies}

    @cached_property
    def scraps(self) -> dict[str, Scrap]:
        """Scraps by id."""
        return {scrap.id: scrap for scrap in self.project.scraps}

    def paper_name(self, scrap: str) -> str:
        """Return what a scrap's paper is called."""
        paper = self.scraps[scrap].paper
        return next((p.name for p in self.project.papers if p.id == paper and p.name), paper)

    @cached_property
    def shapes(self) -> dict[str, Outline]:
        """What leaves the paper, by the id of a die, a punch or a panel."""
        cutters = {tool.id: tool.cut for tool in (*self.project.dies, *self.project.punches)}
        return cutters | {panel.id: panel.outline for panel in self.project.panels}

    @cached_property
    def wanted(self) -> dict[str, Wanted]:
        """Wanted pieces by id."""
        return {wanted.id: wanted for wanted in self.project.wanted}

    def wanted_name(self, wanted: str) -> str:
        """Return what a wanted piece is called: the name of its shape."""
        shape = self.wanted[wanted].shape
        return self.names.shapes.get(shape, shape)

    @property
    def title(self) -> str:
        """The project's name."""
        return self.project.name or "Untitled project"

    def length(self, mm: float) -> str:
        """Write a length as a ruler in the reader's unit shows it."""
        return format_on_board(mm, self.unit)

    def number(self, mm: float) -> str:
        """Write a length as a ruler shows it, without its unit."""
        return format_on_board(mm, self.unit, with_unit=False)

    def sides(self, width: float, height: float) -> str:
        """Write two sides as a ruler shows them."""
        return f"{self.number(width)} × {self.length(height)}"
