"""The largest rectangle on a sheet that is clear of stains and stamped images, its sides along a given frame."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt
import shapely
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from layout.geometry.outline import Outline
from layout.planning.extents import Floats, hull
from layout.planning.stock import Pile

_LINES = 40
_MOST_EDGES = 4
_HAIR = 1e-6

Rectangle = tuple[float, float, float, float]


@lru_cache(maxsize=1024)
def frame_turns(outline: Outline) -> tuple[float, ...]:
    """Return the directions (degrees, modulo a quarter turn) of the longest edges of an outline's hull."""
    corners = hull(outline)
    edges = np.roll(corners, -1, axis=0) - corners
    order = np.argsort(-np.hypot(edges[:, 0], edges[:, 1]), kind="stable")[:_MOST_EDGES]
    turns = (math.degrees(math.atan2(edges[k, 1], edges[k, 0])) for k in order)
    return tuple(dict.fromkeys(round(t % 90.0, 6) % 90.0 for t in turns))


def clear_rectangle(pile: Pile, turn: float) -> Rectangle:
    """Return corner x, y, width and length (mm) of the largest clear rectangle, in the frame turned by `turn`."""
    marks = [s.polygon for s in pile.scrap.spoiled]
    marks += [i.outline.polygon for i in pile.scrap.images if i.outline is not None]
    sheet = rotate(pile.outline.polygon, -turn, origin=(0, 0))
    clear = sheet.difference(shapely.union_all([rotate(m, -turn, origin=(0, 0)) for m in marks])) if marks else sheet
    x0, y0, x1, y1 = clear.bounds
    if (x1 - x0) * (y1 - y0) - clear.area <= _HAIR * clear.area:
        return x0, y0, x1 - x0, y1 - y0
    return _largest(clear, _lines(clear, 0), _lines(clear, 1))


def _lines(clear: BaseGeometry, axis: int) -> Floats:
    """Return where the sides of the rectangle may lie: at corners of the clear area, and evenly between."""
    corners = shapely.get_coordinates(clear)[:, axis]
    low, high = float(corners.min()), float(corners.max())
    found: Floats = np.unique(np.round(np.concatenate([corners, np.linspace(low, high, _LINES)]), 6))
    return found if len(found) <= 2 * _LINES else np.linspace(low, high, 2 * _LINES)


def _largest(clear: BaseGeometry, xs: Floats, ys: Floats) -> Rectangle:
    """Return the largest rectangle of clear cells, row by row over the heights of the columns below."""
    free = _clear_cells(clear, xs, ys)
    heights = np.zeros(len(xs) - 1)
    best: Rectangle = (0.0, 0.0, 0.0, 0.0)
    for row in range(len(ys) - 1):
        heights = np.where(free[:, row], heights + ys[row + 1] - ys[row], 0.0)
        found = _under(heights, xs, float(ys[row + 1]))
        best = max(best, found, key=lambda r: r[2] * r[3])
    return best


def _clear_cells(clear: BaseGeometry, xs: Floats, ys: Floats) -> npt.NDArray[np.bool_]:
    shapely.prepare(clear)
    left, low = np.meshgrid(xs[:-1], ys[:-1], indexing="ij")
    right, high = np.meshgrid(xs[1:], ys[1:], indexing="ij")
    cells = shapely.box(left + _HAIR, low + _HAIR, right - _HAIR, high - _HAIR)
    free: npt.NDArray[np.bool_] = shapely.covers(clear, cells)
    return free


def _under(heights: Floats, xs: Floats, top: float) -> Rectangle:
    """Return the largest rectangle under a skyline (a stack of rising columns)."""
    best: Rectangle = (0.0, 0.0, 0.0, 0.0)
    stack: list[tuple[int, float]] = []
    for k, height in enumerate([*heights, 0.0]):
        start = k
        while stack and stack[-1][1] >= height:
            start, tall = stack.pop()
            width = float(xs[k] - xs[start])
            best = max(best, (float(xs[start]), top - tall, width, tall), key=lambda r: r[2] * r[3])
        stack.append((start, float(height)))
    return best
