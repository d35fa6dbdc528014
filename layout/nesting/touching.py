"""The last tenth of a millimetre: from a bed on which things are a little in each other's way to an exact fit.

A linear programme moves and turns all dies and sheets at once by a little, so that every contact is clear to first
order; done again from there it closes in on contacts on all sides, which descent only creeps up to. Compaction and
separation by linear programming: Li and Milenkovic, European Journal of Operational Research 84 (1995) 539-561; with
turns to first order: Milenkovic, Computational Geometry 13 (1999) 3-19.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import highspy
import numpy as np

from layout.geometry.field import Floats
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.nesting.contact import GAINS, LACK, ONE, OTHER, contacts, movers_of, worst
from layout.nesting.job import BedAnswer, BedJob
from layout.nesting.programme import solved
from layout.nesting.setting import middle

REACH = 0.5  # mm that a thing may go in one programme, and that its farthest point may go by turning
LEAST_REACH = 0.01
ROUNDS = 16
SLOW = 0.1  # a programme that takes away less than this share of the lack went too far to be true to first order
SOON, JAMMED, QUICK = (
    2,
    0.02,
    0.4,
)  # programmes, mm, share: where there was a fit, less was left by then or went quickly
CLEAR = 5e-4  # mm: what is left over is no more than rounding
SPARE = 1e-3  # mm beyond the clearance, where there is room
EXACT = 1e-9


def fitted(job: BedJob, answer: BedAnswer) -> BedAnswer | None:
    """Move all that is free until every clearance holds; None where that was not found."""
    ways, reach, gained = _ways(job, answer), REACH, 1.0
    middles = _middles(job, answer)
    rows = contacts(job, answer, middles)
    for done in range(ROUNDS):
        lack = worst(rows)
        if lack <= CLEAR:
            return answer
        jammed = done >= SOON and lack > JAMMED and gained < QUICK
        moves = None if jammed or reach < LEAST_REACH else _moves(rows, reach * ways)
        if moves is None:
            return None
        tried = _moved(job, answer, middles, moves)
        there = _middles(job, tried)
        rows_there = contacts(job, tried, there)
        gained = 1.0 - worst(rows_there) / lack
        if gained < SLOW:
            reach *= 0.5
        if gained > 0.0:
            answer, middles, rows = tried, there, rows_there
    return None


def _ways(job: BedJob, answer: BedAnswer) -> Floats:
    """For each mover how far it may go along x and y and turn (radians), for each mm of reach."""
    turned = {host for d, host in zip(job.dies, answer.hosts, strict=True) if d.turns is not None}
    sheets = [(s.held is None, s.turns is None and k not in turned, s.outline) for k, s in enumerate(job.sheets)]
    dies = [(d.held is None and d.on_sheet is None, d.turns is None, d.metal) for d in job.dies]
    return np.array([(m, m, m * t / _radius(o)) for m, t, o in sheets + dies])


def _radius(outline: Outline) -> float:
    x, y = middle(outline)
    return max(math.hypot(px - x, py - y) for px, py in outline.outer)


def _middles(job: BedJob, answer: BedAnswer) -> list[Floats]:
    """The places about which movers turn."""
    outlines = [*(s.outline for s in job.sheets), *(d.metal for d in job.dies)]
    poses = (*answer.sheets, *answer.dies)
    return [np.asarray(p.point(middle(o))) for o, p in zip(outlines, poses, strict=True)]


def _moved(job: BedJob, answer: BedAnswer, middles: Sequence[Floats], moves: Floats) -> BedAnswer:
    def moved(mover: int, pose: Pose) -> Pose:
        (x, y), (dx, dy, turn) = middles[mover], moves[mover]
        if not (dx or dy or turn):
            return pose
        turned = Pose(x, y, math.degrees(turn)).after(Pose(-x, -y)).after(pose) if turn else pose
        return Pose(turned.x + dx, turned.y + dy, turned.turn)

    dies = tuple(moved(m, p) for m, p in zip(movers_of(job), answer.dies, strict=True))
    return replace(answer, dies=dies, sheets=tuple(moved(k, p) for k, p in enumerate(answer.sheets)))


def _moves(rows: Floats, limits: Floats) -> Floats | None:
    """How far each mover goes and turns (mm, mm, radians), so that the worst lack left over is least."""
    n, m = len(limits), len(rows)
    columns = np.arange(3)
    index = np.column_stack([3 * rows[:, [ONE]] + columns, 3 * rows[:, [OTHER]] + columns, np.full(m, 3 * n)])
    value = np.column_stack([rows[:, GAINS], np.ones(m)])
    used = index >= 0  # the bed does not move
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = 3 * n + 1, m
    lp.col_cost_ = np.concatenate([np.zeros(3 * n), [1.0]])
    lp.col_lower_ = np.concatenate([-limits.ravel(), [-SPARE]])
    lp.col_upper_ = np.concatenate([limits.ravel(), [highspy.kHighsInf]])
    lp.row_lower_, lp.row_upper_ = rows[:, LACK], np.full(m, highspy.kHighsInf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(used.sum(axis=1))]).astype(np.int32)
    lp.a_matrix_.index_ = index[used].astype(np.int32)
    lp.a_matrix_.value_ = value[used]
    found = solved(lp, EXACT)
    return None if found is None else found[: 3 * n].reshape(n, 3)
