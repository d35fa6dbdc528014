"""Irregular strip packing: pieces with a few allowed turns in a strip of given height, as short as can be.

Pieces are pulled apart in a strip a little too short (slide.py), drawn together exactly (compact.py), and so on from
there; where that fails, large pieces change places. After Gardeyn, Vanden Berghe and Wauters (arXiv 2509.13329).
"""

from __future__ import annotations

import math
import threading
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from layout.geometry.field import Floats
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.nesting.compact import Parts, compact, parts_of
from layout.nesting.nofit import Forms, forms_of
from layout.nesting.scene import Ints
from layout.nesting.slide import part, scatter

SCALE = 100.0
CLEAR = 0.05
START_FILL = 0.6
FIRST_STEP, MOST_STEP, LEAST_STEP = 0.03, 0.05, 0.002
FROM_FAILED = 0.7
FINE, COARSE, MANY = 144, 72, 50
POOL = 10

Failed = tuple[float, Ints, Floats]


@dataclass(frozen=True, slots=True)
class StripPiece:
    """An outline in any unit, its openings taken as filled, and its allowed turns in degrees."""

    outline: Outline
    turns: tuple[float, ...] = (0.0,)


@dataclass(frozen=True, slots=True)
class StripAnswer:
    """The length used and a pose for every piece, in the unit of the outlines."""

    length: float
    poses: tuple[Pose, ...]


@dataclass(slots=True)
class StripEffort:
    """How hard to try: `tries` searches a worker, or `seconds`; the same seed and tries of one worker, same answer."""

    tries: int = 40
    seconds: float | None = None
    seed: int = 0
    workers: int = 1
    rounds: int = 400
    patience: int = 40
    throws: int = 60
    stop: Ints = field(default_factory=lambda: np.zeros(1, dtype=np.int64))


def pack(pieces: Sequence[StripPiece], height: float, effort: StripEffort) -> StripAnswer | None:
    """Pack pieces into a strip of `height`, as short as the effort allows; None where a piece is too high for it."""
    began = time.monotonic()
    task = _Task(pieces, height, effort)
    if not all(task.turns):
        return None
    timer = threading.Timer(max(0.05, (effort.seconds or 1e6) - 0.05 - (time.monotonic() - began)), task.halt)
    timer.daemon = True
    timer.start()
    try:
        if effort.workers == 1:
            task.work(0)
        else:
            with ThreadPoolExecutor(effort.workers) as pool:
                list(pool.map(task.work, range(effort.workers)))
    finally:
        timer.cancel()
    return task.answer()


class _Task:
    """One strip, its pieces scaled to a hundred units of height, and the shortest packing so far."""

    def __init__(self, pieces: Sequence[StripPiece], height: float, effort: StripEffort) -> None:
        self.pieces, self.effort, self.scale = pieces, effort, SCALE / height
        shapes = list(dict.fromkeys(pieces))
        self.kinds = np.asarray([shapes.index(p) for p in pieces], dtype=np.int64)
        scaled = [(_scaled(p.outline, self.scale), _fitting(p, height)) for p in shapes]
        self.turns = [turns for _, turns in scaled]
        if not all(self.turns):
            return
        cells = FINE if sum(map(len, self.turns)) <= MANY else COARSE
        self.forms: Forms = forms_of(scaled, cells, effort.workers)
        self.parts: Parts = parts_of(scaled)
        area = np.asarray([outline.area for outline, _ in scaled])[self.kinds]
        self.area = float(area.sum())
        self.large = np.argsort(-area, kind="stable")[: max(2, len(pieces) // 2)]
        self.lock = threading.Lock()
        self.best: tuple[float, Ints, Floats] | None = None

    def halt(self) -> None:
        self.effort.stop[0] = 1

    def work(self, worker: int) -> None:
        """Search on, from the shortest known packing, until the effort is spent."""
        rng = np.random.default_rng((self.effort.seed, worker))
        pool: list[Failed] = []
        step, known = FIRST_STEP, math.inf
        for number in range(self.effort.tries if self.effort.seconds is None else 10**9):
            if self.effort.stop[0]:
                return
            seed, best = int(rng.integers(2**31)), self.best
            if best is None:
                self._begin(seed, number)
                continue
            swaps, start = 0, best
            if best[0] < known:
                known = best[0]
                pool.clear()
            elif pool and rng.random() < FROM_FAILED:
                swaps, start = 1, pool[int(len(pool) * rng.random() ** 2)]
            else:
                swaps = 1 + int(rng.integers(2))
            at, poses = start[1].copy(), start[2].copy()
            left, reached = self._try(at, poses, known * (1.0 - step), seed, swaps)
            step = min(MOST_STEP, step * 1.3) if reached < known else max(LEAST_STEP, step * 0.75)
            if reached == math.inf:
                pool.append((left, at, poses))
                pool.sort(key=lambda row: row[0])
                del pool[POOL:]

    def _begin(self, seed: int, number: int) -> None:
        n = len(self.pieces)
        at, poses = np.zeros(n, dtype=np.int64), np.zeros((n, 2))
        widest = max(
            min(self.forms.spans[f, 2] - self.forms.spans[f, 0] for f in range(*self.forms.first[k : k + 2]))
            for k in self.kinds
        )
        length = max(self.area / SCALE / START_FILL, float(widest)) * 1.1**number
        scatter(self.forms, self.kinds, at, poses, length, SCALE, seed)
        self._try(at, poses, length, seed, 0)

    def _try(self, at: Ints, poses: Floats, length: float, seed: int, swaps: int) -> tuple[float, float]:
        """Pull apart in a strip of a length, draw together; returns the depth left and the exact length or infinity."""
        e = self.effort
        _, deep, left = part(
            *(self.forms, self.kinds, at, poses, length, SCALE, seed),
            *(e.rounds, e.patience, e.throws, CLEAR, self.large, swaps, e.stop),
        )
        if deep > 0.5:
            return left, math.inf
        drawn = compact(self.forms, self.parts, at, poses, SCALE)
        if drawn is None:
            return left, math.inf
        with self.lock:
            if self.best is None or drawn[1] < self.best[0]:
                self.best = (drawn[1], at, drawn[0])
        return left, drawn[1]

    def answer(self) -> StripAnswer | None:
        """Tell the shortest packing in the pieces' own unit."""
        if self.best is None:
            return None
        length, at, poses = self.best
        turns = [self.turns[kind][f - self.forms.first[kind]] for kind, f in zip(self.kinds, at, strict=True)]
        told = [Pose(float(x) / self.scale, float(y) / self.scale, t) for (x, y), t in zip(poses, turns, strict=True)]
        return StripAnswer(length / self.scale, tuple(told))


def _scaled(outline: Outline, by: float) -> Outline:
    return Outline.trusted(tuple((x * by, y * by) for x, y in outline.outer))


def _fitting(piece: StripPiece, height: float) -> tuple[float, ...]:
    """The turns in which a piece is no higher than the strip."""
    spans = [(turn, Pose(turn=turn).outline(piece.outline).bounds) for turn in piece.turns]
    return tuple(turn for turn, (_, y0, _, y1) in spans if y1 - y0 <= height * (1 + 1e-12))
