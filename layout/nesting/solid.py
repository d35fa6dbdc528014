"""A rigid shape as the search sees it: border samples to test with, a distance field to be tested against."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely import maximum_inscribed_circle
from shapely.geometry import MultiPoint, Polygon

from layout.geometry.field import Field, Floats, distance_field
from layout.geometry.outline import Outline, Ring

BLOCK = 8
FIELD_CELLS = 150
KEEP = 0.01


@dataclass(frozen=True, slots=True)
class Solid:
    """Samples on the border (mm) and the length each stands for; its field, hull, and circles about all and blocks."""

    points: Floats
    shares: Floats
    field: Field
    hull: Floats
    circle: tuple[float, float, float]
    blocks: Floats


def solid(outline: Outline, pad: float, spacing: float = 2.0, cells: int = FIELD_CELLS) -> Solid:
    """Sample an outline: every corner that matters, no two samples farther apart than `spacing` mm."""
    rings = [_samples(r, spacing) for r in (outline.outer, *outline.holes)]
    rings.append(_inner_samples(outline))
    points = np.concatenate([r[0] for r in rings])
    shares = np.concatenate([r[1] for r in rings])
    x0, y0, x1, y1 = outline.bounds
    step = max((max(x1 - x0, y1 - y0) + 2 * pad) / cells, 0.05)
    hull = np.asarray(MultiPoint(outline.outer).convex_hull.exterior.coords[:-1])
    blocks = circles(points.reshape(-1, BLOCK, 2))
    around = circles(hull.reshape(1, -1, 2))[0]
    circle = (float(around[0]), float(around[1]), float(around[2]))
    return Solid(points, shares, distance_field(outline, pad, step), hull, circle, blocks)


def circles(groups: Floats) -> Floats:
    """A circle (x, y, radius) about each group of points, shape (groups, points, 2); not the least one, but quick."""
    centre = (groups.min(axis=1) + groups.max(axis=1)) / 2
    radius = np.hypot(*np.moveaxis(groups - centre[:, None, :], 2, 0)).max(axis=1)
    return np.column_stack([centre, radius])


def _samples(ring: Ring, spacing: float) -> tuple[Floats, Floats]:
    corners = np.asarray(Polygon(ring).exterior.simplify(KEEP).coords[:-1])
    points: list[tuple[float, float]] = []
    for (ax, ay), (bx, by) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        pieces = max(1, math.ceil(math.hypot(bx - ax, by - ay) / spacing))
        points += [(ax + (bx - ax) * k / pieces, ay + (by - ay) * k / pieces) for k in range(pieces)]
    at = np.asarray(points)
    steps = np.hypot(*(np.roll(at, -1, axis=0) - at).T)
    shares = (steps + np.roll(steps, 1)) / 2
    return _whole_blocks(at, shares)


def _inner_samples(outline: Outline) -> tuple[Floats, Floats]:
    """Eight samples deep inside: without them two alike shapes lying exactly on each other would cost next to nothing.

    They lie on a circle about the pole of inaccessibility, at two fifths of its distance from the border.
    """
    line = maximum_inscribed_circle(outline.polygon, tolerance=0.05 * math.sqrt(outline.area))
    (x, y), radius = line.coords[0], 0.4 * line.length
    angles = np.arange(BLOCK) * (2 * math.pi / BLOCK)
    points = np.column_stack([x + radius * np.cos(angles), y + radius * np.sin(angles)])
    return points, np.full(BLOCK, 2 * math.pi * radius / BLOCK)


def _whole_blocks(points: Floats, shares: Floats) -> tuple[Floats, Floats]:
    """Fill the last block of samples with weightless copies, so that every block is full."""
    short = -len(points) % BLOCK
    if not short:
        return points, shares
    fill = np.repeat(points[-1:], short, axis=0)
    return np.concatenate([points, fill]), np.concatenate([shares, np.zeros(short)])
