"""A plan follows its sheets: what lay on a sheet that was cut lies on what is left of it, in the same frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from layout.geometry.outline import Point
from layout.geometry.value import replace
from layout.model.plan import Cut, CutDown, CutPanel, LaidScrap, Layout, Plan, Punched, Run, Unplaced
from layout.model.project import Project

Entry = TypeVar("Entry", Punched, CutPanel)

GONE = "the sheet it lay on is cut up now; plan the rest again"


@dataclass(frozen=True, slots=True)
class Place:
    """One sheet of a scrap, or a part of it, as a plan names it."""

    scrap: str
    copy: int
    part: int | None = None


Move = Callable[[Place, Sequence[Point]], Place | None]  # where the sheet with these points on it is found now
MoveCuts = Callable[[str, int], int | None]  # which copy a sheet that is cut down is now; None: not cut down any more


def repointed(project: Project, plan: Plan, move: Move, move_cuts: MoveCuts) -> Plan:
    """Return the plan with every sheet named anew; what has no sheet any more is unplaced."""
    lost: dict[str, int] = {}
    layouts = tuple(_layout(project, layout, move, lost) for layout in plan.layouts)
    punched = tuple(p for entry in plan.punched if (p := _single(project, entry, move, lost)) is not None)
    panels = tuple(c for entry in plan.panels if (c := _single(project, entry, move, lost)) is not None)
    kept = [(entry, move_cuts(entry.scrap, entry.copy)) for entry in plan.cut_downs]
    cut_downs: tuple[CutDown, ...] = tuple(replace(entry, copy=copy) for entry, copy in kept if copy is not None)
    moved = replace(plan, layouts=layouts, punched=punched, panels=panels, cut_downs=cut_downs)
    return with_unplaced(moved, lost)


def with_unplaced(plan: Plan, lost: dict[str, int]) -> Plan:
    """Return the plan with so many more pieces that it does not make."""
    if not lost:
        return plan
    told = [replace(u, count=u.count + lost.pop(u.wanted, 0)) for u in plan.unplaced]
    more = [Unplaced(wanted, count, GONE) for wanted, count in lost.items() if count]
    return replace(plan, unplaced=(*told, *more), lower_bound=0)


def anchors(project: Project, layout: Layout, run: Run, scrap: int) -> list[Point]:
    """Return a point of each piece that a run cuts from one of its sheets, in the sheet's frame."""
    dies = {d.id: d for d in project.dies}
    laid = run.scraps[scrap]
    return [
        layout.dies[cut.die].pose.seen_from(laid.pose).point(_heart(dies[layout.dies[cut.die].die].cut.outer))
        for cut in run.cuts
        if cut.scrap == scrap and layout.dies[cut.die].die in dies
    ]


def anchor_of(project: Project, entry: Punched | CutPanel) -> list[Point]:
    """Return a point of a punched piece or of a panel, in the sheet's frame."""
    shapes = {p.id: p.cut for p in project.punches} | {p.id: p.outline for p in project.panels}
    shape = shapes.get(entry.punch if isinstance(entry, Punched) else entry.panel)
    return [] if shape is None else [entry.pose.point(_heart(shape.outer))]


def _heart(ring: tuple[Point, ...]) -> Point:
    """A point surely within a ring."""
    from shapely.geometry import Polygon

    at = Polygon(ring).representative_point()
    return at.x, at.y


def _layout(project: Project, layout: Layout, move: Move, lost: dict[str, int]) -> Layout:
    runs: list[Run] = []
    for run in layout.runs:
        runs += _runs(project, layout, run, move, lost)
    return replace(layout, runs=tuple(runs))


def _runs(project: Project, layout: Layout, run: Run, move: Move, lost: dict[str, int]) -> list[Run]:
    """One run with its sheets named anew; a stack whose sheets are no longer alike takes further runs."""
    laid: list[LaidScrap] = []
    cuts: list[Cut] = []
    more: list[Run] = []
    for number, old in enumerate(run.scraps):
        mine = [c for c in run.cuts if c.scrap == number]
        points = anchors(project, layout, run, number)
        moved = [move(Place(old.scrap, copy, old.part), points) for copy in old.copies]
        for cut in mine:
            lost_here = sum(m is None for m in moved)
            if lost_here:
                lost[cut.wanted] = lost.get(cut.wanted, 0) + lost_here
        for k, sheets in enumerate(_stacks(old, [m for m in moved if m is not None])):
            if k == 0:
                cuts += [replace(c, scrap=len(laid)) for c in mine]
                laid.append(sheets)
            else:
                more.append(replace(run, scraps=(sheets,), cuts=tuple(replace(c, scrap=0) for c in mine)))
    first = [replace(run, scraps=tuple(laid), cuts=tuple(sorted(cuts, key=lambda c: c.die)))] if laid else []
    return [*first, *more]


def _stacks(old: LaidScrap, places: Sequence[Place]) -> list[LaidScrap]:
    alike: dict[tuple[str, int | None], list[int]] = {}
    for place in places:
        alike.setdefault((place.scrap, place.part), []).append(place.copy)
    return [replace(old, scrap=s, part=p, copies=tuple(copies)) for (s, p), copies in alike.items()]


def _single(project: Project, entry: Entry, move: Move, lost: dict[str, int]) -> Entry | None:
    place = move(Place(entry.scrap, entry.copy, entry.part), anchor_of(project, entry))
    if place is None:
        lost[entry.wanted] = lost.get(entry.wanted, 0) + 1
        return None
    return replace(entry, scrap=place.scrap, copy=place.copy, part=place.part)
