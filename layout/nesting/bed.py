"""One bed: lay these dies over these sheets so that every clearance holds, or say that it was not found.

A job is told in outlines and poses; the answer is checked on the true outlines before it is given.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import lru_cache

import numpy as np
from msgspec import Struct, field
from shapely.geometry import Polygon, box

from layout.geometry.field import Floats
from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.nesting.exact import faults
from layout.nesting.scene import (
    APART,
    FIXED,
    HOST,
    IN_BED,
    IN_ROLLERS,
    MOVES,
    ON_SHEET,
    SLIDES,
    STANDS_ON,
    TURNS,
    Ints,
    Scene,
    SceneBuilder,
)
from layout.nesting.search import separate
from layout.nesting.solid import Solid, solid

SLACKS = (0.04, 0.08, 0.15)
EASE = (0.5, 0.25, 0.12)
PAD = 1.2
PLAY = 2.0
SHORTER = 3
ARRANGEMENTS = 10
SHEET_CELLS = 400
WORKERS = 2

Box = tuple[float, float, float, float]


class BedAnswer(Value, frozen=True):
    """Poses on the plate of dies and sheets, and which sheet each die cuts."""

    dies: tuple[Pose, ...]
    sheets: tuple[Pose, ...]
    hosts: tuple[int, ...]


class DieJob(Value, frozen=True):
    """A die to lay: `metal` keeps clear of other metal, `cut` stays on one of the `hosts` (numbers of sheets).

    `turns`: allowed turns against the sheet in degrees (None: any); `on_sheet`: its pose on its one host is given;
    `held`: its pose on the plate is given; `on_image`: that it suits its sheet is known already.
    """

    metal: Outline
    cut: Outline
    hosts: tuple[int, ...]
    turns: tuple[float, ...] | None = None
    on_sheet: Pose | None = None
    held: Pose | None = None
    on_image: bool = False


class SheetJob(Value, frozen=True):
    """Sheets of one scrap: `marks` are outlines no cut may come nearer to than so many mm.

    `held`: where they lie; `turns`: the turns on the plate they may have, in degrees (None: any).
    """

    outline: Outline
    edge: float
    marks: tuple[tuple[Outline, float], ...] = ()
    held: Pose | None = None
    turns: tuple[float, ...] | None = None


class BedJob(Value, frozen=True):
    """Everything that is to lie on one bed at once; boxes are x0, y0, x1, y1 in mm of the plate.

    `begin`: how the first of the dies and sheets lay before; the first search starts from there.
    """

    bed: Box
    rollers: Box
    gap: float
    dies: tuple[DieJob, ...]
    sheets: tuple[SheetJob, ...] = ()
    begin: BedAnswer | None = None


class Effort(Struct):
    """How hard to try: `starts` throws of at most `rounds` rounds each; `stop[0]` set by anyone ends the search."""

    starts: int = 4
    rounds: int = 40
    seed: int = 0
    stop: Ints = field(default_factory=lambda: np.zeros(1, dtype=np.int64))
    pool: ThreadPoolExecutor | None = None


def lay(job: BedJob, effort: Effort) -> BedAnswer | None:
    """Find poses for a bed; None where none was found within the effort. The same seed gives the same answer."""
    setting, effort = _Setting(job), _shared_out(job, effort)
    for first in range(0, effort.starts, WORKERS):
        found = _throw(setting, effort, first)
        if found is not None:
            return found
        if effort.stop[0]:
            return None
    return None


def _shared_out(job: BedJob, effort: Effort) -> Effort:
    """More and shorter searches where two sheets move: a wrong order is left by starting anew, not by work."""
    if effort.rounds < 24 or sum(s.held is None for s in job.sheets) != 2:
        return effort
    return replace(effort, starts=effort.starts * SHORTER, rounds=max(14, effort.rounds // SHORTER))


def _throw(setting: _Setting, effort: Effort, first: int) -> BedAnswer | None:
    """Start a few searches side by side; the answer of the lowest number wins, whichever is ready first."""
    numbers = range(first, min(first + WORKERS, effort.starts))
    tasks: list[Callable[[], BedAnswer | None]] = [lambda n=n: _search(setting, effort, n) for n in numbers]  # type: ignore[misc]
    if effort.pool is None or len(tasks) == 1:
        return next((found for found in (task() for task in tasks) if found is not None), None)
    waiting = [effort.pool.submit(task) for task in tasks]
    return next((found for found in [w.result() for w in waiting] if found is not None), None)


def _search(setting: _Setting, effort: Effort, number: int) -> BedAnswer | None:
    scene = setting.scene
    stands, poses = scene.stands(), setting.poses.copy()
    fresh, rounds = setting.job.begin is None or number > 0, effort.rounds
    seed = (effort.seed * 7919 + number * 104729) % 2**31
    if fresh and setting.sheets_alone is not None and (number % 3 or setting.moving_sheets > 2):
        fresh = not setting.arrange_sheets(poses, seed, effort.stop)
    for slack in SLACKS:
        _, energy = separate(scene, stands, poses, seed, rounds, slack, fresh, effort.stop)
        if energy > 0.0:
            return None
        answer = setting.answer(stands, poses)
        if not setting.faults(answer):
            return _ease(setting, stands, poses, answer, effort)
        fresh, rounds = False, 12
    return None


def _ease(setting: _Setting, stands: Ints, poses: Floats, answer: BedAnswer, effort: Effort) -> BedAnswer:
    """Spread things out a little where there is room: a plan that is taped down by hand wants some."""
    for slack in EASE:
        tried_stands, tried = stands.copy(), poses.copy()
        _, energy = separate(setting.scene, tried_stands, tried, effort.seed, 2, slack, False, effort.stop)
        if energy > 0.0:
            continue
        eased = setting.answer(tried_stands, tried)
        if not setting.faults(eased):
            return eased
    return answer


class _Setting:
    """A job turned into a scene: shapes moved to their middles, frames in the scene's order."""

    def __init__(self, job: BedJob) -> None:
        self.job = job
        self.sheet_mid = [_middle(s.outline) for s in job.sheets]
        self.die_mid = [_middle(d.metal) for d in job.dies]
        build = SceneBuilder(job.bed, job.rollers)
        self._starts: list[tuple[float, float, float]] = []
        for number in range(len(job.sheets)):
            self._add_sheet(build, number)
        for number in range(len(job.dies)):
            self._add_die(build, number)
        self._apart(build)
        self.scene: Scene = build.build()
        self.poses = np.asarray(self._starts, dtype=np.float64).reshape(-1, 3)
        if job.begin is not None:
            self._begin(job.begin)
        self.moving_sheets = sum(s.held is None for s in job.sheets)
        self.sheets_alone = self._sheets_alone() if self.moving_sheets > 1 else None

    def _begin(self, begin: BedAnswer) -> None:
        """Start movable sheets and dies where they lay before; newcomers start in the middle of their sheet."""
        moves, sheets = self.scene.frames[:, MOVES], len(self.job.sheets)
        for k, pose in enumerate(begin.sheets):
            if moves[k] != FIXED:
                self.poses[k] = _start(pose.after(Pose(*self.sheet_mid[k])))
        for k, (pose, host) in enumerate(zip(begin.dies, begin.hosts, strict=True)):
            frame = sheets + k
            if moves[frame] != FIXED and host in self.job.dies[k].hosts:
                mx, my, turn = self.poses[host]
                under = Pose(float(mx), float(my), math.degrees(float(turn)))
                self.poses[frame] = _start(pose.after(Pose(*self.die_mid[k])).seen_from(under))
                self.scene.frames[frame, STANDS_ON : HOST + 1] = host

    def _sheets_alone(self) -> Scene:
        """The sheets without the dies: a good order of sheets is found faster before anything lies on them."""
        build = SceneBuilder(self.job.bed, self.job.rollers)
        for number in range(len(self.job.sheets)):
            self._add_sheet(build, number)
            for other in range(number):
                build.demand(APART, number, other, 0.0)
        del self._starts[len(self.job.sheets) + len(self.job.dies) :]
        return build.build()

    def arrange_sheets(self, poses: Floats, seed: int, stop: Ints) -> bool:
        """Lay the sheets in the rollers, each with as much on the bed as its dies ask; whether a way was found."""
        best, most = None, 0.0
        for throw in range(ARRANGEMENTS):
            tried = self._arrangement(poses, (seed + 7907 * throw) % 2**31, stop)
            share = 0.0 if tried is None else self._least_share(tried)
            if share > most:
                best, most = tried, share
            if stop[0]:
                break
        if best is None:
            return False
        poses[: len(best)] = best
        return True

    def _arrangement(self, poses: Floats, seed: int, stop: Ints) -> Floats | None:
        assert self.sheets_alone is not None
        stands, tried = self.sheets_alone.stands(), poses[: len(self.job.sheets)].copy()
        _, energy = separate(self.sheets_alone, stands, tried, seed, 12, SLACKS[0], True, stop)
        return None if energy > 0.0 else tried

    def _least_share(self, tried: Floats) -> float:
        """For the sheet that has least of it: paper on the bed over what its dies ask, at most 2."""
        on_bed = box(*self.job.bed)
        shares = [2.0]
        for number, sheet in enumerate(self.job.sheets):
            asked = sum(d.metal.area for d in self.job.dies if d.hosts == (number,))
            if asked > 0.0:
                there = _told(tried[number], self.sheet_mid[number]).outline(sheet.outline).polygon
                # Turned, a sheet with a very thin neck may touch itself, which shapely's intersection cannot bear.
                shares.append(there.buffer(0.0).intersection(on_bed).area / asked)
        return min(shares)

    def _add_sheet(self, build: SceneBuilder, number: int) -> None:
        sheet, (mx, my) = self.job.sheets[number], self.sheet_mid[number]
        shape = sheet_solid(sheet.outline, mx, my)
        moves = FIXED if sheet.held else SLIDES if sheet.turns else TURNS
        turns = tuple(math.radians(t) for t in sheet.turns or square_turns(sheet.outline))
        frame = build.frame(moves, shape, turns=turns)
        marks = [(die_solid(m, mx, my, PAD + gap), gap) for m, gap in sheet.marks]
        build.sheet(frame, sheet.edge, marks)
        if not sheet.held:
            build.demand(IN_ROLLERS, frame)
        x, y, turn = _start((sheet.held or Pose(turn=sheet.turns[0] if sheet.turns else 0.0)).after(Pose(mx, my)))
        self._starts.append((x, y, turns[0] if moves == SLIDES else turn))

    def _add_die(self, build: SceneBuilder, number: int) -> None:
        die, (mx, my) = self.job.dies[number], self.die_mid[number]
        metal = die_solid(die.metal, mx, my, PAD + self.job.gap)
        cut = die_solid(die.cut, mx, my, PAD + 2.0) if die.hosts else None
        fixed = die.held is not None or die.on_sheet is not None
        moves = FIXED if fixed else TURNS if die.turns is None else SLIDES
        host = die.hosts[0] if die.hosts else -1
        turns = () if fixed or die.turns is None else tuple(math.radians(t) for t in die.turns)
        below = -1 if die.held is not None else host
        hosts = () if fixed else die.hosts
        frame = build.frame(moves, metal, cut, below, host, turns, hosts)
        if die.held is None:
            build.demand(IN_BED, frame)
        if cut is not None and not _known_to_suit(die):
            build.demand(ON_SHEET, frame)
        pose = die.held or die.on_sheet or Pose(turn=die.turns[0] if die.turns else 0.0)
        if die.on_sheet is not None:
            sx, sy = self.sheet_mid[host]
            pose = Pose(-sx, -sy).after(pose)
        x, y, turn = _start(pose.after(Pose(mx, my)))
        # What only slides keeps the turn it starts with, so that must be one it may have.
        self._starts.append((x, y, turns[0] if moves == SLIDES else turn))

    def _apart(self, build: SceneBuilder) -> None:
        sheets = len(self.job.sheets)
        for number in range(sheets):
            for other in range(number):
                build.demand(APART, number, other, 0.0)
        for number, die in enumerate(self.job.dies):
            for other in range(number):
                before = self.job.dies[other]
                if not _bound_together(die, before):
                    build.demand(APART, sheets + number, sheets + other, self.job.gap)

    def answer(self, stands: Ints, poses: Floats) -> BedAnswer:
        """Tell the search's poses as poses of the job's own frames."""
        sheets = [_told(poses[k], mid) for k, mid in enumerate(self.sheet_mid)]
        dies, hosts = [], []
        for k, mid in enumerate(self.die_mid):
            frame = len(sheets) + k
            below = int(stands[frame, 0])
            pose = _told(poses[frame], mid)
            if below >= 0:
                pose = sheets[below].after(Pose(*self.sheet_mid[below])).after(pose)
            dies.append(pose)
            hosts.append(int(stands[frame, 1]))
        return BedAnswer(tuple(dies), tuple(sheets), tuple(hosts))

    def faults(self, answer: BedAnswer) -> list[str]:
        """Check an answer on the true outlines."""
        job = self.job
        return faults(
            job.bed,
            job.rollers,
            job.gap,
            [
                (d.metal, d.cut, answer.dies[k], -1 if _known_to_suit(d) else answer.hosts[k])
                for k, d in enumerate(job.dies)
            ],
            [(s.outline, s.edge, s.marks, answer.sheets[k]) for k, s in enumerate(job.sheets)],
        )


