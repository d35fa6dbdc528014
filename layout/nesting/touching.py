"""The last tenth of a millimetre: from dies a little in each other's way to an exact fit, where there is one.

A linear programme moves and turns all dies at once by a little, so that the borders of each stand clear of the others
to first order; done again from there it closes in on contacts on all sides, which descent only creeps up to. Compaction
and separation by linear programming: Li and Milenkovic, European Journal of Operational Research 84 (1995) 539-561;
with turns to first order: Milenkovic, Computational Geometry 13 (1999) 3-19.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import highspy
import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from layout.geometry.field import Floats
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.nesting.job import BedAnswer, BedJob, Box, DieJob
from layout.nesting.programme import solved
from layout.nesting.setting import middle as middle_of

REACH = 0.5  # mm that a die may go in one programme, and that its farthest corner may go by turning
LEAST_REACH = 0.01
ROUNDS = 16
SLOW = 0.9  # a programme that leaves more than this share of the lack went too far to be true to first order
CLEAR = 5e-4  # mm: what is left over is no more than rounding
SPARE = 1e-3  # mm beyond the clearance, where there is room
EXACT = 1e-9
SPACING = 4.0  # mm between points of a border at most

# columns of a row: which die must gain, over which other (-1: the bed), by going and turning how, and how much (mm)
ONE, OTHER, GAINS, LACK = 0, 1, slice(2, 8), 8
WIDTH = 9


class Body(Value, frozen=True):
    """A die where it lies now: points of its border, its edges (from, to; metal on the left), what it turns about.

    Corners alone would not do: those of two equal squares may lie on each other's sides while the squares overlap.
    """

    polygon: Polygon
    points: Floats
    edges: Floats
    middle: Floats
    reach: float


def fitted(job: BedJob, answer: BedAnswer) -> BedAnswer | None:
    """Move the free dies until all keep their clearance from each other and the bed; None where that was not found.

    Sheets stay where they are; whether cuts still lie well on them is for the last word on a bed to say.
    """
    free = [d.held is None and d.on_sheet is None for d in job.dies]
    turning = [f and d.turns is None for f, d in zip(free, job.dies, strict=True)]
    ways = np.column_stack([free, free, turning]).astype(float)
    poses, reach = list(answer.dies), REACH
    bodies = _bodies(job.dies, poses)
    rows = _rows(bodies, job)
    for _ in range(ROUNDS):
        worst = _worst(rows)
        if worst <= CLEAR:
            return replace(answer, dies=tuple(poses))
        moves = _moves(rows, bodies, reach * ways)
        if moves is None or reach < LEAST_REACH:
            return None
        tried = [_moved(p, b, m) for p, b, m in zip(poses, bodies, moves, strict=True)]
        lying = _bodies(job.dies, tried)
        there = _rows(lying, job)
        if _worst(there) > SLOW * worst:
            reach *= 0.5
        if _worst(there) < worst:
            poses, bodies, rows = tried, lying, there
    return None


def _bodies(dies: Sequence[DieJob], poses: Sequence[Pose]) -> list[Body]:
    return [_body(d, p) for d, p in zip(dies, poses, strict=True)]


def _body(die: DieJob, pose: Pose) -> Body:
    metal = orient(pose.outline(die.metal).polygon)
    points = shapely.get_coordinates(shapely.segmentize(metal, SPACING))
    rings = [np.asarray(r.coords) for r in (metal.exterior, *metal.interiors)]
    edges = np.concatenate([np.column_stack([r[:-1], r[1:]]) for r in rings])
    middle = np.asarray(pose.point(middle_of(die.metal)))
    return Body(metal, points, edges, middle, float(np.max(np.hypot(*(points - middle).T))))


def _moved(pose: Pose, body: Body, move: Floats) -> Pose:
    """A pose after turning by `move[2]` (radians) about the body's middle and going by `move[:2]`."""
    x, y = body.middle
    turned = Pose(x, y, math.degrees(move[2])).after(Pose(-x, -y)).after(pose)
    return Pose(turned.x + move[0], turned.y + move[1], turned.turn)


# ---- what must hold -------------------------------------------------------------------------------------------------


def _rows(bodies: Sequence[Body], job: BedJob) -> Floats:
    found = [_in_bed(k, body, job.bed) for k, body in enumerate(bodies)]
    pairs = ((i, j) for i in range(len(bodies)) for j in range(len(bodies)) if i != j)
    found += [_apart((i, j), bodies[i], bodies[j], job.gap) for i, j in pairs]
    return np.concatenate(found)


def _worst(rows: Floats) -> float:
    return float(np.max(rows[:, LACK], initial=0.0))


