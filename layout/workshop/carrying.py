"""A record of a done pass carried out on a project and its plan, and carried back."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Point as Spot

from layout.geometry.outline import Point
from layout.geometry.value import replace
from layout.model.done import DoneRun, Left, Taken
from layout.model.errors import WorkshopError
from layout.model.plan import CutDown, Layout, Plan
from layout.model.project import Project, Scrap
from layout.workshop.repointing import MoveCuts, Place, repointed


def carried(project: Project, plan: Plan, record: DoneRun) -> tuple[Project, Plan]:
    """Carry a record out; the plan is without its run already. Raises WorkshopError where sheets are not there."""
    scraps = list(project.scraps)
    for number, taken in enumerate(record.taken):
        _take(scraps, taken, [left.scrap for left in record.left if left.of == number])
    moved = repointed(project, plan, lambda place, points: _forth(record, place, points), _cuts_forth(record))
    runs = (*project.done.runs, record)
    return replace(project, scraps=tuple(scraps), done=replace(project.done, runs=runs)), moved


def carried_back(project: Project, plan: Plan, record: DoneRun) -> tuple[Project, Plan]:
    """Carry a record back. Raises WorkshopError where what it left was cut or changed since."""
    scraps = list(project.scraps)
    for left in record.left:
        _take_away(project, scraps, record, left)
    restored: dict[int, tuple[int, ...]] = {}
    for scrap in dict.fromkeys(t.scrap.id for t in record.taken):
        restored |= _give_back(scraps, {k: t for k, t in enumerate(record.taken) if t.scrap.id == scrap})
    runs = tuple(run for run in project.done.runs if run.id != record.id)
    after = replace(project, scraps=tuple(scraps), done=replace(project.done, runs=runs))
    return after, _with_run(_plan_back(project, plan, record, restored), record, restored)


# ---- scraps ----------------------------------------------------------------------------------------------------------


def _take(scraps: list[Scrap], taken: Taken, left: Sequence[Scrap]) -> None:
    at = _index(scraps, taken.scrap.id)
    if at is None or scraps[at].count < len(taken.copies) or scraps[at].outline != taken.scrap.outline:
        raise WorkshopError(
            f"scrap {taken.scrap.id} is not as it was when this pass was made; put it back as it was, or plan again"
        )
    rest = replace(scraps[at], count=scraps[at].count - len(taken.copies))
    scraps[at : at + 1] = [*((rest,) if rest.count else ()), *left]


def _take_away(project: Project, scraps: list[Scrap], record: DoneRun, left: Left) -> None:
    at = _index(scraps, left.scrap.id)
    if at is not None and scraps[at] == left.scrap:
        del scraps[at]
        return
    later = next((r for r in project.done.runs if any(t.scrap.id == left.scrap.id for t in r.taken)), None)
    if later is not None:
        raise WorkshopError(
            f"{name_of(later)} was cut from what {name_of(record)} left; take {name_of(later)} back first"
        )
    raise WorkshopError(
        f"scrap {left.scrap.id}, which {name_of(record)} left, was changed since; put it back as it was first"
    )


def _give_back(scraps: list[Scrap], taken: dict[int, Taken]) -> dict[int, tuple[int, ...]]:
    """Put sheets of one scrap back; returns their numbers among its copies now: the old ones where that can be."""
    first = next(iter(taken.values()))
    count = sum(len(t.copies) for t in taken.values())
    at = _index(scraps, first.scrap.id)
    if at is None:
        at = min(first.at, len(scraps))
        scraps.insert(at, replace(first.scrap, count=0))
    elif scraps[at].outline != first.scrap.outline:
        raise WorkshopError(f"scrap {first.scrap.id} has another outline now; put it back as it was first")
    total = scraps[at].count + count
    scraps[at] = replace(scraps[at], count=total)
    if max(c for t in taken.values() for c in t.copies) < total:
        return {number: t.copies for number, t in taken.items()}
    fresh = iter(range(total - count, total))
    return {number: tuple(next(fresh) for _ in t.copies) for number, t in taken.items()}


def _index(scraps: Sequence[Scrap], name: str) -> int | None:
    return next((i for i, s in enumerate(scraps) if s.id == name), None)


def name_of(record: DoneRun) -> str:
    """Say which pass a record is about."""
    if record.layout is not None:
        return f"pass {record.layout.id} {record.run + 1}"
    entry = record.punched or record.panel
    return f"the piece {entry.wanted} by hand" if entry is not None else "that pass"


# ---- the plan --------------------------------------------------------------------------------------------------------


def _forth(record: DoneRun, place: Place, points: Sequence[Point]) -> Place | None:
    for number, taken in enumerate(record.taken):
        if taken.scrap.id == place.scrap and place.copy in taken.copies:
            mine = [k for k in record.left if k.of == number and k.part == (place.part if taken.cuts else None)]
            found = next((k for k in mine if _holds(k.scrap, points)), None)
            return None if found is None else Place(found.scrap.id, taken.copies.index(place.copy))
    return Place(place.scrap, place.copy - _taken_below(record, place.scrap, place.copy), place.part)


def _holds(scrap: Scrap, points: Sequence[Point]) -> bool:
    return all(scrap.outline.polygon.covers(Spot(p)) for p in points)


def _taken_below(record: DoneRun, scrap: str, copy: int) -> int:
    return sum(c < copy for taken in record.taken if taken.scrap.id == scrap for c in taken.copies)


def _cuts_forth(record: DoneRun) -> MoveCuts:
    taken = {(t.scrap.id, copy) for t in record.taken for copy in t.copies}
    return lambda scrap, copy: None if (scrap, copy) in taken else copy - _taken_below(record, scrap, copy)


def _plan_back(project: Project, plan: Plan, record: DoneRun, restored: dict[int, tuple[int, ...]]) -> Plan:
    """Name the sheets of a plan as they were before the record."""
    cut_since = {c.scrap for c in plan.cut_downs}
    left = {k.scrap.id: k for k in record.left}
    back: dict[str, list[int]] = {}
    for number, copies in restored.items():
        back.setdefault(record.taken[number].scrap.id, []).extend(copies)

    def kept(scrap: str, copy: int) -> int:
        for number in sorted(back.get(scrap, ())):
            copy += number <= copy
        return copy

    def move(place: Place, _points: Sequence[Point]) -> Place | None:
        item = left.get(place.scrap)
        if item is None:
            return Place(place.scrap, kept(place.scrap, place.copy), place.part)
        if place.scrap in cut_since:  # cut down since: its parts have no name on the sheet it came from
            return None
        return Place(record.taken[item.of].scrap.id, restored[item.of][place.copy], item.part)

    moved = repointed(project, plan, move, lambda scrap, copy: None if scrap in left else kept(scrap, copy))
    downs = tuple(
        CutDown(taken.scrap.id, taken.cuts, copy)
        for number, taken in enumerate(record.taken)
        if taken.cuts
        for copy in restored[number]
    )
    return replace(moved, cut_downs=(*moved.cut_downs, *downs))


def _with_run(plan: Plan, record: DoneRun, restored: dict[int, tuple[int, ...]]) -> Plan:
    """Put the record's run (or hand piece) back into the plan."""
    bound = record.lower_bound
    if plan.lower_bound != (max(0, bound - 1) if record.layout is not None else bound):
        bound = 0  # planned anew meanwhile: nothing is known of the whole
    plan = replace(plan, lower_bound=bound)
    now = {
        (taken.scrap.id, old): new
        for number, taken in enumerate(record.taken)
        for old, new in zip(taken.copies, restored[number], strict=True)
    }
    if record.punched is not None:
        punch = replace(record.punched, copy=now[record.punched.scrap, record.punched.copy])
        return replace(plan, punched=(*plan.punched[: record.at], punch, *plan.punched[record.at :]))
    if record.panel is not None:
        panel = replace(record.panel, copy=now[record.panel.scrap, record.panel.copy])
        return replace(plan, panels=(*plan.panels[: record.at], panel, *plan.panels[record.at :]))
    return plan if record.layout is None else _with_layout(plan, record.layout, record, now)


def _with_layout(plan: Plan, taped: Layout, record: DoneRun, now: dict[tuple[str, int], int]) -> Plan:
    old = taped.runs[0]
    laid = tuple(replace(s, copies=tuple(now[s.scrap, c] for c in s.copies)) for s in old.scraps)
    run = replace(old, scraps=laid)
    for at, layout in enumerate(plan.layouts):
        if layout.id == taped.id and layout.dies == taped.dies:
            runs = (*layout.runs[: record.run], run, *layout.runs[record.run :])
            return replace(plan, layouts=(*plan.layouts[:at], replace(layout, runs=runs), *plan.layouts[at + 1 :]))
    names = {layout.id for layout in plan.layouts}
    name = next(n for n in (taped.id, *(f"{taped.id} {k}" for k in range(2, len(names) + 3))) if n not in names)
    made = replace(taped, id=name, runs=(run,))
    return replace(plan, layouts=(*plan.layouts[: record.at], made, *plan.layouts[record.at :]))