def _bound_together(die: DieJob, other: DieJob) -> bool:
    """Whether nothing can change how two dies lie to each other; the last word on the true outlines judges them."""
    if die.held is not None and other.held is not None:
        return True
    return die.on_sheet is not None and other.on_sheet is not None and die.hosts[:1] == other.hosts[:1]


def _known_to_suit(die: DieJob) -> bool:
    return die.on_sheet is not None or die.on_image


def _start(pose: Pose) -> tuple[float, float, float]:
    return pose.x, pose.y, math.radians(pose.turn)


def _told(row: Floats, middle: tuple[float, float]) -> Pose:
    """The pose of a shape's own frame, given that of its middle."""
    return Pose(float(row[0]), float(row[1]), math.degrees(float(row[2])) % 360.0).after(Pose(-middle[0], -middle[1]))


def _middle(outline: Outline) -> tuple[float, float]:
    x0, y0, x1, y1 = outline.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2


@lru_cache(maxsize=512)
def square_turns(outline: Outline) -> tuple[float, ...]:
    """The turns, in degrees, at which a long side of a sheet lies along or across the rollers."""
    corners = list(outline.polygon.convex_hull.exterior.simplify(0.2).coords)
    sides = [
        (math.dist(a, b), math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))) for a, b in itertools.pairwise(corners)
    ]
    least = 0.25 * max(length for length, _ in sides)
    base = {round(-angle % 90.0, 2) for length, angle in sides if length >= least}
    return tuple(sorted(b + quarter for b in base for quarter in (0.0, 90.0, 180.0, 270.0)))


