"""Advice that is worked out: which die, turned or moved a little, takes the peak off a pass, with every rule kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.units import Unit
from layout.model.plan import Plan
from layout.model.project import Project
from layout.rules.live import LiveRules
from layout.rules.rollers import BAND, Profile, blade, rings
from layout.rules.words import angle, length

TURNS = (2.0, 4.0, 6.0, 8.0, 10.0)
MOVES = (2.0, 4.0, 8.0, 12.0, 20.0)
WORTH = 0.95
"""Advice is given only where the peak falls below this share of what it was."""


@dataclass(frozen=True, slots=True)
class Advice:
    """Lay die number `die` of the layout at `pose`: the highest peak of a pass falls from `before` to `after` mm."""

    die: int
    pose: Pose
    before: float
    after: float
    what: str


def advise(project: Project, plan: Plan, layout: int, band: float = BAND, unit: Unit = "mm") -> Advice | None:
    """Return the single turn or move of one die that lowers the layout's highest peak most; None where none does.

    Nothing is advised that breaks a rule which was kept before.
    """
    bench = _Bench(project, plan, layout, band)
    before = bench.peak()
    best: Advice | None = None
    for die in range(len(plan.layouts[layout].dies)):
        for pose, words in _tries(project, plan, layout, die, unit):
            after = bench.peak_with(die, pose)
            if after < (best.after if best else before * WORTH) - 1e-6 and bench.keeps_rules(die, pose):
                what = f"{words} and the peak falls from {before:.0f} to {after:.0f} mm of blade"
                best = Advice(die, pose, before, after, what)
    return best


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

    def peak(self) -> float:
        """The highest peak of the layout's passes as it lies."""
        return max((self._peak(used, {}) for used in self._used), default=0.0)

    def peak_with(self, die: int, pose: Pose) -> float:
        """The highest peak with one die elsewhere."""
        moved = {die: rings(pose.outline(self._dies[self._layout.dies[die].die].cut))}
        return max((self._peak(used, moved) for used in self._used), default=0.0)

    def keeps_rules(self, die: int, pose: Pose) -> bool:
        """Whether the move brings no finding that was not there."""
        self._rules.move_dies({die: pose})
        faults = len(self._rules.findings())
        self._rules.move_dies({die: self._layout.dies[die].pose})
        return faults <= self._faults

    def _peak(self, used: tuple[int, ...], moved: dict[int, tuple[tuple[tuple[float, float], ...], ...]]) -> float:
        lines = [ring for number in used for ring in moved.get(number, self._blades[number])]
        return Profile.of(lines).peak(self._band).length


def _tries(project: Project, plan: Plan, layout: int, die: int, unit: Unit) -> Iterator[tuple[Pose, str]]:
    placed = plan.layouts[layout].dies[die]
    found = next(entry for entry in project.dies if entry.id == placed.die)
    name = found.name or found.id
    for step in MOVES:
        yield _moved(placed.pose, step), f"move {name} {length(step, unit)} up"
        yield _moved(placed.pose, -step), f"move {name} {length(step, unit)} down"
    for step in TURNS:
        yield turned(placed.pose, found.body, step), f"turn {name} by {angle(step)} to the left"
        yield turned(placed.pose, found.body, -step), f"turn {name} by {angle(step)} to the right"


def _moved(pose: Pose, up: float) -> Pose:
    return Pose(pose.x, pose.y + up, pose.turn)


def turned(pose: Pose, body: Outline, by: float) -> Pose:
    """Turn a thing where it lies, about the middle of its bounds (degrees, counter-clockwise)."""
    x0, y0, x1, y1 = body.bounds
    middle = pose.point(((x0 + x1) / 2, (y0 + y1) / 2))
    return Pose(*middle, by).after(Pose(pose.x - middle[0], pose.y - middle[1], pose.turn))
