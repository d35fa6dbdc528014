"""Equal gaps in a row of dies: as far from the neighbour as that one is from the next, or as far from either side.

Gaps are measured between the boxes round the dies, along the rollers or along the way of the plate: what looks even.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from app.canvas.snapmark import Line

Bounds = tuple[float, float, float, float]  # left, low, right, high
IN_A_ROW = 0.3  # share of the smaller side by which two boxes must stand abreast to count as one row


class Equal(NamedTuple):
    """A move along one axis after which two gaps are equal: `gap` long, where the two `bars` are."""

    move: float
    gap: float
    bars: tuple[Line, Line]


def equal_gaps(mine: Bounds, others: Sequence[Bounds], reach: float, least: float, *, along: bool) -> list[Equal]:
    """Return the moves of at most `reach` mm, across or along the plate, that make a gap equal to another.

    Only gaps of at least `least` mm count; closer dies would lie too near.
    """
    me, them = (_swapped(mine), [_swapped(b) for b in others]) if along else (mine, list(others))
    found = [e for e in (*_beside(me, them, 1), *_beside(me, them, -1), *_between(me, them)) if abs(e.move) <= reach]
    found = [e for e in found if e.gap >= least]
    return [Equal(e.move, e.gap, (_turned(e.bars[0]), _turned(e.bars[1]))) for e in found] if along else found


def _beside(mine: Bounds, others: Sequence[Bounds], way: int) -> Iterator[Equal]:
    """Yield the move to the far side of two neighbours; `way` 1: they stand to the left, -1: to the right."""
    near = _next(mine, others, way)
    far = None if near is None else _next(near, [b for b in others if b is not near], way)
    if near is None or far is None:
        return
    if way > 0:
        gap = near[0] - far[2]
        yield Equal(near[2] + gap - mine[0], gap, (_bar(near, mine, gap, near[2]), _bar(far, near, gap, far[2])))
    else:
        gap = far[0] - near[2]
        start = near[0] - gap
        yield Equal(start - mine[2], gap, (_bar(mine, near, gap, start), _bar(near, far, gap, near[2])))


def _between(mine: Bounds, others: Sequence[Bounds]) -> Iterator[Equal]:
    """Yield the move to the middle between the neighbours at either side."""
    left, right = _next(mine, others, 1), _next(mine, others, -1)
    if left is None or right is None:
        return
    gap = (right[0] - left[2] - (mine[2] - mine[0])) / 2
    bars = _bar(left, mine, gap, left[2]), _bar(mine, right, gap, right[0] - gap)
    yield Equal(left[2] + gap - mine[0], gap, bars)


def _next(box: Bounds, others: Sequence[Bounds], way: int) -> Bounds | None:
    """Return the nearest box of the row to the left (`way` 1) or to the right (-1)."""
    middle = box[0] + box[2]
    row = [b for b in others if (middle - b[0] - b[2]) * way > 0 and _abreast(box, b)]
    return max(row, key=lambda b: b[2] if way > 0 else -b[0], default=None)


def _abreast(a: Bounds, b: Bounds) -> bool:
    return min(a[3], b[3]) - max(a[1], b[1]) >= IN_A_ROW * min(a[3] - a[1], b[3] - b[1])


def _bar(a: Bounds, b: Bounds, gap: float, start: float) -> Line:
    """Return the bar across a gap, at the height where both boxes are."""
    level = (max(a[1], b[1]) + min(a[3], b[3])) / 2
    return (start, level), (start + gap, level)


def _swapped(box: Bounds) -> Bounds:
    return box[1], box[0], box[3], box[2]


def _turned(line: Line) -> Line:
    (ax, ay), (bx, by) = line
    return (ay, ax), (by, bx)
