"""Panels cut by hand: which sheets are cut down, by which straight cuts from edge to edge, and what paper remains."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose, angle_between
from layout.geometry.value import Value, replace
from layout.model.plan import CutDown, CutPanel
from layout.model.project import PLAIN_UP, Panel, Project, Wanted
from layout.planning.clear_rectangle import clear_rectangle, frame_turns
from layout.planning.cut_tree import Blank, Leaf, Tree, merit, placed
from layout.planning.extents import least_box
from layout.planning.guillotine import cut_up
from layout.planning.parts import Parts
from layout.planning.stock import Pile, Stock

_MOST_AT_ONCE = 48
_EFFORT = 30
_USEFUL = 100.0  # square mm: smaller remainders are slivers
_MOST_FRAMES = 6
_PLACES = 4
_QUARTERS = (0.0, 90.0, 180.0, 270.0)


class Panelled(Value, frozen=True):
    """The stock after all panels are cut, the cuts, the panels, and how many of each wanted entry are missing."""

    stock: Stock
    cut_downs: tuple[CutDown, ...]
    panels: tuple[CutPanel, ...]
    missing: Mapping[str, int]


class Task(Value, frozen=True):
    """One panel to be cut: its wanted entry and its shape."""

    wanted: Wanted
    panel: Panel

    @property
    def sides(self) -> tuple[float, float]:
        """Width and length (mm) of its bounding rectangle."""
        x0, y0, x1, y1 = self.panel.outline.bounds
        return x1 - x0, y1 - y0


class Trial(Value, frozen=True):
    """Panels laid out in one clear rectangle of a sheet: the frame's turn, the rectangle, the cuts in it."""

    turn: float
    corner: tuple[float, float]
    sides: tuple[float, float]
    tasks: tuple[Task, ...]
    tree: Tree


def cut_panels(
    project: Project,
    stock: Stock,
    *,
    large_first: bool = False,
    effort: int = _EFFORT,
    held: tuple[tuple[CutDown, ...], tuple[CutPanel, ...]] = ((), ()),
) -> Panelled:
    """Cut all panels that are due from whole sheets: small sheets first (or large ones), stamped ones last.

    Sheets that go through the rollers as they are and whose paper dies or punches ask for come after those that do not:
    they are what the passes need, while a sheet too big for the machine has to be cut down in any case. `held`: sheets
    cut down already, out of which `stock` is, and their panels.
    """
    left = _tasks(project)
    for made in held[1]:
        left.remove(next(t for t in left if t.wanted.id == made.wanted))
    piles: list[Pile] = []
    cut_downs, panels = list(held[0]), list(held[1])
    for pile in sorted(stock.piles, key=lambda p: _rank(project, p, large_first)):
        spared = list(pile.copies)
        whole = pile.part is None and not pile.lying
        while whole and spared and (work := _sheet_work(pile, left, effort)) is not None:
            alike: list[int] = []
            while spared and work.is_due(left):
                alike.append(spared.pop(0))
                panels += work.on_copy(alike[-1], left)
            cut_downs += [CutDown(pile.scrap.id, work.parts.cuts, copy) for copy in alike if work.parts.cuts]
            piles += work.remainders(tuple(alike))
        if spared:
            piles.append(replace(pile, copies=tuple(spared)))
    missing: dict[str, int] = {}
    for task in left:
        missing[task.wanted.id] = missing.get(task.wanted.id, 0) + 1
    return Panelled(Stock(tuple(piles)), tuple(cut_downs), tuple(panels), missing)


def _rank(project: Project, pile: Pile, large_first: bool) -> tuple[bool, bool, float]:
    """Return what puts a sheet early: no image on it, no pass that needs it, small (or large)."""
    panels, machine = {p.id for p in project.panels}, project.machine
    asked = any(w.paper == pile.paper and w.shape not in panels and project.due(w) for w in project.wanted)
    goes_through = min(least_box(pile.outline)) <= machine.bed_width + 2 * machine.overhang_across
    return bool(pile.scrap.images), asked and goes_through, pile.outline.area * (-1 if large_first else 1)


class SheetWork(Value, frozen=True):
    """How one sheet is cut down: its parts, and (part number, task, pose) of every panel on it."""

    pile: Pile
    parts: Parts
    made: tuple[tuple[int, Task, Pose], ...]

    def is_due(self, left: Sequence[Task]) -> bool:
        """Tell whether all its panels are due (once more)."""
        rest = list(left)
        for _, task, _ in self.made:
            if task not in rest:
                return False
            rest.remove(task)
        return True

    def on_copy(self, copy: int, left: list[Task]) -> list[CutPanel]:
        """Return the panels of one sheet cut like this; they are taken off what is left to do."""
        for _, task, _ in self.made:
            left.remove(task)
        whole = not self.parts.cuts
        return [
            CutPanel(task.wanted.id, task.panel.id, self.pile.scrap.id, pose, copy, None if whole else number)
            for number, task, pose in self.made
        ]

    def remainders(self, copies: tuple[int, ...]) -> list[Pile]:
        """Return what is left of sheets cut like this, as piles of parts."""
        return [replace(self.pile, copies=copies, outline=o, part=k) for k, o in _unused(self.parts, self.made).items()]


def _tasks(project: Project) -> list[Task]:
    panels = {p.id: p for p in project.panels}
    tasks = [Task(w, panels[w.shape]) for w in project.wanted if w.shape in panels for _ in range(project.due(w))]
    return sorted(tasks, key=lambda t: (-t.sides[0] * t.sides[1], t.wanted.id))


