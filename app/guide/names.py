"""What dies, scraps and passes are called on the page: short names that a pencil can copy onto a scrap."""

from __future__ import annotations

from dataclasses import dataclass

from layout.model.plan import LaidScrap, Layout, Plan, Run
from layout.model.project import Project, Scrap


@dataclass(frozen=True, slots=True)
class Names:
    """Names for everything in one project; numbers follow the order of the project's own lists."""

    dies: dict[str, str]
    die_numbers: dict[str, int]
    scraps: dict[str, str]
    shapes: dict[str, str]

    @classmethod
    def of(cls, project: Project) -> Names:
        """Number the dies through, in the order of the project's list."""
        dies = {die.id: die.name or die.id for die in project.dies}
        others = {thing.id: thing.name or thing.id for thing in (*project.punches, *project.panels)}
        numbers = {die.id: number for number, die in enumerate(project.dies, 1)}
        return cls(dies, numbers, {scrap.id: scrap_name(scrap) for scrap in project.scraps}, {**dies, **others})

    def laid(self, laid: LaidScrap) -> str:
        """Name one laid scrap, with its part or its stack where there is one: 'moss strip, 2 sheets'."""
        words = self.scraps.get(laid.scrap, laid.scrap)
        if laid.part is not None:
            words += f" part {laid.part + 1}"
        return words if len(laid.copies) == 1 else f"{words}, {len(laid.copies)} sheets"

    def run(self, run: Run) -> str:
        """Name the scraps of a pass in a row: 'moss strip, dusk half'."""
        return ", ".join(self.laid(laid) for laid in run.scraps)


def scrap_name(scrap: Scrap) -> str:
    """Return what the person calls a scrap, else its id."""
    return str(scrap.extra.get("name") or scrap.id)


def run_numbers(plan: Plan) -> dict[tuple[str, int], int]:
    """Number the passes of a plan through, from 1, by layout id and place in it."""
    keys = [(layout.id, place) for layout in plan.layouts for place in range(len(layout.runs))]
    return {key: number for number, key in enumerate(keys, 1)}


def span(numbers: list[int]) -> str:
    """Write pass numbers for a person: 'pass 3', 'passes 1–4', 'passes 1, 3, 7'."""
    if len(numbers) == 1:
        return f"pass {numbers[0]}"
    if numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"passes {numbers[0]}–{numbers[-1]}"
    return "passes " + ", ".join(map(str, numbers))


def layings(layout: Layout) -> list[tuple[int, ...]]:
    """Group a layout's runs (by place) in which the same scraps lie alike: they share one page."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for place, run in enumerate(layout.runs):
        key = (tuple((s.scrap, s.part, s.pose) for s in run.scraps), tuple((c.die, c.scrap) for c in run.cuts))
        groups.setdefault(key, []).append(place)
    return [tuple(places) for places in groups.values()]
