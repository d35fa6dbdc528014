"""From a die's traced metal to the line it cuts."""

from __future__ import annotations

from layout.geometry.outline import Outline, from_polygon
from layout.model.errors import PlatefulError


def cut_line(body: Outline, inset: float) -> Outline:
    """Return what a die cuts: its metal's outer border moved inward by the blade's inset (mm, measured once a die).

    Raises PlatefulError where nothing is left, or the inset tears the shape apart.
    """
    if inset < 0:
        raise PlatefulError(f"a blade lies inside its metal: the inset cannot be {inset:g} mm")
    moved = body.solid.polygon.buffer(-inset, quad_segs=32).simplify(0.01)
    if moved.geom_type != "Polygon" or moved.is_empty:
        raise PlatefulError(
            f"an inset of {inset:g} mm leaves no whole shape: measure from the metal's edge to the blade"
        )
    return from_polygon(moved)
