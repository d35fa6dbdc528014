"""A bed's job turned into a scene: shapes moved to their middles, frames in the scene's order, poses told both ways."""

from __future__ import annotations

import math

import numpy as np

from layout.geometry.field import Floats
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.nesting.exact import faults
from layout.nesting.job import BedAnswer, BedJob, DieJob
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
from layout.nesting.shaped import PAD, die_solid, sheet_solid, square_turns


class Setting:
    """A job turned into a scene: shapes moved to their middles, frames in the scene's order."""

    def __init__(self, job: BedJob) -> None:
        self.job = job
        self.sheet_mid = [middle(s.outline) for s in job.sheets]
        self.die_mid = [middle(d.metal) for d in job.dies]
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
        sheets = [told(poses[k], mid) for k, mid in enumerate(self.sheet_mid)]
        dies, hosts = [], []
        for k, mid in enumerate(self.die_mid):
            frame = len(sheets) + k
            below = int(stands[frame, 0])
            pose = told(poses[frame], mid)
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


def told(row: Floats, middle: tuple[float, float]) -> Pose:
    """The pose of a shape's own frame, given that of its middle."""
    return Pose(float(row[0]), float(row[1]), math.degrees(float(row[2])) % 360.0).after(Pose(-middle[0], -middle[1]))


def middle(outline: Outline) -> tuple[float, float]:
    """The middle of an outline's bounds, about which a search turns it."""
    x0, y0, x1, y1 = outline.bounds
    return (x0 + x1) / 2, (y0 + y1) / 2