def _in_bed(number: int, body: Body, bed: Box) -> Floats:
    """Points that could come over the bed's border."""
    made = []
    for x, y, border in ((1.0, 0.0, bed[0]), (-1.0, 0.0, -bed[2]), (0.0, 1.0, bed[1]), (0.0, -1.0, -bed[3])):
        lack = border - body.points @ (x, y)
        near = body.points[lack > -2 * REACH]
        made.append(_made((number, -1), near, np.full(near.shape, (x, y)), lack[lack > -2 * REACH], body.middle))
    return np.concatenate(made)


def _apart(pair: tuple[int, int], one: Body, other: Body, gap: float) -> Floats:
    """Points of one die that could come too near to another's metal."""
    room = gap + 4 * REACH
    x0, y0, x1, y1 = other.polygon.bounds
    c = one.points
    near = c[(c[:, 0] > x0 - room) & (c[:, 0] < x1 + room) & (c[:, 1] > y0 - room) & (c[:, 1] < y1 + room)]
    if not len(near):
        return np.zeros((0, WIDTH))
    at, way, clear = _nearest(near, other)
    kept = clear < room
    rows = _made(pair, near[kept], way[kept], gap - clear[kept], one.middle)
    rows[:, 5:7] = -way[kept]
    rows[:, 7] = -_turning(at[kept] - other.middle, way[kept])
    return rows


def _made(pair: tuple[int, int], points: Floats, way: Floats, lack: Floats, middle: Floats) -> Floats:
    """Rows for points that must gain `lack` along `way`, moved by going and by turning about `middle`."""
    rows = np.zeros((len(points), WIDTH))
    rows[:, ONE], rows[:, OTHER] = pair
    rows[:, 2:4], rows[:, 4], rows[:, LACK] = way, _turning(points - middle, way), lack
    return rows


def _turning(arm: Floats, way: Floats) -> Floats:
    """How far along `way` the ends of arms go for a radian."""
    return arm[:, 0] * way[:, 1] - arm[:, 1] * way[:, 0]


def _nearest(points: Floats, body: Body) -> tuple[Floats, Floats, Floats]:
    """For each point the nearest place of a border, the way out of the metal there, and the signed distance."""
    start, along = body.edges[:, :2], body.edges[:, 2:] - body.edges[:, :2]
    share = np.einsum("pek,ek->pe", points[:, None] - start, along) / np.einsum("ek,ek->e", along, along)
    at = start + np.clip(share, 0.0, 1.0)[..., None] * along
    apart = points[:, None] - at
    nearest = np.argmin(np.einsum("pek,pek->pe", apart, apart), axis=1)
    pick = np.arange(len(points))
    at, apart, share, along = at[pick, nearest], apart[pick, nearest], share[pick, nearest], along[nearest]
    far = np.hypot(*apart.T)
    sign = np.where(shapely.contains_xy(body.polygon, points), -1.0, 1.0)
    square = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    at_corner = ((share <= 0.0) | (share >= 1.0)) & (far > 1e-7)
    way = np.where(at_corner[:, None], apart * (sign / np.maximum(far, 1e-12))[:, None], square)
    return at, way, sign * far


# ---- the programme --------------------------------------------------------------------------------------------------


def _moves(rows: Floats, bodies: Sequence[Body], limits: Floats) -> Floats | None:
    """How far each die goes and turns (mm, mm, radians), so that the worst lack left over is least."""
    n, m = len(bodies), len(rows)
    bound = limits / np.array([(1.0, 1.0, b.reach) for b in bodies])
    columns = np.arange(3)
    index = np.column_stack([3 * rows[:, [ONE]] + columns, 3 * rows[:, [OTHER]] + columns, np.full(m, 3 * n)])
    value = np.column_stack([rows[:, GAINS], np.ones(m)])
    used = index >= 0  # the bed does not move
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = 3 * n + 1, m
    lp.col_cost_ = np.concatenate([np.zeros(3 * n), [1.0]])
    lp.col_lower_ = np.concatenate([-bound.ravel(), [-SPARE]])
    lp.col_upper_ = np.concatenate([bound.ravel(), [highspy.kHighsInf]])
    lp.row_lower_, lp.row_upper_ = rows[:, LACK], np.full(m, highspy.kHighsInf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.concatenate([[0], np.cumsum(used.sum(axis=1))]).astype(np.int32)
    lp.a_matrix_.index_ = index[used].astype(np.int32)
    lp.a_matrix_.value_ = value[used]
    found = solved(lp, EXACT)
    return None if found is None else found[: 3 * n].reshape(n, 3)
