"""Dies that touch on a picture are seen as one thing: told by the waist between them."""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely.geometry import Polygon

from layout.geometry.outline import Outline

WAISTS = (0.3, 0.6, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0)  # mm: half a waist's width
PART = 0.1  # share of the whole that either side of a waist covers at least
ROUNDER = 1.5  # how many times as thick as the waist the slimmer side is at least


def touching(outlines: Iterable[Outline], again: str) -> tuple[str, ...]:
    """Return a sentence for every outline (mm) that looks like two dies; `again` ends it with what to do then."""
    shapes = [o.polygon for o in outlines]
    return tuple(
        f"two dies seem to touch ({_size(s)} together): lay them apart and {again}" for s in shapes if joined(s)
    )


def joined(shape: Polygon) -> bool:
    """Tell whether a thing (mm) has a waist, as where two round things touch.

    Openings are filled first: a ring, a frame or a die with bars has no waist.
    """
    filled = Polygon(shape.exterior).simplify(0.05)
    for half in WAISTS:
        core = filled.buffer(-half, 8)
        parts = sorted((p for p in getattr(core, "geoms", [core]) if p.area > PART * filled.area), key=_area)
        if len(parts) > 1:
            return _thickness(parts[-2]) > ROUNDER * half
    return False


def _size(shape: Polygon) -> str:
    left, bottom, right, top = shape.bounds
    return f"{right - left:.0f} x {top - bottom:.0f} mm"


def _area(shape: Polygon) -> float:
    return float(shape.area)


def _thickness(shape: Polygon) -> float:
    """Return the radius of the largest circle inside."""
    return float(shapely.maximum_inscribed_circle(shape, 0.2).length)
