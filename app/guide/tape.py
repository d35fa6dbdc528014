"""Where low-tack tape may hold a die: over the metal's edge, with no blade near."""

from __future__ import annotations

import math

import shapely
from shapely import unary_union
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

ALONG = 8.0
INWARD = 1.4
OUTWARD = 4.0
BLADE = 0.5
"""No tape comes nearer to a blade than this (mm)."""
MOST = 3
STEP = 3.0


def tape_spots(number: int, bodies: list[Polygon], cuts: list[Polygon]) -> list[Polygon]:
    """Return up to three strips (8 x 5.4 mm) over the outer edge of die `number`, apart and clear of all blades."""
    blades = unary_union([cut.boundary for cut in cuts]).buffer(BLADE)
    others = unary_union([Polygon(body.exterior) for n, body in enumerate(bodies) if n != number])
    own = bodies[number]
    shapely.prepare(blades)
    free = [spot for spot in _candidates(own) if _is_good(spot, own, blades, others)]
    chosen: list[Polygon] = []
    while free and len(chosen) < MOST:
        best = max(free, key=lambda spot: min((spot.distance(c) for c in chosen), default=_height(spot)))
        if chosen and min(best.distance(c) for c in chosen) < ALONG:
            break
        chosen.append(best)
        free.remove(best)
    return chosen


def _candidates(body: Polygon) -> list[Polygon]:
    edge = Polygon(body.exterior).exterior
    return [_strip(edge, at * STEP) for at in range(int(edge.length / STEP))]


def _strip(edge: LineString, at: float) -> Polygon:
    """Return a strip centred on the edge at `at` mm along it, its long side along the edge."""
    middle = edge.interpolate(at)
    a = edge.interpolate((at - ALONG / 2) % edge.length)
    b = edge.interpolate((at + ALONG / 2) % edge.length)
    length = math.hypot(b.x - a.x, b.y - a.y) or 1.0
    ux, uy = (b.x - a.x) / length, (b.y - a.y) / length
    inward = 1.0 if edge.is_ccw else -1.0
    nx, ny = -uy * inward, ux * inward
    corners = [(-ALONG / 2, INWARD), (ALONG / 2, INWARD), (ALONG / 2, -OUTWARD), (-ALONG / 2, -OUTWARD)]
    return Polygon([(middle.x + s * ux + t * nx, middle.y + s * uy + t * ny) for s, t in corners])


def _is_good(spot: Polygon, body: Polygon, blades: BaseGeometry, others: BaseGeometry) -> bool:
    """Whether a strip touches no blade and no other die, and sticks to enough metal."""
    if shapely.intersects(blades, spot) or spot.intersects(others):
        return False
    return spot.intersection(body).area >= 0.6 * ALONG * INWARD


def _height(spot: Polygon) -> float:
    return -float(spot.centroid.y)
