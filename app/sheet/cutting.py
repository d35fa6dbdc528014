"""Straight cuts of a plan moved, added, taken away and held by hand; plans are values, lengths mm."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from app.document.edits import HELD
from layout.geometry.units import Unit
from layout.geometry.value import replace
from layout.model.parting import cut_apart
from layout.model.plan import CutDown, Plan, StraightCut
from layout.model.project import Project
from layout.rules.book import Shape
from layout.rules.check import check
from layout.rules.cutting_down import across, stop_of
from layout.rules.finding import Finding

LEAST = 1.0  # square mm of paper on either side of a cut
_ELSEWHERE = {"sums", "bound", "bodies", "copies"}  # what no cut of a sheet changes


class CutError(ValueError):
    """A cut that cannot lie so; the message says why, for a person."""


def sheet_of(project: Project, entry: CutDown) -> Shape:
    """Return the whole sheet that is cut down."""
    return next(s.outline.polygon for s in project.scraps if s.id == entry.scrap)


def parts_before(project: Project, entry: CutDown, cut: int) -> list[Shape]:
    """Return the parts that are there before a cut is made; all of them where `cut` is behind the last."""
    return cut_apart(sheet_of(project, entry), entry.cuts[:cut])


def stop_at(project: Project, entry: CutDown, cut: int) -> float:
    """Return where the trimmer's stop is set for a cut (mm)."""
    return stop_of(parts_before(project, entry, cut)[entry.cuts[cut].part], entry.cuts[cut].line)


def move_cut(project: Project, plan: Plan, at: int, cut: int, by: float) -> Plan:
    """Return the plan with a cut farther on to its right, on all sheets cut alike; raises CutError."""
    entry = plan.cut_downs[at]
    straight = entry.cuts[cut]
    nx, ny = across(straight.line)
    (ax, ay), (bx, by_) = straight.line
    line = ((ax + by * nx, ay + by * ny), (bx + by * nx, by_ + by * ny))
    cuts = (*entry.cuts[:cut], replace(straight, line=line), *entry.cuts[cut + 1 :])
    return _recut(project, plan, at, cuts)


def add_cut(project: Project, plan: Plan, at: int, part: int, *, upright: bool) -> Plan:
    """Return the plan with one more cut through the middle of a part, on all sheets cut alike; raises CutError."""
    entry = plan.cut_downs[at]
    x0, y0, x1, y1 = parts_before(project, entry, len(entry.cuts))[part].bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    line = ((x, y0), (x, y1)) if upright else ((x1, y), (x0, y))
    return _recut(project, plan, at, (*entry.cuts, StraightCut(part, line)))


def take_last(project: Project, plan: Plan, at: int) -> Plan:
    """Return the plan without a sheet's last cut; raises CutError where something lies on the part that it made."""
    entry = plan.cut_downs[at]
    gone, kept = len(entry.cuts), entry.cuts[-1].part
    for copy in (plan.cut_downs[k].copy for k in alike(plan, at)):
        if any(part in (gone, kept) for part in used_parts(plan, entry.scrap, copy)):
            raise CutError("A panel or a piece comes off a part that this cut makes; move the cut instead.")
    if len(entry.cuts) == 1:
        raise CutError("It is this sheet's only cut.")
    return _recut(project, plan, at, entry.cuts[:-1])


def used_parts(plan: Plan, scrap: str, copy: int) -> Iterator[int | None]:
    """Give the parts of a sheet from which something is made."""
    yield from (p.part for p in (*plan.panels, *plan.punched) if (p.scrap, p.copy) == (scrap, copy))
    for layout in plan.layouts:
        yield from (s.part for r in layout.runs for s in r.scraps if s.scrap == scrap and copy in s.copies)


def alike(plan: Plan, at: int) -> tuple[int, ...]:
    """Return the places of all sheets of this scrap that are cut alike: those may be stacked, and stay alike."""
    entry = plan.cut_downs[at]
    return tuple(k for k, c in enumerate(plan.cut_downs) if (c.scrap, c.cuts) == (entry.scrap, entry.cuts))


def hold_sheet(plan: Plan, at: int, held: bool) -> Plan:
    """Return the plan with a sheet's cuts and panels held as they are, or let go, on all sheets cut alike."""

    def marked(entry: CutDown) -> CutDown:
        extra = {k: v for k, v in entry.extra.items() if k != HELD}
        return replace(entry, extra={**extra, HELD: True} if held else extra)

    return _changed(plan, at, marked)


def is_held(plan: Plan, at: int) -> bool:
    """Whether a sheet's cuts are held."""
    return plan.cut_downs[at].extra.get(HELD) is True


def findings(project: Project, plan: Plan, at: int, unit: Unit = "mm") -> list[Finding]:
    """Return what is wrong on one sheet: its parts, its panels, and what is cut or punched out of it."""
    entry = plan.cut_downs[at]
    mine = [c for c in plan.cut_downs if c.scrap == entry.scrap]
    layouts = tuple(
        replace(lay, runs=runs)
        for lay in plan.layouts
        if (runs := tuple(r for r in lay.runs if any(s.scrap == entry.scrap for s in r.scraps)))
    )
    part = Plan(
        layouts,
        tuple(p for p in plan.punched if p.scrap == entry.scrap),
        tuple(mine),
        tuple(p for p in plan.panels if (p.scrap, p.copy) == (entry.scrap, entry.copy)),
    )
    return [f for f in check(project, part, unit) if f.rule not in _ELSEWHERE]


def _recut(project: Project, plan: Plan, at: int, cuts: tuple[StraightCut, ...]) -> Plan:
    parts = cut_apart(sheet_of(project, plan.cut_downs[at]), cuts[:1])
    for number in range(len(cuts)):
        parts = cut_apart(sheet_of(project, plan.cut_downs[at]), cuts[: number + 1])
        if parts[cuts[number].part].area < LEAST or parts[-1].area < LEAST:
            raise CutError(f"Cut {number + 1} would leave no paper on one side.")
    return _changed(plan, at, lambda entry: replace(entry, cuts=cuts))


def _changed(plan: Plan, at: int, change: Callable[[CutDown], CutDown]) -> Plan:
    same = alike(plan, at)
    return replace(plan, cut_downs=tuple(change(c) if k in same else c for k, c in enumerate(plan.cut_downs)))
