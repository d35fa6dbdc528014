"""A pass is marked done, or taken back: project and plan afterwards, and the record that makes it reversible.

Pure and whole in itself: all that taking back needs stands in the project.
"""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal

from shapely.geometry import Point as Spot

from layout.geometry.outline import Outline, Point, from_polygon
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.done import DoneRun, Left, Taken
from layout.model.errors import WorkshopError
from layout.model.parting import cut_apart
from layout.model.plan import CutPanel, Layout, Plan, Punched, Run, StraightCut
from layout.model.project import Project
from layout.workshop.carrying import carried, carried_back
from layout.workshop.repointing import anchor_of, anchors
from layout.workshop.things import REFERENCE
from layout.workshop.using_up import WORTH_KEEPING, Piece, Shape, new_ids, remains_of, share_out


@dataclass(frozen=True, slots=True)
class After:
    """The project and the plan afterwards, and what was marked or taken back."""

    project: Project
    plan: Plan
    record: DoneRun


@dataclass(frozen=True, slots=True)
class _Use:
    """What one pass does to one sheet: pieces off a part of it (None: off the whole)."""

    scrap: str
    copy: int
    part: int | None
    pieces: tuple[tuple[str, str, Outline], ...]  # wanted, the shape's name, the piece in the sheet's frame


def mark_run_done(
    project: Project,
    plan: Plan,
    layout: str,
    run: int,
    worth_keeping: float = WORTH_KEEPING,
    *,
    record_id: str | None = None,
    when: str | None = None,
) -> After:
    """Mark a run (its number in the layout) done; `worth_keeping` in mm. Raises WorkshopError."""
    at = next((i for i, lay in enumerate(plan.layouts) if lay.id == layout), None)
    if at is None or not 0 <= run < len(plan.layouts[at].runs):
        raise WorkshopError(f"the plan has no pass {run + 1} of layout {layout} any more; look at the passes again")
    taped = replace(plan.layouts[at], runs=(plan.layouts[at].runs[run],))
    begun = _begun(record_id, when, layout=taped, at=at, run=run, lower_bound=plan.lower_bound)
    return _marked(project, plan, without(plan, begun), _uses_of(project, taped), worth_keeping, begun)


def mark_hand_done(
    project: Project,
    plan: Plan,
    kind: Literal["punched", "panels"],
    index: int,
    worth_keeping: float = WORTH_KEEPING,
    *,
    record_id: str | None = None,
    when: str | None = None,
) -> After:
    """Mark one punched piece or one panel of the plan done. Raises WorkshopError."""
    entries: tuple[Punched | CutPanel, ...] = plan.punched if kind == "punched" else plan.panels
    if not 0 <= index < len(entries):
        raise WorkshopError("the plan has no such piece by hand any more; look at the list again")
    entry = entries[index]
    begun = _begun(record_id, when, at=index, lower_bound=plan.lower_bound)
    begun = replace(begun, punched=entry) if isinstance(entry, Punched) else replace(begun, panel=entry)
    use = _Use(entry.scrap, entry.copy, entry.part, _hand_piece(project, entry))
    return _marked(project, plan, without(plan, begun), [use], worth_keeping, begun)


def redo(project: Project, plan: Plan, record: DoneRun) -> After:
    """Mark what a record tells once more, as it was. Raises WorkshopError where its sheets are not there."""
    if any(run.id == record.id for run in project.done.runs):
        return After(project, plan, record)
    return After(*carried(project, without(plan, record), record), record)


def mark_undone(project: Project, plan: Plan, record_id: str) -> After:
    """Take a mark back: sheets whole again, pieces due again, the run in the plan again. Raises WorkshopError."""
    record = next((run for run in project.done.runs if run.id == record_id), None)
    if record is None:
        raise WorkshopError("this pass is not marked done in this project any more; look at the passes again")
    return After(*carried_back(project, plan, record), record)


def without(plan: Plan, record: DoneRun) -> Plan:
    """Return the plan without what a record did; as it is where the plan does not have that (any more)."""
    if record.layout is not None:
        return _without_run(plan, record.layout)
    if record.punched is not None and record.punched in plan.punched:
        at = plan.punched.index(record.punched)
        return replace(plan, punched=plan.punched[:at] + plan.punched[at + 1 :])
    if record.panel is not None and record.panel in plan.panels:
        at = plan.panels.index(record.panel)
        return replace(plan, panels=plan.panels[:at] + plan.panels[at + 1 :])
    return plan


