"""Dies that cannot lie on one bed together, shown by geometry: never by a search that failed.

Inside each body lies a convex core. Two cores lie apart only if the vector between their origins lies outside the
Minkowski sum of the one and the other reflected; all vectors that the bed allows form a rectangle. Where that
rectangle lies within the sum, for every pair of turns, the two cannot share the bed. (Half a turn of the whole bed
changes nothing, so the one body is turned through a half circle only.) Turns are covered by cells; within a cell
everything is drawn in by what a turn can move it: branch and bound over both turns.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from layout.geometry.outline import Outline
from layout.geometry.value import Value, replace
from layout.planning.core import convex_core
from layout.planning.extents import Floats, fitting_turns, goes_into_box, hull, least_box

SLACK = 0.006
_PROBES = 4
_DRAWN_IN = 1.0 + math.sqrt(2.0)
_MOST_CELLS = 250
_LEAST_CELL = 0.02
_DISC = np.stack([np.cos(np.arange(24) * math.pi / 12), np.sin(np.arange(24) * math.pi / 12)], axis=1)


class Lying(Value, frozen=True):
    """A body's hull about its middle, how far it reaches, and the turns (degrees) in which the bed takes it."""

    hull: Floats
    reach: float
    turns: tuple[tuple[float, float], ...]
    body: Outline
    core: Floats | None = None

    def cored(self) -> Lying:
        """Return the same with a convex polygon within the body: asked for only where the hulls have not settled it."""
        core: Floats = convex_core(self.body.solid) - hull(self.body).mean(axis=0)
        return replace(self, core=core)


@lru_cache(maxsize=1024)
def cannot_share(a: Outline, b: Outline, width: float, length: float, gap: float) -> bool:
    """Tell whether two bodies certainly never lie on a bed with these sides, `gap` apart (mm)."""
    if may_lie_in_opening(a, b, gap) or may_lie_in_opening(b, a, gap):
        return False
    if a.solid.area + b.solid.area < 0.3 * width * length:
        return False  # not a proof that they can, only that trying to prove the contrary is vain
    room = (width + 2 * SLACK, length + 2 * SLACK)
    return _never_apart(_lying(a, *room), _lying(b, *room), room, max(0.0, gap - SLACK))


def may_lie_in_opening(frame: Outline, body: Outline, gap: float) -> bool:
    """Tell whether a body may lie in an opening of the frame; False is certain, True is not."""
    return any(may_lie_in(ring, body, gap) for ring in openings(frame))


@lru_cache(maxsize=1024)
def openings(frame: Outline) -> tuple[Outline, ...]:
    """Return the openings of a body as outlines."""
    return tuple(Outline.trusted(ring) for ring in frame.holes)


def may_lie_in(opening: Outline, body: Outline, gap: float) -> bool:
    """Tell whether a body may lie in this opening, `gap` from its rim; False is certain."""
    if body.solid.area > opening.area:
        return False
    width, length = least_box(opening)
    return goes_into_box(body.solid, width - 2 * (gap - SLACK), length - 2 * (gap - SLACK))


def heaviest_clique(weights: Sequence[int], conflict: Sequence[Sequence[bool]]) -> tuple[int, ...]:
    """Return the indices of a set in pairwise conflict whose weights add up to the most (branch and bound)."""
    order = sorted(range(len(weights)), key=lambda k: -weights[k])
    best: tuple[int, ...] = ()

    def extend(chosen: tuple[int, ...], rest: list[int]) -> None:
        nonlocal best
        if sum(weights[k] for k in chosen) > sum(weights[k] for k in best):
            best = chosen
        for i, k in enumerate(rest):
            if sum(weights[j] for j in (*chosen, *rest[i:])) <= sum(weights[j] for j in best):
                return
            extend((*chosen, k), [j for j in rest[i + 1 :] if conflict[k][j]])

    extend((), order)
    return best


def _lying(body: Outline, width: float, length: float) -> Lying:
    corners = hull(body) - hull(body).mean(axis=0)
    reach = float(np.max(np.hypot(corners[:, 0], corners[:, 1])))
    return Lying(corners, reach, fitting_turns(body.solid, width, length), body)


def _never_apart(a: Lying, b: Lying, room: tuple[float, float], gap: float) -> bool:
    """Cover all pairs of turns with cells, split those that are not settled; False when one pair of turns may do."""
    if _found_apart(a, b, room, gap):
        return False
    a, b = a.cored(), b.cored()
    cells = [(p, r) for p in a.turns for q in b.turns for r in (q, (q[0] + 180.0, q[1] + 180.0))]
    for _ in range(_MOST_CELLS):
        if not cells:
            return True
        p, q = cells.pop()
        if _settled(a, b, p, q, room, gap):
            continue
        if _apart(a, b, (p[0] + p[1]) / 2, (q[0] + q[1]) / 2, room, gap):
            return False
        if max(p[1] - p[0], q[1] - q[0]) < _LEAST_CELL:
            return False
        cells += _split(p, q)
    return False


