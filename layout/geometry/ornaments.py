"""Outlines by size that are drawn rather than constructed: fern leaf, moth, night flower."""

from __future__ import annotations

import math

from shapely import affinity
from shapely.geometry import Polygon
from shapely.ops import unary_union

from layout.geometry.curve import CHORD_ERROR, Arc, Cubic, Segment, carry_segment, ring_of
from layout.geometry.outline import Outline, OutlineError, Point, from_polygon
from layout.geometry.shapes import drawn, fitted

MIRROR = (-1.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def fern_leaf(width: float, height: float | None = None, *, pairs: int = 6) -> Outline:
    """Return a fern leaf: pairs of leaflets along a stem, longest in the lower third, one more at the tip."""
    if not 2 <= pairs <= 20:
        raise OutlineError(f"a fern leaf has 2 to 20 pairs of leaflets, not {pairs}")
    fine = CHORD_ERROR / 2 / max(height or 0.0, 3 * width)  # the drawing is one unit high
    heights = [0.12 + 0.74 * k / pairs for k in range(pairs)]
    leaflets = [_leaflet(y, side * _turn(y), _length(y), 0.40 / pairs, fine) for y in heights for side in (1, -1)]
    tip = _leaflet(0.80, 90.0, 0.20, 0.45 / pairs, fine)
    stem = Polygon([(-0.02, 0.0), (0.02, 0.0), (0.012, 0.85), (-0.012, 0.85)])
    whole = unary_union([stem, tip, *leaflets])
    return fitted(from_polygon(whole.simplify(2 * fine)).solid.outer, width, height)


def moth(width: float, height: float | None = None) -> Outline:
    """Return a moth seen from above, wings spread, head up."""
    right = _curves(
        (0.0, 0.46),
        ((0.07, 0.46), (0.11, 0.41), (0.11, 0.33)),
        ((0.34, 0.50), (0.74, 0.50), (0.99, 0.24)),
        ((1.03, 0.20), (1.02, 0.14), (0.97, 0.11)),
        ((0.84, 0.04), (0.74, -0.02), (0.66, -0.11)),
        ((0.70, -0.30), (0.56, -0.50), (0.38, -0.50)),
        ((0.26, -0.50), (0.18, -0.42), (0.13, -0.30)),
        ((0.13, -0.44), (0.08, -0.62), (0.0, -0.64)),
    )
    return drawn(_with_mirror(right), width, height)


def night_flower(width: float, height: float | None = None, *, petals: int = 6) -> Outline:
    """Return an open flower with softly pointed petals, one of them up."""
    if not 3 <= petals <= 16:
        raise OutlineError(f"a flower has 3 to 16 petals, not {petals}")
    half = math.pi / petals
    valley = (0.42 * math.cos(half), -0.42 * math.sin(half))
    side = _curves(
        valley,
        ((0.66, -0.63 * math.tan(half)), (0.88, -0.60 * math.tan(half)), (1.0, 0.0)),
    )
    petal = [*side, *[_reversed(carry_segment((1.0, 0.0, 0.0, -1.0, 0.0, 0.0), s)) for s in reversed(side)]]
    path = [carry_segment(_turned(math.pi / 2 + 2 * half * k), s) for k in range(petals) for s in petal]
    return drawn(path, width, height)


def _length(y: float) -> float:
    """Length of the leaflets at a height of the stem: fullest in the lower third, slender at the tip."""
    return 0.10 + 0.18 * math.sin(math.pi * min(1.0, (y + 0.22) / 1.06))


def _turn(y: float) -> float:
    return 28.0 + 22.0 * y


def _leaflet(y: float, turn: float, length: float, breadth: float, fine: float) -> Polygon:
    """Return an ellipse rooted on the stem; a turn below 0 lies on the left side."""
    a = Arc((length / 2, 0.0), (length / 2, 0.0), (0.0, breadth / 2), 0.0, 2 * math.pi)
    shape = affinity.rotate(Polygon(ring_of([a], fine)), abs(turn), origin=(0, 0))
    if turn < 0:
        shape = affinity.scale(shape, -1.0, 1.0, origin=(0, 0))
    return affinity.translate(shape, 0.0, y)


def _curves(start: Point, *curves: tuple[Point, Point, Point]) -> list[Segment]:
    path: list[Segment] = []
    for first, second, end in curves:
        path.append(Cubic(start, first, second, end))
        start = end
    return path


def _with_mirror(right: list[Segment]) -> list[Segment]:
    """Close a right half, drawn from top to bottom on the axis, by its mirror image."""
    return [*right, *[_reversed(carry_segment(MIRROR, s)) for s in reversed(right)]]


def _reversed(segment: Segment) -> Segment:
    if isinstance(segment, Cubic):
        return Cubic(segment.end, segment.second, segment.first, segment.start)
    raise TypeError("only drawn curves are turned back")


def _turned(angle: float) -> tuple[float, float, float, float, float, float]:
    c, s = math.cos(angle), math.sin(angle)
    return (c, s, -s, c, 0.0, 0.0)
