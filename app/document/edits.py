"""What a hand does to a plan: pure steps from one plan to the next. A layout's dies serve all its runs alike."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.simple import inside
from layout.geometry.value import replace
from layout.model.plan import Cut, CutDown, LaidScrap, Layout, PlacedDie, Plan, Run, Unplaced
from layout.model.project import Die, Project, Scrap, Wanted

HELD = "held"
TAKEN_OFF = "nothing on the plate cuts it now"
NOT_PLANNED = "not planned yet"

CutDowns = tuple[CutDown, ...]  # of the plan: what its sheets are cut down to before anything else
Short = Counter[str]  # by wanted id: how many pieces are still short


def with_layout(plan: Plan, at: int, change: Callable[[Layout], Layout]) -> Plan:
    """Return the plan with one layout changed."""
    layouts = list(plan.layouts)
    layouts[at] = change(layouts[at])
    return replace(plan, layouts=tuple(layouts))


def with_run(layout: Layout, at: int, change: Callable[[Run], Run]) -> Layout:
    """Return the layout with one run changed."""
    runs = list(layout.runs)
    runs[at] = change(runs[at])
    return replace(layout, runs=tuple(runs))


def short_of(project: Project, plan: Plan) -> Short:
    """Return how many of each piece the plan still lacks; below zero where it makes more than are due."""
    made = plan.made
    return Counter({w.id: project.due(w) - made[w.id] for w in project.wanted})


def missing_of(short: Short) -> int:
    """Return how many pieces are missing in all."""
    return sum(number for number in short.values() if number > 0)


def move_dies(project: Project, cut_downs: CutDowns, layout: Layout, poses: Mapping[int, Pose], short: Short) -> Layout:
    """Return the layout with dies at new poses; each moved die cuts from the sheet it now lies on."""
    dies = tuple(replace(d, pose=poses.get(i, d.pose)) for i, d in enumerate(layout.dies))
    moved = replace(layout, dies=dies)
    return replace(
        moved, runs=tuple(recut(project, cut_downs, moved, run, frozenset(poses), short) for run in moved.runs)
    )


def move_scraps(
    project: Project, cut_downs: CutDowns, layout: Layout, run: int, poses: Mapping[int, Pose], short: Short
) -> Layout:
    """Return the layout with sheets of one run at new poses; dies over them cut from what now lies there."""

    def moved(old: Run) -> Run:
        laid = tuple(replace(s, pose=poses.get(i, s.pose)) for i, s in enumerate(old.scraps))
        new = replace(old, scraps=laid)
        touched = {c.die for c in old.cuts if c.scrap in poses} | _over(project, cut_downs, layout, new, poses)
        return recut(project, cut_downs, layout, new, frozenset(touched), short)

    return with_run(layout, run, moved)


def recut(project: Project, cut_downs: CutDowns, layout: Layout, run: Run, dies: frozenset[int], short: Short) -> Run:
    """Return the run with the cuts of these dies read afresh from where they lie; `short` is kept up to date.

    A die that cut nothing before begins to only where a piece of it is still short: otherwise it was lifted off.
    """
    kept = [c for c in run.cuts if c.die not in dies]
    before = {c.die: c for c in run.cuts if c.die in dies}
    for die in sorted(dies):
        under, old = scrap_under(project, cut_downs, layout.dies[die], run), before.get(die)
        if old is not None:
            short[old.wanted] += len(run.scraps[old.scrap].copies)
        if under is None:
            continue
        wanted = old.wanted if old is not None else _wanted_for(project, layout.dies[die].die, run, under, short)
        if wanted is not None:
            short[wanted] -= len(run.scraps[under].copies)
            kept.append(Cut(die, under, wanted))
    return replace(run, cuts=tuple(sorted(kept, key=lambda c: c.die)))


def lift_off(run: Run, dies: frozenset[int]) -> Run:
    """Return the run with these dies cutting nothing in it."""
    return replace(run, cuts=tuple(c for c in run.cuts if c.die not in dies))


def scrap_under(project: Project, cut_downs: CutDowns, placed: PlacedDie, run: Run) -> int | None:
    """Return the number of the sheet under the heart of the piece, None where there is none; the topmost counts."""
    at = placed.pose.point(heart_of(project, placed))
    for i in reversed(range(len(run.scraps))):
        laid = run.scraps[i]
        border = laid_sheet(project, cut_downs, laid).outline
        if inside(border.outer, laid.pose.inverse().point(at)):
            return i
    return None


def posed_scrap(project: Project, cut_downs: CutDowns, laid: LaidScrap) -> Outline:
    """Return a laid sheet's outline in the plate frame."""
    return laid.pose.outline(laid_sheet(project, cut_downs, laid).outline)


