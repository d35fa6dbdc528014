"""Things that lie so close on a picture that their borders may have run together."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from PySide6.QtCore import QPointF

from app.wayin.found import Found
from layout.geometry.units import Unit, format_length

TOO_CLOSE = 1.0  # mm
Place = tuple[QPointF, str]


def close_pairs(things: Sequence[Found], unit: Unit) -> tuple[tuple[Place, ...], list[str]]:
    """Return the places to look at, each with its words, and a sentence for each pair."""
    from shapely.ops import nearest_points

    places: list[Place] = []
    said: list[str] = []
    for a, b in combinations(things, 2):
        one, other = a.outline.solid.polygon, b.outline.solid.polygon
        gap = one.distance(other)
        if gap < TOO_CLOSE and not (one.contains(other) or other.contains(one)):
            p, q = nearest_points(one, other)
            words = "touching" if gap < 0.05 else f"{format_length(gap, unit)} apart"
            places.append((QPointF((p.x + q.x) / 2, (p.y + q.y) / 2), words))
            said.append(f"{a.name} and {b.name} are {words}: look whether both borders are right there")
    return tuple(places), said