def _without_run(plan: Plan, taped: Layout) -> Plan:
    for at, layout in enumerate(plan.layouts):
        if layout.id == taped.id and layout.dies == taped.dies and taped.runs[0] in layout.runs:
            k = layout.runs.index(taped.runs[0])
            rest = replace(layout, runs=layout.runs[:k] + layout.runs[k + 1 :])
            layouts = (*plan.layouts[:at], *((rest,) if rest.runs else ()), *plan.layouts[at + 1 :])
            # Any plan for the rest, and the pass just made, make all: the rest needs at most one pass fewer.
            return replace(plan, layouts=layouts, lower_bound=max(0, plan.lower_bound - 1))
    return plan


def _begun(
    record_id: str | None,
    when: str | None,
    *,
    lower_bound: int,
    layout: Layout | None = None,
    at: int = 0,
    run: int = 0,
) -> DoneRun:
    name = record_id or uuid.uuid4().hex
    moment = when or datetime.now(UTC).isoformat(timespec="seconds")
    return DoneRun(name, moment, (), layout=layout, at=at, run=run, lower_bound=lower_bound)


# ---- what a pass does to its sheets ----------------------------------------------------------------------------------


def _uses_of(project: Project, taped: Layout) -> list[_Use]:
    run = taped.runs[0]
    return [
        _Use(laid.scrap, copy, laid.part, _pieces(project, taped, run, number))
        for number, laid in enumerate(run.scraps)
        for copy in laid.copies
    ]


def _pieces(project: Project, taped: Layout, run: Run, number: int) -> tuple[tuple[str, str, Outline], ...]:
    dies = {d.id: d for d in project.dies}
    found = []
    for cut in run.cuts:
        placed = taped.dies[cut.die]
        if cut.scrap == number:
            if placed.die not in dies:
                raise WorkshopError(f"the die {placed.die} of layout {taped.id} is not in the project any more")
            die = dies[placed.die]
            found.append((cut.wanted, die.name, _seen(die.cut, placed.pose, run.scraps[number].pose)))
    return tuple(found)


def _seen(cut: Outline, tool: Pose, sheet: Pose) -> Outline:
    return tool.seen_from(sheet).outline(cut)


def _hand_piece(project: Project, entry: Punched | CutPanel) -> tuple[tuple[str, str, Outline], ...]:
    if isinstance(entry, Punched):
        punch = next((p for p in project.punches if p.id == entry.punch), None)
        if punch is None:
            raise WorkshopError(f"the punch {entry.punch} is not in the project any more")
        return ((entry.wanted, punch.name, entry.pose.outline(punch.cut)),)
    panel = next((p for p in project.panels if p.id == entry.panel), None)
    if panel is None:
        raise WorkshopError(f"the panel {entry.panel} is not in the project any more")
    return ((entry.wanted, panel.name, entry.pose.outline(panel.outline)),)


# ---- the record ------------------------------------------------------------------------------------------------------


def _marked(
    project: Project, plan: Plan, rest: Plan, uses: Sequence[_Use], worth_keeping: float, begun: DoneRun
) -> After:
    taken = _taken(project, plan, uses)
    papers = {p.id: p.name for p in project.papers}
    left: list[Left] = []
    pieces: list[Piece] = []
    cut_area = trimmed = 0.0
    for number, (sheets, mine) in enumerate(taken):
        needed = _needed(project, rest, sheets)
        paper = papers.get(sheets.scrap.paper, sheets.scrap.paper)
        kept, cut, waste = _left_of(sheets, mine, worth_keeping, needed, number)
        left += kept
        cut_area, trimmed = cut_area + cut, trimmed + waste
        for use in mine:
            pieces += [Piece(w, name, shape, paper, len(sheets.copies)) for w, name, shape in use.pieces]
    made, spares = share_out(project, pieces)
    record = replace(
        begun,
        taken=tuple(sheets for sheets, _ in taken),
        left=_named(project, begun.id, [sheets for sheets, _ in taken], left),
        made=made,
        spares=spares,
        cut_area=cut_area,
        trimmed=trimmed,
    )
    return After(*carried(project, rest, record), record)


