"""Hatches against lines cut with polygons by shapely, and the quick ways of handing points to Qt."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PySide6.QtGui import QPainterPath
from shapely.geometry import MultiLineString, Point, Polygon, box

from app.guide.hatching import hatch
from app.guide.ink import _polygon, path_of_strokes


def cut_by_shapely(area: Polygon, angle: float, gap: float) -> float:
    """Return the length of all lines of the same grid within an area (mm)."""
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    lines = [
        [(c * t - s * k * gap, s * t + c * k * gap) for t in (-500, 500)]
        for k in range(-int(400 / gap), int(400 / gap))
    ]
    return MultiLineString(lines).intersection(area).length


@settings(max_examples=25, deadline=None)
@given(angle=st.sampled_from([0.0, 22.5, 45.0, 90.0, 112.5]), gap=st.floats(1.5, 5.0), x=st.floats(0, 60))
def test_as_much_is_hatched_as_lines_have_within_the_area(angle: float, gap: float, x: float) -> None:
    area = Point(50, 50).buffer(30.3).difference(Point(45, 52).buffer(8.7))
    hole = box(x + 0.011, 20.013, x + 25.017, 61.019)
    strokes = hatch(area, angle, gap, hole)
    drawn = float(np.hypot(*(strokes[:, 2:] - strokes[:, :2]).T).sum())
    assert drawn == pytest.approx(
        cut_by_shapely(area.difference(hole), angle, gap), abs=3.0
    )  # the shortest are left out


def test_an_area_between_two_lines_has_no_strokes() -> None:
    assert len(hatch(box(0, 3.1, 50, 3.9), 0.0, 3.0)) == 0
    assert len(hatch(Polygon(), 45.0, 3.0)) == 0


def test_points_come_to_qt_in_hundredths_of_a_mm() -> None:
    points = np.random.default_rng(3).uniform(-300, 300, (57, 2))
    whole = [tuple(p) for p in (points * 100).round().tolist()]
    assert [(p.x(), p.y()) for p in _polygon(points)] == whole
    assert [(p.x(), p.y()) for p in _polygon(points.tolist())] == whole
    lines, plain = points[:56].reshape(-1, 4), QPainterPath()
    for x1, y1, x2, y2 in (lines * 100).round().tolist():
        plain.moveTo(x1, y1)
        plain.lineTo(x2, y2)
    assert path_of_strokes(lines) == plain
    assert path_of_strokes(lines[:0]).isEmpty()
