"""How wide a shape is in every direction, and in which turns it goes into a box: exact, by its convex hull."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import numpy.typing as npt
from shapely.geometry import MultiPoint

from layout.geometry.outline import Outline

Floats = npt.NDArray[np.float64]
Turns = tuple[tuple[float, float], ...]
EVERY_TURN: Turns = ((0.0, 360.0),)
_EPS = 1e-9


@lru_cache(maxsize=4096)
def hull(outline: Outline) -> Floats:
    """Return the corners of the convex hull, counter-clockwise, shape (n, 2), mm."""
    ring = MultiPoint(outline.outer).convex_hull.exterior
    corners = np.asarray(ring.coords[:-1], dtype=np.float64)
    return corners if ring.is_ccw else corners[::-1].copy()


def extents(corners: Floats, turns: Floats) -> tuple[Floats, Floats]:
    """Return widths and lengths (mm) of a hull at the given turns (degrees): two arrays like `turns`."""
    a = np.radians(turns)
    c, s = np.cos(a), np.sin(a)
    x = corners[:, :1] * c - corners[:, 1:] * s
    y = corners[:, :1] * s + corners[:, 1:] * c
    return np.ptp(x, axis=0), np.ptp(y, axis=0)


@lru_cache(maxsize=4096)
def least_box(outline: Outline) -> tuple[float, float]:
    """Return the sides (mm) of the box of least width round an outline: its least width, and the side across it."""
    corners = hull(outline)
    width, length = extents(corners, _flush_turns(corners))
    k = int(np.argmin(width))
    return float(width[k]), float(length[k])


@lru_cache(maxsize=4096)
def longest(outline: Outline) -> float:
    """Return the diameter of an outline in mm."""
    corners = hull(outline)
    return float(np.max(np.hypot(*(corners[:, None, :] - corners[None, :, :]).transpose(2, 0, 1))))


@lru_cache(maxsize=8192)
def fitting_turns(outline: Outline, width: float, length: float) -> Turns:
    """Return the closed intervals of turns (degrees, within 0..180) in which the outline goes into a box.

    Exact: between neighbouring breakpoints both extents are single cosines, so an interval fits as a whole or not.
    """
    corners = hull(outline)
    if width < 0 or length < 0:
        return ()
    ends = _breakpoints(corners, width, length)
    whole = _fits(corners, (ends[:-1] + ends[1:]) / 2, width, length)
    point = _fits(corners, ends, width, length)
    return _joined([(a, b) for a, b, k in zip(ends[:-1], ends[1:], whole, strict=True) if k], ends[point])


def goes_into_box(outline: Outline, width: float, length: float) -> bool:
    """Tell whether the outline goes into a box of these sides in some turn."""
    short, long = sorted(least_box(outline))
    if short <= min(width, length) and long <= max(width, length):
        return True
    return bool(fitting_turns(outline, width, length))


def _fits(corners: Floats, turns: Floats, width: float, length: float) -> npt.NDArray[np.bool_]:
    w, h = extents(corners, turns)
    fits: npt.NDArray[np.bool_] = (w <= width + _EPS) & (h <= length + _EPS)
    return fits


def _flush_turns(corners: Floats) -> Floats:
    """Return the turns (degrees, 0..180) at which an edge of the hull stands along x or y."""
    edges = np.roll(corners, -1, axis=0) - corners
    along = np.degrees(np.arctan2(edges[:, 1], edges[:, 0]))
    turns: Floats = np.concatenate([-along, 90.0 - along]) % 180.0
    return turns


def _breakpoints(corners: Floats, width: float, length: float) -> Floats:
    """Return the turns where the widest pair changes or where an extent meets its limit."""
    flush = np.unique(np.concatenate([[0.0, 180.0], _flush_turns(corners)]))
    pairs = _widest_pairs(corners, (flush[:-1] + flush[1:]) / 2)
    return np.unique(
        np.clip(np.concatenate([flush, _meeting(pairs[0], width), _meeting(pairs[1], length)]), 0.0, 180.0)
    )


def _widest_pairs(corners: Floats, turns: Floats) -> tuple[Floats, Floats]:
    """Return length and lag (degrees) of the pair that spans x, then of the pair that spans y: shape (2, n) each."""
    a = np.radians(turns)
    x = corners[:, :1] * np.cos(a) - corners[:, 1:] * np.sin(a)
    y = corners[:, :1] * np.sin(a) + corners[:, 1:] * np.cos(a)
    across = corners[np.argmax(x, axis=0)] - corners[np.argmin(x, axis=0)]
    along = corners[np.argmax(y, axis=0)] - corners[np.argmin(y, axis=0)]
    return _polar(across, 0.0), _polar(along, 90.0)


def _polar(spans: Floats, towards: float) -> Floats:
    return np.stack([np.hypot(spans[:, 0], spans[:, 1]), towards - np.degrees(np.arctan2(spans[:, 1], spans[:, 0]))])


def _meeting(pairs: Floats, limit: float) -> Floats:
    """Return the turns (degrees, 0..180) at which these pairs are exactly `limit` wide."""
    wide = pairs[:, pairs[0] >= limit]
    off = np.degrees(np.arccos(np.clip(limit / np.maximum(wide[0], _EPS), -1.0, 1.0)))
    turns: Floats = np.concatenate([wide[1] + off, wide[1] - off]) % 180.0
    return turns


def _joined(intervals: list[tuple[float, float]], points: Floats) -> Turns:
    """Join touching intervals and add the lone points as intervals of no length."""
    joined: list[tuple[float, float]] = []
    for a, b in sorted([*intervals, *((p, p) for p in points.tolist())]):
        if joined and a <= joined[-1][1] + _EPS:
            joined[-1] = (joined[-1][0], max(b, joined[-1][1]))
        else:
            joined.append((float(a), float(b)))
    return tuple(joined)


def turned_width(corners: Floats, direction: float) -> float:
    """Return the width (mm) of a hull across the given direction in degrees."""
    a = math.radians(direction)
    return float(np.ptp(corners @ np.array([math.cos(a), math.sin(a)])))
