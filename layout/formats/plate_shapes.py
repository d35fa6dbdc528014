"""What lies on the plate in one pass, sorted as other programs sort drawings: bed, metal, cut, paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from layout.geometry.outline import Outline, Ring
from layout.model.plan import Layout, Plan
from layout.model.project import Project

Layer = Literal["bed", "metal", "cut", "paper"]
LAYERS: tuple[Layer, ...] = ("bed", "paper", "metal", "cut")


@dataclass(frozen=True, slots=True)
class PlateShape:
    """One shape in the plate frame (mm, y along the feed), its layer and its name."""

    layer: Layer
    name: str
    outline: Outline

    @property
    def rings(self) -> tuple[Ring, ...]:
        """The outer border and those of the openings."""
        return (self.outline.outer, *self.outline.holes)


def plate_shapes(project: Project, layout: Layout, papers: Sequence[tuple[str, Outline]]) -> Iterator[PlateShape]:
    """Give the bed, papers (each with its name, in the plate frame), and metal and blade of every die of a layout."""
    machine = project.machine
    yield PlateShape("bed", "bed", Outline.rectangle(machine.bed_width, machine.bed_length))
    for name, outline in papers:
        yield PlateShape("paper", name, outline)
    dies = {die.id: die for die in project.dies}
    for placed in layout.dies:
        yield PlateShape("metal", placed.die, placed.pose.outline(dies[placed.die].body))
        yield PlateShape("cut", placed.die, placed.pose.outline(dies[placed.die].cut))


def layout_named(plan: Plan, name: str | None) -> Layout:
    """Return a plan's layout by its id, the first where none is asked for; raises KeyError."""
    for layout in plan.layouts:
        if name in (None, layout.id):
            return layout
    raise KeyError(name)
