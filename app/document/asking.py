"""Changing what is asked: project fields by undo step, with the plan kept as far as it still speaks of the project."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from app.document.document import Document
from app.document.edits import put_back, settle, take_away
from app.document.state import State
from layout.geometry.value import replace
from layout.model.plan import Layout, Plan, Run
from layout.model.project import Project

UNKNOWN_BOUND = "not known since the project was changed"


def ask(document: Document, name: str, project: Project, *, counts: bool = True) -> None:
    """Go on to another project as one undo step; where the change `counts`, the old proof is no proof any more."""
    plan = settle(project, pruned(project, document.plan)) if counts else document.plan
    if counts and plan.lower_bound:
        plan = replace(plan, lower_bound=0, because=UNKNOWN_BOUND)
    document.change(name, State(project, plan))


def replaced(items: Sequence[Any], at: int, item: Any) -> tuple[Any, ...]:
    """Return the items with one replaced."""
    return (*items[:at], item, *items[at + 1 :])


def removed(items: Sequence[Any], gone: frozenset[int]) -> tuple[Any, ...]:
    """Return the items without those of these numbers."""
    return tuple(item for i, item in enumerate(items) if i not in gone)


def free_id(taken: Sequence[str], wish: str) -> str:
    """Return an id made from a name that no other has."""
    base = "-".join(wish.lower().split()) or "thing"
    if base not in taken:
        return base
    return next(name for n in range(2, len(taken) + 3) if (name := f"{base}-{n}") not in taken)


def pruned(project: Project, plan: Plan) -> Plan:
    """Return the plan without what the project no longer has."""
    layouts = tuple(_pruned_layout(project, layout) for layout in plan.layouts)
    scraps, wanted = {s.id for s in project.scraps}, {w.id for w in project.wanted}
    punches, panels = {p.id for p in project.punches}, {p.id for p in project.panels}
    return replace(
        plan,
        layouts=tuple(layout for layout in layouts if layout.dies or layout.runs),
        punched=tuple(p for p in plan.punched if p.scrap in scraps and p.wanted in wanted and p.punch in punches),
        panels=tuple(p for p in plan.panels if p.scrap in scraps and p.wanted in wanted and p.panel in panels),
        cut_downs=tuple(c for c in plan.cut_downs if c.scrap in scraps),
        unplaced=tuple(u for u in plan.unplaced if u.wanted in wanted),
    )


def _pruned_layout(project: Project, layout: Layout) -> Layout:
    dies = {d.id for d in project.dies}
    gone = frozenset(i for i, d in enumerate(layout.dies) if d.die not in dies)
    left = put_back(layout, gone) if gone else layout
    runs = tuple(_pruned_run(project, run) for run in left.runs)
    return replace(left, runs=tuple(run for run in runs if run.cuts or run.scraps))


def _pruned_run(project: Project, run: Run) -> Run:
    scraps, wanted = {s.id for s in project.scraps}, {w.id for w in project.wanted}
    gone = frozenset(i for i, s in enumerate(run.scraps) if s.scrap not in scraps)
    left = take_away(run, gone) if gone else run
    return replace(left, cuts=tuple(c for c in left.cuts if c.wanted in wanted))