# ---- one sheet ---------------------------------------------------------------------------------------------------


def _sheet_work(pile: Pile, left: Sequence[Task], effort: int) -> SheetWork | None:
    """Lay out panels on a sheet, then on what remains of it, until no more go on; None where none does."""
    mine = [t for t in left if t.wanted.paper in (None, pile.paper)]
    trial = _best_trial(pile, mine, effort)
    if trial is None:
        return None
    parts = Parts(pile, trial.turn)
    made: list[tuple[int, Task, Pose]] = []
    number: int | None = 0
    while trial is not None and number is not None:
        done = _carried_out(pile, trial, parts, number)
        made += done
        for _, task, _ in done:
            mine.remove(task)
        number, trial = _next_part(pile, parts, made, mine, effort)
    return SheetWork(pile, parts, tuple(made))


def _next_part(
    pile: Pile, parts: Parts, made: Sequence[tuple[int, Task, Pose]], tasks: Sequence[Task], effort: int
) -> tuple[int | None, Trial | None]:
    """Return the smallest remaining part on which a panel goes, with its layout."""
    for number, outline in sorted(_unused(parts, made).items(), key=lambda item: item[1].area):
        trial = _trial(replace(pile, outline=outline), tasks[:_MOST_AT_ONCE], parts.turn, effort)
        if trial is not None:
            return number, trial
    return None, None


def _unused(parts: Parts, made: Sequence[tuple[int, Task, Pose]]) -> dict[int, Outline]:
    """Return the parts that are no panel and of any use, by number."""
    used = {number for number, _, _ in made}
    return {k: o for k, o in parts.outlines().items() if k not in used and o.area >= _USEFUL}


def _best_trial(pile: Pile, tasks: Sequence[Task], effort: int) -> Trial | None:
    """Lay out what goes on this sheet, in the frame in which most of it goes."""
    mine = tasks[:_MOST_AT_ONCE]
    trials = [t for turn in _frames(pile, mine) if (t := _trial(pile, mine, turn, effort)) is not None]
    return max(trials, key=lambda t: merit(t.tree, [_blank(k, pile, t.turn) for k in t.tasks], *t.sides), default=None)


def _frames(pile: Pile, tasks: Sequence[Task]) -> list[float]:
    """Return the turns of the frames to try: along the sheet's longest edges, and as the print asks for."""
    turns: list[float] = []
    for task in tasks:
        if task.wanted.angles is None:
            turns += frame_turns(pile.outline)
        else:
            turns += [pile.turned_by + a for a in task.wanted.angles]
    return sorted({round(t % 90.0, 6) % 90.0 for t in turns})[:_MOST_FRAMES]


def _trial(pile: Pile, tasks: Sequence[Task], turn: float, effort: int) -> Trial | None:
    least = min((min(t.sides) for t in tasks), default=0.0)
    chosen = tuple(t for t in tasks if _turns(t.wanted, pile, turn))
    if not chosen or min(least_box(pile.outline)) < least:
        return None
    x, y, width, length = clear_rectangle(pile, turn)
    tree = cut_up([_blank(t, pile, turn) for t in chosen], width, length, effort=effort)
    if not placed(tree):
        return None
    return Trial(turn, (x, y), (width, length), chosen, tree)


def _turns(wanted: Wanted, pile: Pile, frame: float) -> list[float]:
    """Return the quarter turns in the frame that the wanted entry allows."""
    if wanted.angles is None:
        return list(_QUARTERS)
    give = (wanted.turn_tolerance or 0.0) + 1e-4
    seen = [(q, frame + q - (pile.scrap.up - PLAIN_UP)) for q in _QUARTERS]
    return [q for q, turn in seen if any(angle_between(turn, a) <= give for a in wanted.angles)]


def _blank(task: Task, pile: Pile, frame: float) -> Blank:
    """Return the rectangle to be cut: crosswise from the start where only that turn is allowed."""
    width, length = task.sides
    turns = _turns(task.wanted, pile, frame)
    if not any(q in (0.0, 180.0) for q in turns):
        return Blank(length, width, False)
    return Blank(width, length, any(q in (90.0, 270.0) for q in turns))


def _carried_out(pile: Pile, trial: Trial, parts: Parts, number: int) -> list[tuple[int, Task, Pose]]:
    """Make the cuts of a layout in one part."""
    cut = parts.carve(number, trial.tree, trial.corner, trial.sides)
    tasks = trial.tasks
    return [(part, tasks[leaf.blank], _pose(tasks[leaf.blank], pile, trial.turn, leaf, at)) for part, leaf, at in cut]


def _pose(task: Task, pile: Pile, frame: float, leaf: Leaf, at: tuple[float, float]) -> Pose:
    """Return the panel's pose in the scrap's frame, its bounding rectangle's corner at `at` in the turned frame."""
    turns = _turns(task.wanted, pile, frame)
    lengthwise = any(q in (0.0, 180.0) for q in turns)
    across = leaf.turned == lengthwise
    quarter = next(q for q in turns if (q in (90.0, 270.0)) == across)
    x0, y0, _, _ = Pose(0.0, 0.0, quarter).outline(task.panel.outline).bounds
    pose = Pose(0.0, 0.0, frame).after(Pose(at[0] - x0, at[1] - y0, quarter))
    # Aslant, two panels side by side agree to the last bit but one, and GEOS then takes one for their intersection.
    return Pose(round(pose.x, _PLACES), round(pose.y, _PLACES), pose.turn)