Cell = tuple[float, float]


def _split(p: Cell, q: Cell) -> list[tuple[Cell, Cell]]:
    if p[1] - p[0] >= q[1] - q[0]:
        middle = (p[0] + p[1]) / 2
        return [((p[0], middle), q), ((middle, p[1]), q)]
    middle = (q[0] + q[1]) / 2
    return [(p, (q[0], middle)), (p, (middle, q[1]))]


def _settled(a: Lying, b: Lying, p: Cell, q: Cell, room: tuple[float, float], gap: float) -> bool:
    """Tell whether the two overlap wherever they lie, for all turns of the cell."""
    at, bt = (p[0] + p[1]) / 2, (q[0] + q[1]) / 2
    move = a.reach * math.radians(p[1] - p[0]) / 2 + b.reach * math.radians(q[1] - q[0]) / 2
    corners = _differences(a.hull, at, b.hull, bt, room, move)
    if corners is None:
        return True
    assert a.core is not None
    assert b.core is not None
    return _inside_sum(corners, turned(a.core, at), turned(b.core, bt), gap, move)


def _found_apart(a: Lying, b: Lying, room: tuple[float, float], gap: float) -> bool:
    """Try some turns with the hulls: whatever lies apart so is no conflict."""
    other_way = [t + 180.0 for t in _probes(b.turns)]
    pairs = itertools.product(_probes(a.turns), [*_probes(b.turns), *other_way])
    return any(_apart(a, b, at, bt, room, gap) for at, bt in pairs)


def _apart(a: Lying, b: Lying, at: float, bt: float, room: tuple[float, float], gap: float) -> bool:
    """Tell whether the hulls lie apart somewhere on the bed in these turns."""
    corners = _differences(a.hull, at, b.hull, bt, room, 0.0)
    return corners is not None and not _inside_sum(corners, turned(a.hull, at), turned(b.hull, bt), gap, 0.0)


def _probes(turns: tuple[Cell, ...]) -> list[float]:
    """Return turns to try: spread evenly over the intervals by their lengths, ends included."""
    total = sum(q - p for p, q in turns) or 1.0
    return [t for p, q in turns for t in np.linspace(p, q, 1 + math.ceil(_PROBES * (q - p) / total))]


def _differences(a: Floats, at: float, b: Floats, bt: float, room: tuple[float, float], move: float) -> Floats | None:
    """Return the corners of the rectangle of all vectors from a's origin to b's; None where one leaves the bed."""
    la, ha = _places(turned(a, at), room)
    lb, hb = _places(turned(b, bt), room)
    if np.any(la > ha + 2 * move) or np.any(lb > hb + 2 * move):
        return None
    low, high = lb - ha, hb - la
    low, high = np.minimum(low, high), np.maximum(low, high)
    return np.array([[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]])


def _places(corners: Floats, room: tuple[float, float]) -> tuple[Floats, Floats]:
    """Return the least and the greatest origin with which the corners lie within the room."""
    return -corners.min(axis=0), np.asarray(room) - corners.max(axis=0)


def _inside_sum(points: Floats, a: Floats, b: Floats, gap: float, move: float) -> bool:
    """Tell whether all points lie in the sum of a, b reflected and a disc of radius `gap`.

    The sum is drawn in by `move` for what the cores may move, and by its diagonal for what the origins may.
    """
    disc = _DISC * gap
    normals = np.concatenate([_normals(a), _normals(-b), _DISC @ _HALF_STEP])
    sums = (a @ normals.T).max(axis=0) + (-b @ normals.T).max(axis=0) + (disc @ normals.T).max(axis=0)
    return bool(np.all((points @ normals.T).max(axis=0) + _DRAWN_IN * move < sums - 1e-9))


_HALF_STEP = np.array(
    [[math.cos(math.pi / 24), math.sin(math.pi / 24)], [-math.sin(math.pi / 24), math.cos(math.pi / 24)]]
)


def _normals(corners: Floats) -> Floats:
    edges = np.roll(corners, -1, axis=0) - corners
    out = np.stack([edges[:, 1], -edges[:, 0]], axis=1)
    unit: Floats = out / np.hypot(out[:, 0], out[:, 1])[:, None]
    return unit


def turned(corners: Floats, turn: float) -> Floats:
    """Return the corners turned about the origin by degrees."""
    a = math.radians(turn)
    spun: Floats = corners @ np.array([[math.cos(a), math.sin(a)], [-math.sin(a), math.cos(a)]])
    return spun
