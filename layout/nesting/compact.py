"""Exact packing of a strip from one that is nearly right: a linear programme over all places at once.

Every two convex parts that could meet are held apart along the one direction in which they stand farthest apart now;
the programme then draws the strip as short as it can within a short reach, and does so again from there. Compaction
by linear programming: Li and Milenkovic, European Journal of Operational Research 84 (1995) 539-561; Gomes and
Oliveira, EJOR 171 (2006) 811-829.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import highspy
import numpy as np

from layout.geometry.compiled import compiled
from layout.geometry.convex import convex_parts
from layout.geometry.field import Floats
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.nesting.nofit import Forms
from layout.nesting.programme import solved
from layout.nesting.scene import Ints

EXACT = 1e-9
REACHES = (2.5, 2.5, 1.5, 1.0, 0.5)
DEAR = 1e3


class Parts(NamedTuple):
    """The convex parts of every form: `of_form` and `ends` are starts of ranges in `ends` and in `points`."""

    of_form: Ints
    ends: Ints
    points: Floats


def parts_of(shapes: Sequence[tuple[Outline, Sequence[float]]]) -> Parts:
    """Cut every shape in each of its turns into convex parts."""
    rings = [[Pose(turn=t).ring(r) for r in convex_parts(outline)] for outline, turns in shapes for t in turns]
    of_form = np.cumsum([0, *map(len, rings)])
    flat = [r for form in rings for r in form]
    return Parts(of_form, np.cumsum([0, *map(len, flat)]), np.concatenate([np.asarray(r) for r in flat]))


def compact(forms: Forms, parts: Parts, at: Ints, poses: Floats, height: float) -> tuple[Floats, float] | None:
    """Draw pieces together until nothing overlaps and the strip is locally shortest: places and length, or None.

    Lengths in units of about a hundredth of the strip's height; `poses` may overlap a little and stays as it is.
    """
    places, length, found = poses.copy(), math.inf, False
    for reach in REACHES:
        drawn = _draw(forms, parts, at, places, height, reach)
        if drawn is None:
            break
        before = length
        places, length, excess = drawn
        found = excess <= 4 * EXACT
        if found and before - length < 2e-4 * length:
            break
    return (places, length) if found else None


def _draw(
    forms: Forms, parts: Parts, at: Ints, poses: Floats, height: float, reach: float
) -> tuple[Floats, float, float] | None:
    """One programme: new places, length and the depth that had to be left over."""
    n, spans = len(at), forms.spans[at]
    rows = keep_apart(parts.of_form, parts.ends, parts.points, forms.spans, at, poses, reach)
    low = np.maximum(poses - reach, -spans[:, :2])
    high = np.column_stack([poses[:, 0] + reach, np.minimum(poses[:, 1] + reach, height - spans[:, 3])])
    if np.any(low > high):
        return None
    lp = _programme(rows, spans[:, 2])
    lp.col_lower_ = np.concatenate([low.ravel(), [0.0, 0.0]])
    lp.col_upper_ = np.concatenate([high.ravel(), [highspy.kHighsInf] * 2])
    value = solved(lp, EXACT)
    return None if value is None else (value[: 2 * n].reshape(n, 2), float(value[2 * n]), float(value[2 * n + 1]))


def _programme(rows: Floats, rights: Floats) -> highspy.HighsLp:
    """Columns: x and y of each piece, the length, a depth left over; rows: parts apart, pieces within the length."""
    n, m = len(rights), len(rows)
    i, j = 2 * rows[:, 0], 2 * rows[:, 1]
    apart = np.column_stack([i, i + 1, j, j + 1, np.full(m, 2 * n + 1)])
    weight = np.column_stack([-rows[:, 2], -rows[:, 3], rows[:, 2], rows[:, 3], np.ones(m)])
    inside = np.column_stack([np.full(n, 2 * n), 2 * np.arange(n)])
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = 2 * n + 2, m + n
    lp.col_cost_ = np.concatenate([np.zeros(2 * n), [1.0, DEAR]])
    lp.row_lower_ = np.concatenate([rows[:, 4], rights])
    lp.row_upper_ = np.full(m + n, highspy.kHighsInf)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.concatenate([5 * np.arange(m), 5 * m + 2 * np.arange(n + 1)]).astype(np.int32)
    lp.a_matrix_.index_ = np.concatenate([apart.ravel(), inside.ravel()]).astype(np.int32)
    lp.a_matrix_.value_ = np.concatenate([weight.ravel(), np.tile([1.0, -1.0], n)])
    return lp


@compiled
def keep_apart(of_form, ends, points, spans, at, poses, reach):  # type: ignore[no-untyped-def]
    """For any two parts that could meet: pieces i and j, direction n and least value of n times (pj - pi)."""
    found = np.zeros((64, 5))
    count = 0
    for i in range(at.shape[0]):
        for j in range(i):
            a, b = at[i], at[j]
            dx, dy = poses[j, 0] - poses[i, 0], poses[j, 1] - poses[i, 1]
            if (
                dx + spans[b, 0] > spans[a, 2] + 2 * reach
                or dx + spans[b, 2] < spans[a, 0] - 2 * reach
                or dy + spans[b, 1] > spans[a, 3] + 2 * reach
                or dy + spans[b, 3] < spans[a, 1] - 2 * reach
            ):
                continue
            for p in range(of_form[a], of_form[a + 1]):
                for q in range(of_form[b], of_form[b + 1]):
                    gap, nx, ny, need = widest(points[ends[p] : ends[p + 1]], points[ends[q] : ends[q + 1]], dx, dy)
                    if gap > 2.9 * reach:
                        continue
                    if count == found.shape[0]:
                        found = np.concatenate((found, np.zeros((count, 5))))
                    found[count, 0], found[count, 1] = i, j
                    found[count, 2], found[count, 3], found[count, 4] = nx, ny, need
                    count += 1
    return found[:count]


@compiled
def widest(one, other, dx, dy):  # type: ignore[no-untyped-def]
    """The side of either convex ring along which `other`, moved by (dx, dy), stands farthest from `one`."""
    best, bx, by, need = -1e300, 0.0, 0.0, 0.0
    for turn in range(2):
        ring, seen = (one, other) if turn == 0 else (other, one)
        sign = 1.0 if turn == 0 else -1.0
        for k in range(ring.shape[0]):
            m = (k + 1) % ring.shape[0]
            ex, ey = ring[m, 0] - ring[k, 0], ring[m, 1] - ring[k, 1]
            size = math.sqrt(ex * ex + ey * ey)
            if size < 1e-9:
                continue
            nx, ny = ey / size, -ex / size
            edge = nx * ring[k, 0] + ny * ring[k, 1]
            least = 1e300
            for v in range(seen.shape[0]):
                least = min(least, nx * seen[v, 0] + ny * seen[v, 1])
            gap = least - edge + sign * (nx * dx + ny * dy)
            if gap > best:
                best, bx, by, need = gap, sign * nx, sign * ny, edge - least
    return best, bx, by, need