def put_back(layout: Layout, dies: frozenset[int]) -> Layout:
    """Return the layout without these dies: they are back in the drawer."""
    left = [i for i in range(len(layout.dies)) if i not in dies]
    number = {old: new for new, old in enumerate(left)}

    def without(run: Run) -> Run:
        return replace(run, cuts=tuple(replace(c, die=number[c.die]) for c in run.cuts if c.die in number))

    return replace(layout, dies=tuple(layout.dies[i] for i in left), runs=tuple(without(r) for r in layout.runs))


def take_away(run: Run, scraps: frozenset[int]) -> Run:
    """Return the run without these sheets; the dies over them cut nothing in it."""
    left = [i for i in range(len(run.scraps)) if i not in scraps]
    number = {old: new for new, old in enumerate(left)}
    cuts = tuple(replace(c, scrap=number[c.scrap]) for c in run.cuts if c.scrap in number)
    return replace(run, scraps=tuple(run.scraps[i] for i in left), cuts=cuts)


def put_on(project: Project, cut_downs: CutDowns, layout: Layout, die: PlacedDie, short: Short) -> Layout:
    """Return the layout with one more die taped down."""
    more = replace(layout, dies=(*layout.dies, die))
    new = frozenset({len(layout.dies)})
    return replace(more, runs=tuple(recut(project, cut_downs, more, run, new, short) for run in more.runs))


def lay(project: Project, cut_downs: CutDowns, layout: Layout, run: int, laid: LaidScrap, short: Short) -> Layout:
    """Return the layout with one more sheet in a run; idle dies over it cut from it."""

    def more(old: Run) -> Run:
        new = replace(old, scraps=(*old.scraps, laid))
        idle = frozenset(range(len(layout.dies))) - {c.die for c in old.cuts}
        return recut(project, cut_downs, layout, new, idle, short)

    return with_run(layout, run, more)


def free_copy(project: Project, plan: Plan, scrap: str) -> int | None:
    """Return the number of a sheet that nothing of the plan uses yet, None where all are used."""
    used = {
        copy for layout in plan.layouts for r in layout.runs for s in r.scraps if s.scrap == scrap for copy in s.copies
    }
    used |= {p.copy for p in plan.punched if p.scrap == scrap} | {p.copy for p in plan.panels if p.scrap == scrap}
    return next((i for i in range(scrap_of(project, scrap).count) if i not in used), None)


def hold(layout: Layout, run: int, dies: frozenset[int], scraps: frozenset[int], held: bool) -> Layout:
    """Return the layout with these dies, and these sheets of one run, held in place or let go."""
    marked = replace(layout, dies=tuple(_mark(d, held) if i in dies else d for i, d in enumerate(layout.dies)))
    if not scraps:
        return marked
    return with_run(
        marked,
        run,
        lambda r: replace(r, scraps=tuple(_mark(s, held) if i in scraps else s for i, s in enumerate(r.scraps))),
    )


def anything_held(plan: Plan) -> bool:
    """Whether a plan holds any die or sheet in place, or a sheet as it is cut down."""
    return any(c.extra.get(HELD) for c in plan.cut_downs) or any(
        thing.extra.get(HELD)
        for layout in plan.layouts
        for thing in (*layout.dies, *(s for run in layout.runs for s in run.scraps))
    )


