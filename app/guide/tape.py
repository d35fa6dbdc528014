"""Where low-tack tape may hold a die: over the metal's edge, with no blade near."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree, unary_union
from shapely.geometry import LinearRing, Polygon

ALONG = 8.0
INWARD = 1.4
OUTWARD = 4.0
BLADE = 0.5
"""No tape comes nearer to a blade than this (mm)."""
LEAST_METAL = 0.6 * ALONG * INWARD
MOST = 3
STEP = 3.0


def tape_spots(bodies: list[Polygon], cuts: list[Polygon]) -> list[list[Polygon]]:
    """Return for each die up to three strips (8 x 5.4 mm) over its outer edge, apart and clear of all blades."""
    blades = unary_union([shapely.simplify(cut.boundary, 0.05) for cut in cuts]).buffer(BLADE, quad_segs=2)
    solids = [shapely.simplify(Polygon(body.exterior), 0.05) for body in bodies]
    shapely.prepare([blades, *solids])
    made = [_strips(body.exterior) for body in bodies]
    strips, owner = np.concatenate([*made, []]), np.repeat(np.arange(len(made)), list(map(len, made)))
    bad = shapely.intersects(blades, strips)
    touching, touched = STRtree(solids).query(strips, predicate="intersects")
    bad[touching[owner[touching] != touched]] = True
    return [_apart(strips[(owner == number) & ~bad], body) for number, body in enumerate(bodies)]


def _apart(free: NDArray[np.object_], body: Polygon) -> list[Polygon]:
    """Choose the uppermost strip that holds metal, then those farthest from the chosen ones, a strip's length apart."""
    chosen: list[Polygon] = []
    worth = 1e4 - shapely.get_y(shapely.centroid(free))
    while len(free) and len(chosen) < MOST and worth.max() >= ALONG:
        best = int(np.argmax(worth))
        worth[best] = 0.0
        if free[best].intersection(body).area >= LEAST_METAL:
            chosen.append(free[best])
            worth = np.minimum(worth, shapely.distance(free[best], free))
    return chosen


def _strips(edge: LinearRing) -> NDArray[np.object_]:
    """Return strips centred on the edge every few mm, their long sides along it."""
    at = np.arange(0.0, edge.length, STEP)
    middle = _points(edge, at)
    along = _points(edge, (at + ALONG / 2) % edge.length) - _points(edge, (at - ALONG / 2) % edge.length)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)[:, None]
    inward = np.column_stack((-along[:, 1], along[:, 0])) * (1.0 if edge.is_ccw else -1.0)
    corners = [(-ALONG / 2, INWARD), (ALONG / 2, INWARD), (ALONG / 2, -OUTWARD), (-ALONG / 2, -OUTWARD)]
    return shapely.polygons(np.stack([middle + s * along + t * inward for s, t in corners], axis=1))


def _points(edge: LinearRing, at: NDArray[np.float64]) -> NDArray[np.float64]:
    return shapely.get_coordinates(shapely.line_interpolate_point(edge, at))