@lru_cache(maxsize=512)
def tight_pose(metal: Outline, bed: Box) -> Pose | None:
    """Where a die lies that fills the bed both ways but for `PLAY` mm: in its middle; None for smaller ones."""
    for turn in square_turns(metal):
        x0, y0, x1, y1 = Pose(turn=turn).outline(metal).bounds
        play_x, play_y = bed[2] - bed[0] - (x1 - x0), bed[3] - bed[1] - (y1 - y0)
        if -0.002 <= play_x <= PLAY and -0.002 <= play_y <= PLAY:
            return Pose((bed[0] + bed[2] - x0 - x1) / 2, (bed[1] + bed[3] - y0 - y1) / 2, turn)
    return None


@lru_cache(maxsize=512)
def die_solid(outline: Outline, mx: float, my: float, pad: float) -> Solid:
    """The solid of a die, a cut or a mark, moved so that (mx, my) is its origin; kept, for dies come again."""
    return solid(Pose(-mx, -my).outline(outline), pad)


@lru_cache(maxsize=512)
def sheet_solid(outline: Outline, mx: float, my: float) -> Solid:
    """The solid of a sheet, moved so that (mx, my) is its origin."""
    cells = 200 if len(outline.outer) <= 6 else SHEET_CELLS
    return solid(Pose(-mx, -my).outline(outline), PAD, spacing=3.0, cells=cells)


@lru_cache(maxsize=512)
def metal_of(body: Outline, cut: Outline, gap: float, web: float) -> Outline:
    """The one shape that keeps metal `gap` apart and cuts `web` apart: a body together with its (grown) cut.

    Two such shapes `gap` mm apart have bodies `gap` apart and cuts `web` apart, since a cut is grown by half of what
    the web asks beyond the gap. Openings stay open only where neither metal nor cut lies.
    """
    grown = cut.polygon.buffer(max(0.0, (web - gap) / 2), join_style="mitre", mitre_limit=2.0)
    joined = body.polygon.union(grown)
    parts = [g for g in getattr(joined, "geoms", [joined]) if isinstance(g, Polygon)]
    if len(parts) == 1:
        return from_polygon(parts[0])
    return from_polygon(joined.convex_hull)