def keep_marks(before: Plan, after: Plan) -> Plan:
    """Return the later plan with what the earlier one holds in place still marked as held, where it still lies so."""
    dies = {(d.die, d.pose) for layout in before.layouts for d in layout.dies if d.extra.get(HELD)}
    laid = [s for layout in before.layouts for run in layout.runs for s in run.scraps if s.extra.get(HELD)]
    scraps = {(s.scrap, s.copies, s.pose) for s in laid}
    if not dies and not scraps:
        return after

    def marked(layout: Layout) -> Layout:
        kept = frozenset(i for i, d in enumerate(layout.dies) if (d.die, d.pose) in dies)
        held = hold(layout, 0, kept, frozenset(), True)
        for r, run in enumerate(layout.runs):
            sheets = frozenset(i for i, s in enumerate(run.scraps) if (s.scrap, s.copies, s.pose) in scraps)
            held = hold(held, r, frozenset(), sheets, True)
        return held

    return replace(after, layouts=tuple(marked(layout) for layout in after.layouts))


def duplicate(layout: Layout, name: str) -> Layout:
    """Return a copy of a layout's dies under another name, with one pass and no paper."""
    return Layout(name, layout.dies, (Run((), ()),))


def settle(project: Project, plan: Plan) -> Plan:
    """Return the plan with what is missing counted afresh; reasons that still apply are kept."""
    made = plan.made
    reasons = {u.wanted: u for u in plan.unplaced}
    unplaced = [
        _unplaced(w, short, reasons.get(w.id), plan)
        for w in project.wanted
        if (short := project.due(w) - made[w.id]) > 0
    ]
    return replace(plan, unplaced=tuple(unplaced))


def die_of(project: Project, name: str) -> Die:
    """Return a die by its id."""
    return next(d for d in project.dies if d.id == name)


def scrap_of(project: Project, name: str) -> Scrap:
    """Return a scrap by its id."""
    return next(s for s in project.scraps if s.id == name)


def laid_sheet(project: Project, cut_downs: CutDowns, laid: LaidScrap) -> Scrap:
    """Return the sheet that is laid: a whole scrap, or the part of it that is left after cutting down."""
    whole = scrap_of(project, laid.scrap)
    entry = next((c for c in cut_downs if (c.scrap, c.copy) == (laid.scrap, laid.copies[0])), None)
    if laid.part is None or entry is None:
        return whole
    from layout.model.parting import part_of  # a heavy library, which a start without such parts does not need

    return part_of(whole, entry, laid.part)


def _unplaced(wanted: Wanted, short: int, before: Unplaced | None, plan: Plan) -> Unplaced:
    if before is not None:
        return replace(before, count=short)
    return Unplaced(wanted.id, short, TAKEN_OFF if plan.layouts else NOT_PLANNED)


def _mark(thing: Any, held: bool) -> Any:
    extra = {k: v for k, v in thing.extra.items() if k != HELD}
    return replace(thing, extra={**extra, HELD: True} if held else extra)


def _wanted_for(project: Project, die: str, run: Run, under: int, short: Short) -> str | None:
    paper = scrap_of(project, run.scraps[under].scrap).paper
    fits = (w for w in project.wanted if w.shape == die and w.paper in (None, paper))
    return next((w.id for w in fits if w.more_is_fine or short[w.id] > 0), None)


def _over(project: Project, cut_downs: CutDowns, layout: Layout, run: Run, scraps: Iterable[int]) -> set[int]:
    cutting = {c.die for c in run.cuts}
    under = {i: scrap_under(project, cut_downs, d, run) for i, d in enumerate(layout.dies) if i not in cutting}
    return {i for i, scrap in under.items() if scrap in set(scraps)}


# Kept by identity: hashing an outline of some hundred corners costs more than all the rest of a move.
_hearts: dict[int, tuple[Outline, tuple[float, float]]] = {}
MOST_HEARTS = 4096


def heart_of(project: Project, placed: PlacedDie) -> tuple[float, float]:
    """Return a point well inside what a die cuts, in the die's own frame: the sheet under it is the one it cuts."""
    return _heart(die_of(project, placed.die).cut)


def _heart(outline: Outline) -> tuple[float, float]:
    """A point well inside a shape, also in a crescent's or a frame's metal."""
    found = _hearts.get(id(outline))
    if found is not None and found[0] is outline:
        return found[1]
    if len(_hearts) >= MOST_HEARTS:
        _hearts.clear()
    at = outline.solid.polygon.representative_point()
    _hearts[id(outline)] = (outline, (at.x, at.y))
    return at.x, at.y
