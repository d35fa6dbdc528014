"""What can I make? How many kits the scraps and tools at hand give, what is short, and how few sheets would cure it.

Papers are asked one by one, because a piece of one paper never competes with a piece of another; where any paper
will do for some piece, all are asked together. A number is only told with a plan that makes it, and the most that
could be made is an upper limit by counts and areas.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from layout.geometry.outline import Outline
from layout.geometry.value import Value, replace
from layout.model.plan import Plan
from layout.model.project import Clearances, Die, Panel, Paper, Project, Punch, Scrap, Wanted
from layout.planning.due import bed_sides
from layout.planning.extents import goes_into_box
from layout.planning.kits import lines
from layout.planning.planner import STOPPED, Limits, make_plan
from layout.planning.reasons import paper_needed, reason
from layout.planning.supply import SLACK, most_on_sheet, scraps_for, shapes_of

MOST_KITS = 999
MOST_SHEETS = 60
USUAL_SHEET = (210.0, 297.0)
NEW_SHEET = "sheets to be bought of "
SHORTEST_LOOK = 0.3  # seconds

Shape = Die | Punch | Panel


@dataclass(slots=True)
class Patience:
    """How long to look: seconds in all, tries of the planner for each question, and the seed."""

    seconds: float = 20.0
    attempts: int = 12
    seed: int = 0
    sheet: tuple[float, float] = USUAL_SHEET  # mm: a sheet of a paper of which none is at hand
    stopped: Callable[[], bool] = lambda: False
    beyond: bool = True  # whether more kits than the project asks for are tried, too


class Short(Value, frozen=True):
    """Pieces that the papers at hand do not give, the paper, and the least sheet for one of them (mm)."""

    wanted: Wanted
    count: int
    needs: tuple[float, float]
    why: str


class Cure(Value, frozen=True):
    """So many more sheets of a paper of these sides (mm) are enough; with fewer than `least` it cannot be done."""

    paper: str
    sides: tuple[float, float]
    sheets: int
    least: int


class Makeable(Value, frozen=True):
    """`kits` can be made, more than `most` cannot; `short` and `cures` speak of making `asked` kits."""

    kits: int
    most: int
    asked: int
    short: tuple[Short, ...] = ()
    cures: tuple[Cure, ...] = ()
    incurable: tuple[str, ...] = ()  # papers for which no number of sheets was found

    @property
    def proven(self) -> bool:
        """Whether surely no more kits can be made."""
        return self.kits == self.most


def what_can_i_make(
    project: Project, patience: Patience, report: Callable[[Makeable], None] = lambda _: None
) -> Makeable:
    """Find out how many kits there can be, and what making `project.kits` (or one more than there can be) lacks.

    Where the patience does not go beyond what is asked, neither kits nor the most told are more than `project.kits`.
    """
    ends = time.monotonic() + patience.seconds
    groups = [_Group(part, patience, ends) for part in parted(project)]
    if not groups:
        return Makeable(0, 0, project.kits)
    most = min(most_kits(g.project) for g in groups)
    most = most if patience.beyond else min(most, project.kits)
    kits = most
    for number, group in enumerate(groups):
        kits = group.largest(kits, share=len(groups) - number + 1)
    asked = project.kits if project.kits > kits or not patience.beyond else min(MOST_KITS, kits + 1)
    told = Makeable(kits, most, asked)
    report(told)
    for group in groups:
        told = group.cured(told)
        report(told)
    return told


def parted(project: Project) -> list[Project]:
    """Return the project in parts that share no paper: one for each paper, or one for all."""
    wanted = [w for w in project.wanted if w.count > 0]
    if any(w.paper is None for w in wanted):
        return [replace(project, wanted=tuple(wanted))]
    papers = list(dict.fromkeys(w.paper for w in wanted))
    return [
        replace(
            project,
            wanted=tuple(w for w in wanted if w.paper == paper),
            scraps=tuple(s for s in project.scraps if s.paper == paper),
        )
        for paper in papers
    ]


def most_kits(project: Project) -> int:
    """Return a number of kits that surely cannot be exceeded: by each kind alone and by area."""
    shapes = shapes_of(project)
    most = MOST_KITS
    for wanted in project.wanted:
        shape = shapes.get(wanted.shape)
        supply = 0 if shape is None else _supply(project, wanted, shape)
        most = min(most, (supply + _ready(project, wanted)) // wanted.count)
    return _by_area(project, shapes, most)


def _supply(project: Project, wanted: Wanted, shape: Shape) -> int:
    if isinstance(shape, Die):
        width, length = bed_sides(project.machine)
        if shape.copies < 1 or not goes_into_box(shape.body.solid, width + 2 * SLACK, length + 2 * SLACK):
            return 0
    gaps = Clearances(paper_edge=0.0, web=0.0) if isinstance(shape, Panel) else project.clearances
    return sum(s.count * most_on_sheet(s, wanted, _cut(shape), gaps) for s in scraps_for(project, wanted))


def _by_area(project: Project, shapes: dict[str, Shape], most: int) -> int:
    """Pieces cannot have more area than the scraps they come from."""
    there = sum(s.count * s.outline.area for s in project.scraps)
    area = {w.id: _cut(shapes[w.shape]).area if w.shape in shapes else 0.0 for w in project.wanted}
    while most > 0:
        due = sum(max(0, w.count * most - _ready(project, w)) * area[w.id] for w in project.wanted)
        if due <= there * (1 + 1e-9):
            return most
        each = sum(w.count * area[w.id] for w in project.wanted)
        most -= max(1, int((due - there) / each))
    return max(0, most)


def _ready(project: Project, wanted: Wanted) -> int:
    return project.spares.get(wanted.id, 0) + project.made(wanted.id)


def _cut(shape: Shape) -> Outline:
    return shape.outline if isinstance(shape, Panel) else shape.cut


class _Group:
    """One part of the project, and what is known of it so far."""

    def __init__(self, project: Project, patience: Patience, ends: float) -> None:
        self.project, self.patience, self.ends = project, patience, ends
        self.plans: dict[int, Plan] = {}

    def largest(self, high: int, share: int) -> int:
        """Return the most kits, up to `high`, for which a plan was found; halves what is not known."""
        ends = time.monotonic() + max(SHORTEST_LOOK, (self.ends - time.monotonic()) / share)
        low, beyond = 0, high + 1
        trial = high
        while low < high and not self.patience.stopped() and time.monotonic() < ends:
            plan = self.plans[trial] = _plan(replace(self.project, kits=trial), self.patience, ends)
            low = max(low, min(trial, _kits_of(replace(self.project, kits=trial), plan)))
            beyond = min(beyond, trial) if plan.unplaced else beyond
            high = beyond - 1
            trial = (low + beyond) // 2
        return low

    def cured(self, told: Makeable) -> Makeable:
        """Add what this part lacks for the kits asked, and the sheets that would do."""
        if self.patience.stopped():
            return told
        asked = replace(self.project, kits=told.asked)
        plan = self.plans.get(told.asked) or _plan(asked, self.patience, self.ends)
        if not plan.unplaced:
            return told
        short = tuple(_shorts(asked, plan))
        papers = tuple(dict.fromkeys(paper_of(asked, s.wanted) for s in short))
        cures = self._cures(asked, papers)
        incurable = () if cures else papers
        return replace(
            told,
            short=(*told.short, *short),
            cures=(*told.cures, *cures),
            incurable=(*told.incurable, *incurable),
        )

    def _cures(self, asked: Project, papers: tuple[str, ...]) -> tuple[Cure, ...]:
        """Add a sheet to each paper that is still short, from the fewest that could do, until a plan is found."""
        sides = {p: usual_sides(asked, p, self.patience.sheet) for p in papers}
        least = {p: _least(asked, p, sides) for p in papers}
        if any(n is None for n in least.values()):
            return ()
        sheets = {p: max(1, n or 0) for p, n in least.items()}
        while max(sheets.values(), default=MOST_SHEETS + 1) <= MOST_SHEETS:
            if self.patience.stopped() or time.monotonic() > self.ends:
                break
            more = _with_all(asked, sides, sheets)
            plan = _plan(more, self.patience, self.ends)
            if not plan.unplaced:
                return tuple(Cure(p, sides[p], n, least[p] or 0) for p, n in sheets.items())
            still = {paper_of(asked, s.wanted) for s in _shorts(more, plan)}
            sheets = {p: n + (p in still or not still & set(papers)) for p, n in sheets.items()}
        return ()


def _least(asked: Project, paper: str, sides: Mapping[str, tuple[float, float]]) -> int | None:
    """The fewest sheets of a paper with which the upper limit allows the kits asked, other papers in plenty."""
    plenty = {p: MOST_SHEETS for p in sides if p != paper}
    for sheets in range(MOST_SHEETS + 1):
        if most_kits(_with_all(asked, sides, {**plenty, paper: sheets})) >= asked.kits:
            return sheets
    return None


def _with_all(project: Project, sides: Mapping[str, tuple[float, float]], sheets: Mapping[str, int]) -> Project:
    for paper, number in sheets.items():
        if number:
            project = with_sheets(project, paper, sides[paper], number)
    return project


def paper_of(project: Project, wanted: Wanted) -> str:
    """Return the paper a piece is short of: its own, or the first at hand where any will do."""
    if wanted.paper is not None:
        return wanted.paper
    return next((p.id for p in project.papers), "")


def usual_sides(project: Project, paper: str, otherwise: tuple[float, float]) -> tuple[float, float]:
    """Return the sides (mm) of the sheet to buy: the largest rectangle of that paper at hand, else the usual sheet."""
    whole = [b for s in project.scraps if s.paper == paper and (b := _sides(s)) is not None]
    return max([otherwise, *whole], key=lambda b: b[0] * b[1])


def with_sheets(project: Project, paper: str, sides: tuple[float, float], sheets: int) -> Project:
    """Return the project with so many more plain sheets of a paper."""
    new = Scrap(NEW_SHEET + paper, paper, Outline.rectangle(*sides), sheets)
    papers = project.papers if any(p.id == paper for p in project.papers) else (*project.papers, Paper(paper, paper))
    return replace(project, scraps=(*project.scraps, new), papers=papers)


def _sides(scrap: Scrap) -> tuple[float, float] | None:
    left, low, right, high = scrap.outline.bounds
    whole = abs(scrap.outline.area - (right - left) * (high - low)) < 1.0 and not scrap.spoiled and not scrap.images
    return (right - left, high - low) if whole else None


def _plan(project: Project, patience: Patience, ends: float) -> Plan:
    """Plan until every piece has its place; how many passes that takes is not asked here."""
    seconds = max(SHORTEST_LOOK, ends - time.monotonic())
    limits = Limits(seconds=seconds, attempts=patience.attempts, seed=patience.seed)

    def enough(plan: Plan) -> None:
        if not plan.unplaced or patience.stopped():
            limits.stop[0] = STOPPED

    return make_plan(project, limits, enough)


def _kits_of(project: Project, plan: Plan) -> int:
    """How many whole kits a plan gives, together with what is ready."""
    return min((line.made + line.spares + line.planned) // line.wanted.count for line in lines(project, plan))


def _shorts(project: Project, plan: Plan) -> Iterator[Short]:
    shapes, asked = shapes_of(project), {w.id: w for w in project.wanted}
    for missing in plan.unplaced:
        wanted = asked[missing.wanted]
        shape = shapes.get(wanted.shape)
        needs = (0.0, 0.0) if shape is None else paper_needed(project, wanted, shape)
        yield Short(wanted, missing.count, needs, reason(project, wanted, missing.count))
