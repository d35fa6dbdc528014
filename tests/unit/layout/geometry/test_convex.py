"""Convex parts: they tile the outline, whatever its shape."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import Polygon

from layout.geometry.convex import convex_parts
from layout.geometry.outline import Outline

L_SHAPE = Outline.of([(0, 0), (3, 0), (3, 1), (1, 1), (1, 3), (0, 3)])


def _assert_tiled(outline: Outline) -> None:
    parts = [Polygon(p) for p in convex_parts(outline)]
    area = outline.solid.area
    assert math.isclose(sum(p.area for p in parts), area, rel_tol=1e-9)
    assert union_all(parts).symmetric_difference(outline.solid.polygon).area <= 1e-9 * area
    for part in parts:
        assert math.isclose(part.convex_hull.area, part.area, rel_tol=1e-9)
        assert part.exterior.is_ccw


def test_a_convex_outline_is_one_part():
    assert len(convex_parts(Outline.rectangle(3, 2))) == 1


def test_an_angle_is_two_parts():
    assert len(convex_parts(L_SHAPE)) == 2
    _assert_tiled(L_SHAPE)


def test_a_clockwise_outline_with_corners_on_its_sides():
    _assert_tiled(Outline.of([(0, 0), (0, 2), (1, 2), (2, 2), (2, 1), (3, 1), (3, 0), (1.5, 0)]))


@given(st.lists(st.floats(0.2, 5.0), min_size=3, max_size=25), st.floats(0.0, 6.0))
@settings(max_examples=60, deadline=None)
def test_any_star_is_tiled(radii: list[float], turn: float):
    n = len(radii)
    at = [
        (r * math.cos(turn + 2 * math.pi * k / n), r * math.sin(turn + 2 * math.pi * k / n))
        for k, r in enumerate(radii)
    ]
    shape = Polygon(at)
    if shape.is_valid and shape.area > 1e-3:
        _assert_tiled(Outline.of(at))
