"""A large convex polygon inside an outline, found by cutting off what sticks out of it."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from shapely.geometry import Polygon

from layout.geometry.outline import Outline
from layout.planning.extents import Floats, hull

_DIRECTIONS = 36
_MOST_CUTS = 60
_COARSE = 0.05
_SPACING = 0.5
_HAIR = 1e-7


@lru_cache(maxsize=1024)
def convex_core(outline: Outline) -> Floats:
    """Return the corners of a convex polygon within a solid outline, counter-clockwise, shape (n, 2), mm.

    Greedy: while a corner of the outline lies inside, cut through it in the direction that costs least area.
    """
    inner = _drawn_in(outline.polygon)
    borders = np.asarray(inner.exterior.segmentize(_SPACING).coords[:-1])
    core = hull(Outline.of(borders))
    for _ in range(_MOST_CUTS):
        deepest = _deepest(core, borders)
        if deepest is None:
            break
        core = _best_cut(core, deepest)
    core = _shrunk(core, outline.polygon)
    return core if outline.polygon.covers(Polygon(core)) else _square_in(outline.polygon)


def _shrunk(core: Floats, shape: Polygon) -> Floats:
    """Draw a core in until the hair that an edge between two samples may stick out of it is gone."""
    for hair in (0.0, 0.02, 0.1, 0.3):
        inner = Polygon(core).buffer(-hair, join_style="mitre")
        if isinstance(inner, Polygon) and not inner.is_empty and shape.covers(inner):
            return np.asarray(inner.exterior.normalize().reverse().coords[:-1])
    return core


def _drawn_in(shape: Polygon) -> Polygon:
    """Return the outline with fewer corners, all of it inside the true one."""
    inner = shape.buffer(-_COARSE).simplify(_COARSE * 0.9)
    if isinstance(inner, Polygon) and not inner.is_empty and shape.covers(inner):
        return inner
    return shape


def _deepest(core: Floats, borders: Floats) -> Floats | None:
    """Return the border corner that lies deepest inside the core; None when none does."""
    edges = np.roll(core, -1, axis=0) - core
    normals = np.stack([edges[:, 1], -edges[:, 0]], axis=1) / np.hypot(edges[:, 0], edges[:, 1])[:, None]
    depth = np.min((core * normals).sum(axis=1)[None, :] - borders @ normals.T, axis=1)
    k = int(np.argmax(depth))
    found: Floats = borders[k]
    return found if depth[k] > _HAIR else None


def _best_cut(core: Floats, through: Floats) -> Floats:
    """Cut the core by a line through a point, keeping the most area."""
    turns = np.arange(_DIRECTIONS) * 2 * math.pi / _DIRECTIONS
    kept = [_clipped(core, through, np.array([math.cos(t), math.sin(t)])) for t in turns]
    return max(kept, key=_area)


def _clipped(core: Floats, through: Floats, normal: Floats) -> Floats:
    """Keep what lies behind the line through a point with this outward normal (Sutherland and Hodgman)."""
    over = (core - through) @ normal
    kept: list[Floats] = []
    for k in range(len(core)):
        here, there = over[k], over[(k + 1) % len(core)]
        if here <= 0:
            kept.append(core[k])
        if (here < 0 < there) or (there < 0 < here):
            kept.append(core[k] + (core[(k + 1) % len(core)] - core[k]) * here / (here - there))
    return np.asarray(kept).reshape(-1, 2)


def _area(corners: Floats) -> float:
    if len(corners) < 3:
        return 0.0
    x, y = corners[:, 0], corners[:, 1]
    return float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2)


def _square_in(shape: Polygon) -> Floats:
    """Return a small square about the outline's representative point: a core where no better one was found."""
    at = shape.representative_point()
    half = shape.exterior.distance(at) / 2
    return np.array(
        [(at.x - half, at.y - half), (at.x + half, at.y - half), (at.x + half, at.y + half), (at.x - half, at.y + half)]
    )
