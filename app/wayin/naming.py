"""A first name for an outline: the shape it looks like and its size, to be typed over."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, degrees, hypot

from shapely import affinity
from shapely.geometry import Polygon

from layout.geometry.catalogue import shape_by_name
from layout.geometry.outline import Outline, OutlineError
from layout.geometry.units import Unit, format_length, format_sides

LIKE = 0.95  # share of their union that a shape and its namesake must have in common
NAMESAKES = ("circle", "oval", "rectangle", "heart", "star", "crescent", "tag", "leaf", "arch", "scalloped", "banner")
NEARLY_ROUND = 1.03  # longer by no more than this: a circle
GRAIN = 0.004  # of the size: finer detail does not change a name


def names_for(outlines: Sequence[Outline], fallback: str, unit: Unit) -> list[str]:
    """Return a name for each outline, no two alike; what looks like nothing known is numbered."""
    names: list[str] = []
    for at, outline in enumerate(outlines):
        name = name_for(outline, unit) or (f"{fallback} {at + 1}" if len(outlines) > 1 else fallback)
        names.append(
            next(n for k in range(1, len(outlines) + 2) if (n := name if k == 1 else f"{name} ({k})") not in names)
        )
    return names


def name_for(outline: Outline, unit: Unit) -> str | None:
    """Return a name such as 'heart 45 × 41 mm', None where the outline looks like no shape that has one."""
    solid = outline.solid.polygon
    for square, wide, high in _upright(solid):
        for kind in NAMESAKES:
            if kind == "circle" and max(wide, high) > NEARLY_ROUND * min(wide, high):
                continue
            if _alike(kind, square, wide, high):
                return f"{kind} {_size(kind, wide, high, unit)}"
    return None


def _upright(solid: Polygon) -> list[tuple[Polygon, float, float]]:
    """Return the shape with a side of its least box level, turned by quarters, with the box's sides."""
    corners = list(solid.minimum_rotated_rectangle.exterior.coords)
    (ax, ay), (bx, by) = corners[0], corners[1]
    level = affinity.rotate(solid, -degrees(atan2(by - ay, bx - ax)), origin=(0, 0))
    size = hypot(bx - ax, by - ay)
    found = []
    for quarter in range(4):
        turned = affinity.rotate(level, 90 * quarter, origin=(0, 0)).simplify(GRAIN * size)
        x0, y0, x1, y1 = turned.bounds
        found.append((affinity.translate(turned, -(x0 + x1) / 2, -(y0 + y1) / 2), x1 - x0, y1 - y0))
    return found


def _alike(kind: str, shape: Polygon, wide: float, high: float) -> bool:
    try:
        made = shape_by_name(kind, wide, wide if kind == "circle" else high).solid.polygon
    except OutlineError:
        return False
    x0, y0, x1, y1 = made.bounds
    made = affinity.translate(made, -(x0 + x1) / 2, -(y0 + y1) / 2)
    common = made.intersection(shape).area
    return bool(common > LIKE * (made.area + shape.area - common))


def _size(kind: str, wide: float, high: float, unit: Unit) -> str:
    fine = 25.4 / 16 if unit == "in" else 1.0
    wide, high = (max(fine, round(v / fine) * fine) for v in (wide, high))
    if kind == "circle":
        return format_length(wide, unit)
    return format_sides(max(wide, high), min(wide, high), unit)
