"""What dies, scraps and passes are called on the page: short names that a pencil can copy onto a scrap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from layout.model.plan import LaidScrap, Plan, Run
from layout.model.project import Project, Scrap


@dataclass(frozen=True, slots=True)
class Names:
    """Names for everything in one project; numbers follow the order of the project's own lists."""

    dies: dict[str, str]
    die_numbers: dict[str, int]
    scraps: dict[str, str]
    counts: dict[str, int]
    shapes: dict[str, str]

    @classmethod
    def of(cls, project: Project) -> Names:
        """Number the dies through, in the order of the project's list."""
        dies = {die.id: die.name or die.id for die in project.dies}
        others = {thing.id: thing.name or thing.id for thing in (*project.punches, *project.panels)}
        numbers = {die.id: number for number, die in enumerate(project.dies, 1)}
        scraps = {scrap.id: scrap_name(scrap) for scrap in project.scraps}
        counts = {scrap.id: scrap.count for scrap in project.scraps}
        return cls(dies, numbers, scraps, counts, {**dies, **others})

    def laid(self, *alike: LaidScrap) -> str:
        """Name one laid scrap, or what lies there in several passes in turn: 'dusk half, sheets 1–3 in turn'."""
        first = alike[0]
        words = self.scraps.get(first.scrap, first.scrap)
        if first.part is not None:
            words += f" part {first.part + 1}"
        if self.counts.get(first.scrap, 1) == 1:
            return words
        sheets = [joined([copy + 1 for copy in laid.copies], "+") for laid in alike]
        if len(alike) == 1:
            return f"{words}, {'sheet' if len(first.copies) == 1 else 'sheets'}\u00a0{sheets[0]}"
        turns = ", ".join(sheets) if len(first.copies) > 1 else joined([laid.copies[0] + 1 for laid in alike])
        return f"{words}, sheets\u00a0{turns} in\u00a0turn"

    def sheets(self, scrap: str, copies: Sequence[int], part: int | None = None) -> str:
        """Name sheets of a scrap, or the same part of each: 'night part 3, sheets 1–4'."""
        words = self.scraps.get(scrap, scrap) + ("" if part is None else f" part {part + 1}")
        if self.counts.get(scrap, 1) == 1:
            return words
        numbers = spans(sorted(copy + 1 for copy in copies))
        return f"{words}, {'sheet' if len(copies) == 1 else 'sheets'}\u00a0{numbers}"

    def run(self, run: Run) -> str:
        """Name the scraps of a pass in a row: 'moss strip, dusk half sheet 2'."""
        return "; ".join(self.laid(laid) for laid in run.scraps)


def scrap_name(scrap: Scrap) -> str:
    """Return what the person calls a scrap, else its id."""
    return str(scrap.extra.get("name") or scrap.id)


def run_numbers(plan: Plan) -> dict[tuple[str, int], int]:
    """Number the passes of a plan through, from 1, by layout id and place in it."""
    keys = [(layout.id, place) for layout in plan.layouts for place in range(len(layout.runs))]
    return {key: number for number, key in enumerate(keys, 1)}


def span(numbers: list[int]) -> str:
    """Write pass numbers for a person: 'pass 3', 'passes 1–4', 'passes 1, 3, 7'."""
    return f"{'pass' if len(numbers) == 1 else 'passes'} {joined(numbers)}"


def joined(numbers: list[int], joint: str = ", ") -> str:
    """Write numbers in a row, or as a span where they follow one another."""
    if len(numbers) > 2 and numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"{numbers[0]}–{numbers[-1]}"
    return joint.join(map(str, numbers))


def spans(numbers: list[int]) -> str:
    """Write rising numbers with every stretch of them as a span: '1–3, 7, 9–12'."""
    groups = groupby(enumerate(numbers), key=lambda one: one[1] - one[0])
    return ", ".join(joined([number for _, number in group]) for _, group in groups)
