"""Advice that is worked out: what, turned or moved a little, takes the peak off a layout's passes, every rule kept."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from layout.geometry.outline import Outline, Ring
from layout.geometry.pose import Pose
from layout.geometry.units import Unit
from layout.geometry.value import replace
from layout.model.plan import Layout, Plan, Run
from layout.model.project import Die, Project
from layout.rules.live import LiveRules
from layout.rules.rollers import BAND, Profile, blade, rings
from layout.rules.words import angle, length

TURNS = (2.0, 4.0, 6.0, 8.0, 10.0)
MOVES = (2.0, 4.0, 8.0, 12.0, 20.0)
WORTH = 0.95
"""Advice is given only where the peak falls below this share of what it was."""

Poses = Mapping[int, Pose]


@dataclass(frozen=True, slots=True)
class Advice:
    """Lay these dies anew, and these scraps (by run and place in it): the peak falls from `before` to `after` mm."""

    dies: Poses
    scraps: Mapping[tuple[int, int], Pose]
    before: float
    after: float
    what: str


@dataclass(frozen=True, slots=True)
class _Try:
    """Something to turn or move as one piece, and the words for it."""

    words: str
    dies: Poses
    scraps: Mapping[tuple[int, int], Pose] = field(default_factory=dict)


def advise(project: Project, plan: Plan, layout: int, band: float = BAND, unit: Unit = "mm") -> Advice | None:
    """Return the one turn or move that lowers a layout's highest peak most; None where none does.

    What is tried: each die alone, and each die with the scraps under it and all else that is cut from those. Nothing is
    advised that breaks a rule which was kept before; dies that are held in place stay.
    """
    bench = _Bench(project, plan, layout, band)
    before = bench.peak({})
    best: Advice | None = None
    for trial in _tries(project, plan.layouts[layout], unit):
        after = bench.peak(trial.dies)
        if after < (best.after if best else before * WORTH) - 1e-6 and bench.keeps_rules(trial):
            what = f"{trial.words} and the peak falls from {before:.0f} to {after:.0f} mm of blade"
            best = Advice(trial.dies, trial.scraps, before, after, what)
    return best


def follow(plan: Plan, layout: int, advice: Advice) -> Plan:
    """Return the plan with an advice followed."""
    old = plan.layouts[layout]
    dies = tuple(replace(d, pose=advice.dies.get(n, d.pose)) for n, d in enumerate(old.dies))
    runs = tuple(_laid_anew(run, r, advice) for r, run in enumerate(old.runs))
    layouts = list(plan.layouts)
    layouts[layout] = replace(old, dies=dies, runs=runs)
    return replace(plan, layouts=tuple(layouts))


def _laid_anew(run: Run, number: int, advice: Advice) -> Run:
    scraps = (replace(s, pose=advice.scraps.get((number, k), s.pose)) for k, s in enumerate(run.scraps))
    return replace(run, scraps=tuple(scraps))


class _Bench:
    """One layout with its rules and the blade of each die, to try poses on."""

    def __init__(self, project: Project, plan: Plan, layout: int, band: float) -> None:
        self._layout = plan.layouts[layout]
        self._dies = {die.id: die for die in project.dies}
        self._blades = [blade(self._dies, self._layout, number) for number in range(len(self._layout.dies))]
        self._used = sorted({tuple(sorted({cut.die for cut in run.cuts})) for run in self._layout.runs})
        self._rules = LiveRules(project, plan, layout)
        self._faults = len(self._rules.findings())
        self._band = band

    def peak(self, dies: Poses) -> float:
        """The highest peak of the layout's passes with some dies elsewhere."""
        moved = {n: rings(pose.outline(self._dies[self._layout.dies[n].die].cut)) for n, pose in dies.items()}
        return max((self._peak(used, moved) for used in self._used), default=0.0)

    def keeps_rules(self, trial: _Try) -> bool:
        """Whether the move brings no finding that was not there."""
        self._lay(trial.dies, trial.scraps)
        faults = len(self._rules.findings())
        self._lay(
            {n: self._layout.dies[n].pose for n in trial.dies},
            {(r, k): self._layout.runs[r].scraps[k].pose for r, k in trial.scraps},
        )
        return faults <= self._faults

    def _lay(self, dies: Poses, scraps: Mapping[tuple[int, int], Pose]) -> None:
        self._rules.move_dies(dies)
        for (run, place), pose in scraps.items():
            self._rules.move_scrap(run, place, pose)

    def _peak(self, used: tuple[int, ...], moved: Mapping[int, tuple[Ring, ...]]) -> float:
        lines = [ring for number in used for ring in moved.get(number, self._blades[number])]
        return Profile.of(lines).peak(self._band).length


def _tries(project: Project, layout: Layout, unit: Unit) -> Iterator[_Try]:
    dies = {die.id: die for die in project.dies}
    for group, scraps in _groups(layout):
        lead = max(group, key=lambda n: dies[layout.dies[n].die].body.area)
        if not any(_held(layout, n) for n in group):
            yield from _moves(dies, layout, lead, group, scraps, unit)
    for number in range(len(layout.dies)):
        if not _held(layout, number):
            yield from _moves(dies, layout, number, [number], [], unit)


def _held(layout: Layout, number: int) -> bool:
    return bool(layout.dies[number].extra.get("held"))


def _groups(layout: Layout) -> Iterator[tuple[list[int], list[tuple[int, int]]]]:
    """Give the dies that share scraps, directly or through others, with those scraps."""
    parent = list(range(len(layout.dies)))

    def root(number: int) -> int:
        while parent[number] != number:
            number = parent[number]
        return number

    first: dict[tuple[int, int], int] = {}
    for r, run in enumerate(layout.runs):
        for cut in run.cuts:
            parent[root(cut.die)] = root(first.setdefault((r, cut.scrap), cut.die))
    for top in sorted({root(number) for number in parent}):
        dies = [number for number in range(len(parent)) if root(number) == top]
        yield dies, [scrap for scrap, die in first.items() if root(die) == top]


def _moves(
    dies: dict[str, Die], layout: Layout, lead: int, group: list[int], scraps: list[tuple[int, int]], unit: Unit
) -> Iterator[_Try]:
    die = dies[layout.dies[lead].die]
    name = (die.name or die.id) + (" with its scrap and all that is cut from it" if scraps else "")
    for change, words in _changes(_middle(layout.dies[lead].pose, die.body), name, unit):
        moved = {n: change.after(layout.dies[n].pose) for n in group}
        yield _Try(words, moved, {(r, k): change.after(layout.runs[r].scraps[k].pose) for r, k in scraps})


def _changes(about: tuple[float, float], name: str, unit: Unit) -> Iterator[tuple[Pose, str]]:
    for step in MOVES:
        yield Pose(0.0, step), f"move {name} {length(step, unit)} up"
        yield Pose(0.0, -step), f"move {name} {length(step, unit)} down"
    for step in TURNS:
        yield turn_about(about, step), f"turn {name} by {angle(step)} to the left"
        yield turn_about(about, -step), f"turn {name} by {angle(step)} to the right"


def _middle(pose: Pose, body: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = body.bounds
    return pose.point(((x0 + x1) / 2, (y0 + y1) / 2))


def turn_about(point: tuple[float, float], by: float) -> Pose:
    """Return the turn (degrees, counter-clockwise) of everything about a point of the plate."""
    return Pose(*point, by).after(Pose(-point[0], -point[1]))