def _taken(project: Project, plan: Plan, uses: Sequence[_Use]) -> list[tuple[Taken, list[_Use]]]:
    """Group sheets that are used alike; each group with what is done to one of its sheets."""
    by_sheet: dict[tuple[str, int], list[_Use]] = {}
    for use in uses:
        known = by_sheet.setdefault((use.scrap, use.copy), [])
        if any(k.part == use.part for k in known):
            raise WorkshopError(f"the pass lays sheet {use.copy + 1} of scrap {use.scrap} twice; mend the plan first")
        known.append(use)
    groups: dict[object, tuple[Taken, list[_Use]]] = {}
    for (scrap_id, copy), mine in by_sheet.items():
        at = next((i for i, s in enumerate(project.scraps) if s.id == scrap_id), None)
        if at is None or copy >= project.scraps[at].count:
            raise WorkshopError(f"scrap {scrap_id} has no sheet {copy + 1} any more; plan the rest again")
        cuts = _cuts(plan, scrap_id, copy) if any(u.part is not None for u in mine) else ()
        key = (scrap_id, cuts, tuple((u.part, u.pieces) for u in mine))
        before = groups.get(key)
        copies = (*before[0].copies, copy) if before else (copy,)
        groups[key] = (Taken(project.scraps[at], copies, at, cuts), mine)
    return list(groups.values())


def _cuts(plan: Plan, scrap: str, copy: int) -> tuple[StraightCut, ...]:
    return next((c.cuts for c in plan.cut_downs if c.scrap == scrap and c.copy == copy), ())


def _needed(project: Project, rest: Plan, sheets: Taken) -> list[Spot]:
    """Points of these sheets that the rest of the plan still cuts from."""
    mine = set(sheets.copies)
    points: list[Point] = []
    for layout in rest.layouts:
        for run in layout.runs:
            for number, laid in enumerate(run.scraps):
                if laid.scrap == sheets.scrap.id and mine.intersection(laid.copies):
                    points += anchors(project, layout, run, number)
    entries: list[Punched | CutPanel] = [*rest.punched, *rest.panels]
    for entry in entries:
        if entry.scrap == sheets.scrap.id and entry.copy in mine:
            points += anchor_of(project, entry)
    return [Spot(p) for p in points]


def _left_of(
    sheets: Taken, uses: Sequence[_Use], worth_keeping: float, needed: Sequence[Spot], number: int
) -> tuple[list[Left], float, float]:
    """What is left of these sheets, and the areas cut and trimmed, over all of them."""
    scrap, count = sheets.scrap, len(sheets.copies)
    uncut = (scrap.uncut or scrap.outline).polygon
    parts: list[tuple[int | None, Shape, Shape]] = [(None, scrap.outline.polygon, uncut)]
    if sheets.cuts:
        halves = zip(cut_apart(scrap.outline.polygon, sheets.cuts), cut_apart(uncut, sheets.cuts), strict=True)
        parts = [(k, part, before) for k, (part, before) in enumerate(halves)]
    left: list[Left] = []
    cut = trimmed = 0.0
    for part, shape, before in parts:
        pieces = [outline for use in uses if use.part == part for _, _, outline in use.pieces]
        rest = remains_of(scrap, shape, pieces, worth_keeping, needed)
        cut, trimmed = cut + count * rest.cut, trimmed + count * rest.trimmed
        edge = _edge(before) if pieces or scrap.uncut is not None else None
        left += [Left(replace(kept, count=count, uncut=edge), number, part) for kept in rest.kept]
    return left, cut, trimmed


def _edge(before: Shape) -> Outline | None:
    return from_polygon(before) if before.geom_type == "Polygon" and not before.is_empty else None


def _named(project: Project, record: str, taken: Sequence[Taken], left: Sequence[Left]) -> tuple[Left, ...]:
    """Give what is left its names, in the project and in the workshop."""
    named: list[Left] = []
    for k, item in enumerate(left):
        scrap = taken[item.of].scrap
        name = new_ids(project, scrap.id, 1, [n.scrap.id for n in named])[0]
        extra = {**item.scrap.extra, REFERENCE: f"{record}-{k}"} if REFERENCE in scrap.extra else scrap.extra
        named.append(replace(item, scrap=replace(item.scrap, id=name, extra=extra)))
    return tuple(named)
