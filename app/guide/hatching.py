"""Hatches: papers told apart without colour."""

from __future__ import annotations

import math

from shapely.geometry import LineString, MultiLineString
from shapely.geometry.base import BaseGeometry

HATCHES = ((45.0, 3.6), (135.0, 3.6), (0.0, 3.0), (90.0, 3.0), (22.5, 2.6), (157.5, 2.6), (67.5, 4.2), (112.5, 4.2))
"""Angle in degrees and distance of the lines in mm, by the scrap's place in the run."""


def hatch(area: BaseGeometry, angle: float, gap: float) -> list[LineString]:
    """Return the hatch lines `gap` mm apart at `angle` degrees within an area, on one grid of the whole page."""
    if area.is_empty:
        return []
    x0, y0, x1, y1 = area.bounds
    reach = math.hypot(x1 - x0, y1 - y0) / 2 + gap
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    first = math.ceil((-s * cx + c * cy - reach) / gap)
    last = math.floor((-s * cx + c * cy + reach) / gap)
    along = c * cx + s * cy
    lines = [_line(c, s, along, step * gap, reach) for step in range(first, last + 1)]
    found = MultiLineString(lines).intersection(area)
    return [part for part in getattr(found, "geoms", [found]) if isinstance(part, LineString) and part.length > 0.3]


def _line(c: float, s: float, along: float, off: float, reach: float) -> list[tuple[float, float]]:
    return [(c * t - s * off, s * t + c * off) for t in (along - reach, along + reach)]
