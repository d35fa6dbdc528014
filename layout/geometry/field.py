"""Signed distance to an outline on a grid: how deep inside or how far outside any point lies, at one look."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.geometry.compiled import compiled
from layout.geometry.outline import Outline, Ring

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Field:
    """Signed distances (mm, negative inside) at grid corners; `values` has shape (ny, nx), spacing `step` mm."""

    values: NDArray[np.float32]
    x0: float
    y0: float
    step: float


def edges_of(outline: Outline) -> Floats:
    """Return all edges of an outline as rows (ax, ay, bx, by), shape (n, 4), mm."""
    rows = [ring_edges(ring) for ring in (outline.outer, *outline.holes)]
    return np.ascontiguousarray(np.concatenate(rows))


def ring_edges(ring: Ring) -> Floats:
    """Return the edges of one ring as rows (ax, ay, bx, by), shape (n, 4), mm."""
    at = np.asarray(ring, dtype=np.float64)
    return np.concatenate([at, np.roll(at, -1, axis=0)], axis=1)


def distance_field(outline: Outline, pad: float, step: float) -> Field:
    """Measure an outline on a grid reaching `pad` mm beyond its bounds; exact at every grid corner."""
    x0, y0, x1, y1 = outline.bounds
    nx = math.ceil((x1 - x0 + 2 * pad) / step) + 2
    ny = math.ceil((y1 - y0 + 2 * pad) / step) + 2
    values = np.empty((ny, nx), dtype=np.float32)
    _fill(values, edges_of(outline), x0 - pad, y0 - pad, step)
    return Field(values, x0 - pad, y0 - pad, step)


@compiled
def _fill(values, edges, x0, y0, step):  # type: ignore[no-untyped-def]
    for j in range(values.shape[0]):
        for i in range(values.shape[1]):
            values[j, i] = signed_distance(edges, x0 + i * step, y0 + j * step)


@compiled
def signed_distance(edges, px, py):  # type: ignore[no-untyped-def]
    """Return the distance (mm) from a point to the nearest edge, negative where the point lies inside (even-odd)."""
    best = 1e30
    inside = False
    for k in range(edges.shape[0]):
        ax, ay, bx, by = edges[k, 0], edges[k, 1], edges[k, 2], edges[k, 3]
        ux, uy = bx - ax, by - ay
        t = ((px - ax) * ux + (py - ay) * uy) / (ux * ux + uy * uy + 1e-300)
        t = min(1.0, max(0.0, t))
        dx, dy = px - ax - t * ux, py - ay - t * uy
        best = min(best, dx * dx + dy * dy)
        if (ay > py) != (by > py) and px < ax + (py - ay) / (by - ay) * ux:
            inside = not inside
    return -math.sqrt(best) if inside else math.sqrt(best)
