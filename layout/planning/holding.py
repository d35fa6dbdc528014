"""What the user holds, whole layouts, runs, dies or sheets, stays exactly; the rest is planned around it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from shapely.geometry import Polygon

from layout.geometry.outline import from_polygon
from layout.geometry.value import replace
from layout.model.errors import PlatefulError
from layout.model.noted import Extra
from layout.model.parting import cut_apart
from layout.model.plan import CutDown, CutPanel, LaidScrap, Layout, PlacedDie, Plan, Run
from layout.model.project import Project
from layout.planning.stock import Lying, Pile, Stock, seen_from_sheet, whole_stock


class _Markable(Protocol):
    @property
    def extra(self) -> Extra: ...


def is_held(thing: _Markable) -> bool:
    """Whether the user holds a thing of a plan."""
    return thing.extra.get("held") is True


@dataclass(frozen=True, slots=True)
class Seed:
    """A layout of which some dies (and sheets of one run) are held: the next bed is built around them."""

    dies: tuple[PlacedDie, ...]
    sheets: tuple[LaidScrap, ...] = ()


@dataclass(frozen=True, slots=True)
class Held:
    """What stays of a plan, and what it leaves: stock, cut-downs and their panels, how many other pieces are made."""

    stock: Stock
    layouts: tuple[Layout, ...] = ()
    seeds: tuple[Seed, ...] = ()
    cut_downs: tuple[CutDown, ...] = ()
    panels: tuple[CutPanel, ...] = ()
    made: Mapping[str, int] = field(default_factory=dict)


def hold_of(project: Project, plan: Plan | None) -> Held:
    """Take from a plan what is held; raises PlatefulError where that asks for more than is due or not there."""
    if plan is None:
        return Held(whole_stock(project))
    layouts = tuple(kept for kept in map(_kept, plan.layouts) if kept.runs)
    seeds = tuple(s for s in map(_seed, plan.layouts) if s is not None)
    runs = [(layout, run) for layout in layouts for run in layout.runs]
    used = {(s.scrap, c) for _, run in runs for s in run.scraps for c in s.copies}
    cut_downs = tuple(c for c in plan.cut_downs if (c.scrap, c.copy) in used or is_held(c))
    panels = _held_panels(project, plan, cut_downs)
    stock = _without(_cut_apart(whole_stock(project), cut_downs), panels)
    made: Counter[str] = Counter()
    for layout, run in runs:
        try:
            stock = after(project, stock, layout.dies, run)
        except PlatefulError as fault:
            raise PlatefulError(f"a held pass of layout {layout.id} {fault}") from None
        made.update(run.made)
    _refuse_too_many(project, made)
    return Held(stock, layouts, seeds, cut_downs, panels, made)


def _kept(layout: Layout) -> Layout:
    """A layout with the runs that stay; none where only single dies or sheets are held."""
    runs = layout.runs if is_held(layout) else tuple(r for r in layout.runs if is_held(r))
    return replace(layout, runs=runs)


def _seed(layout: Layout) -> Seed | None:
    if _kept(layout).runs:
        return None
    dies = tuple(d for d in layout.dies if is_held(d))
    sheets = next((s for s in (tuple(s for s in r.scraps if is_held(s)) for r in layout.runs) if s), ())
    return Seed(dies, sheets) if dies or sheets else None


def after(project: Project, stock: Stock, taped: Sequence[PlacedDie], run: Run) -> Stock:
    """The stock after a pass that stays; raises PlatefulError where its sheets are not there any more."""
    dies = {d.id: d for d in project.dies}
    for number, laid in enumerate(run.scraps):
        pieces = [
            Lying(c.wanted, seen_from_sheet(dies[placed.die].cut, placed.pose, laid.pose))
            for c in run.cuts
            if c.scrap == number and (placed := taped[c.die]).die in dies
        ]
        pile = find_pile(stock, laid)
        if pile is None:
            raise PlatefulError(f"lies on scrap {laid.scrap}, which is not there any more")
        stock = stock.after(pile, laid.copies, pieces)
    return stock


def find_pile(stock: Stock, laid: LaidScrap) -> Pile | None:
    """The pile that holds the first of the sheets laid."""
    return next((p for p in stock.piles if _is(p, laid)), None)


def _is(pile: Pile, laid: LaidScrap) -> bool:
    return pile.scrap.id == laid.scrap and pile.part == laid.part and laid.copies[0] in pile.copies


def _cut_apart(stock: Stock, cut_downs: tuple[CutDown, ...]) -> Stock:
    """The stock after held sheets were cut down as their plan says."""
    piles: list[Pile] = []
    for pile in stock.piles:
        cut = {c.copy: c for c in cut_downs if c.scrap == pile.scrap.id}
        rest = tuple(c for c in pile.copies if c not in cut)
        if rest:
            piles.append(replace(pile, copies=rest))
        for copy in (c for c in pile.copies if c in cut):
            parts = cut_apart(pile.outline.polygon, cut[copy].cuts)
            single = [(k, p) for k, p in enumerate(parts) if isinstance(p, Polygon) and not p.is_empty]
            piles += [replace(pile, copies=(copy,), outline=from_polygon(p), part=k) for k, p in single]
    return Stock(tuple(piles))


def _held_panels(project: Project, plan: Plan, cut_downs: tuple[CutDown, ...]) -> tuple[CutPanel, ...]:
    """The panels of sheets that stay as they are cut, no more of them than are due."""
    sheets = {(c.scrap, c.copy) for c in cut_downs}
    due = {w.id: project.due(w) for w in project.wanted}
    known = {p.id for p in project.panels}
    found: list[CutPanel] = []
    for panel in plan.panels:
        if (panel.scrap, panel.copy) in sheets and panel.panel in known and due.get(panel.wanted, 0) > 0:
            due[panel.wanted] -= 1
            found.append(panel)
    return tuple(found)


def _without(stock: Stock, panels: tuple[CutPanel, ...]) -> Stock:
    """The stock without the parts that are panels."""
    gone = {(p.scrap, p.copy, p.part) for p in panels}
    return Stock(tuple(p for p in stock.piles if not any((p.scrap.id, c, p.part) in gone for c in p.copies)))


def _refuse_too_many(project: Project, made: Mapping[str, int]) -> None:
    for wanted in project.wanted:
        count, due = made.get(wanted.id, 0), project.due(wanted)
        if count > due and not wanted.more_is_fine:
            raise PlatefulError(f"the held passes make {count} of {wanted.shape}, {due} are due: let go of one of them")
