"""How deep two shapes of given turns stand in each other, at one look: distance fields over their no-fit polygons.

A shape B moved by d against a shape A overlaps it where d lies inside the no-fit polygon, the Minkowski sum of A and
B mirrored; how far inside is the shortest move that parts them. Where only a few turns are allowed, all pairs are
measured beforehand. Sums of convex parts: Agarwal, Flato, Halperin, Computational Geometry 21 (2002) 39-61.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any, NamedTuple

import numpy as np
import shapely
from shapely.geometry import Polygon

from layout.geometry.convex import convex_parts
from layout.geometry.field import Field, Floats, distance_field
from layout.geometry.outline import Outline, Ring
from layout.geometry.pose import Pose
from layout.nesting.scene import Ints

# columns of `Forms.grids`
GRID_X, GRID_Y, STEP, OFFSET, COLUMNS, ROWS = range(6)
SPECK = 1e-6


class Forms(NamedTuple):
    """All shapes in all their turns ("forms"), and how deep any two of them stand in each other.

    `spans`: bounds of each form; `first`: the number of each shape's first form and, at the end, their count;
    `table`: the field for a pair of forms, `turns`: cosine and sine (or their negatives) that carry a displacement
    into that field; `grids`: corner, step, offset in `fields` and size of each; fields are positive inside.
    """

    spans: Floats
    first: Ints
    table: Ints
    turns: Floats
    grids: Floats
    fields: Any


def forms_of(shapes: Sequence[tuple[Outline, Sequence[float]]], cells: int, workers: int = 1) -> Forms:
    """Measure every pair of shapes (outline, allowed turns in degrees) on grids of about `cells` cells a side."""
    forms = [(k, turn) for k, (_, turns) in enumerate(shapes) for turn in turns]
    first = np.cumsum([0, *(len(turns) for _, turns in shapes)])
    spans = [Pose(turn=t).outline(shapes[k][0]).bounds for k, t in forms]
    maker = _FieldMaker([convex_parts(outline) for outline, _ in shapes], cells)
    n = len(forms)
    table, turns = np.zeros((n, n), dtype=np.int64), np.zeros((n, n, 2))
    for i, (a, at) in enumerate(forms):
        for j, (b, bt) in enumerate(forms):
            flip = a > b
            table[i, j] = maker.number(b, a, at - bt) if flip else maker.number(a, b, bt - at)
            angle, sign = math.radians(bt if flip else at), -1.0 if flip else 1.0
            turns[i, j] = sign * math.cos(angle), sign * math.sin(angle)
    grids, fields = maker.flat(workers)
    return Forms(np.asarray(spans), first.astype(np.int64), table, turns, grids, fields)


class _FieldMaker:
    """Makes the field of each pair once, whatever way both are turned together."""

    def __init__(self, parts: list[list[Ring]], cells: int) -> None:
        self.parts, self.cells = parts, cells
        self.known: dict[tuple[int, int, float], int] = {}

    def number(self, a: int, b: int, turn: float) -> int:
        """The number of the field for shape `b`, turned by so many degrees, against shape `a`."""
        return self.known.setdefault((a, b, round(turn % 360.0, 6)), len(self.known))

    def flat(self, workers: int) -> tuple[Floats, Any]:
        """Make all fields; return their table and their values one after the other."""
        with ThreadPoolExecutor(workers) as pool:
            fields = list(pool.map(self._field, self.known))
        offsets = np.cumsum([0, *(f.values.size for f in fields)])
        rows = [(f.x0, f.y0, f.step, offsets[k], *f.values.shape[::-1]) for k, f in enumerate(fields)]
        return np.asarray(rows, dtype=np.float64), np.concatenate([-f.values.ravel() for f in fields])

    def _field(self, pair: tuple[int, int, float]) -> Field:
        a, b, turn = pair
        return depth_field(no_fit(self.parts[a], [Pose(turn=turn).ring(r) for r in self.parts[b]]), self.cells)


def no_fit(a: Sequence[Ring], b: Sequence[Ring]) -> Polygon:
    """The displacements of `b` at which it overlaps `a`, both given as convex parts; exact fits are closed up."""
    sums = [np.subtract(np.repeat(p, len(q), axis=0), np.tile(q, (len(p), 1))) for p in a for q in b]
    owner = np.repeat(np.arange(len(sums)), [len(s) for s in sums])
    whole = shapely.union_all(shapely.convex_hull(shapely.linestrings(np.concatenate(sums), indices=owner)))
    if not isinstance(whole, Polygon):
        whole = max(whole.geoms, key=lambda p: p.area)
    return Polygon(whole.exterior, [r for r in whole.interiors if Polygon(r).area > SPECK])


def depth_field(shape: Polygon, cells: int) -> Field:
    """Signed distances about a no-fit polygon, a cell beyond its bounds."""
    x0, y0, x1, y1 = shape.bounds
    step = max(x1 - x0, y1 - y0) / cells
    rings = (tuple(map(tuple, r.coords[:-1])) for r in (shape.exterior, *shape.interiors))
    return distance_field(Outline.trusted(next(rings), tuple(rings)), step, step)
