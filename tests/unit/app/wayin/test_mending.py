"""Corners of a border: found, moved, added and taken away; names of shapes."""

import pytest
from shapely.geometry import Point, Polygon

from app.wayin.mending import added, corners_of, longest, moved, removed
from app.wayin.naming import names_for
from layout.geometry.catalogue import shape_by_name
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose

SQUARE = (*tuple((float(x), 0.0) for x in range(10)), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0))


def test_only_bends_are_corners():
    assert [SQUARE[k] for k in corners_of(SQUARE)] == [(0, 0), (10, 0), (10, 10), (0, 10)]


def test_what_lies_between_two_corners_follows_by_its_distance():
    after = moved(SQUARE, corners_of(SQUARE), 1, (10.0, -5.0))
    assert after[5] == pytest.approx((5.0, -2.5))
    assert after[0] == (0.0, 0.0)
    assert after[11:] == SQUARE[11:]


def test_a_corner_added_lies_on_the_border_and_changes_no_area():
    ring, point = added(SQUARE, (11.0, 4.0))
    assert point == (10.0, 4.0)
    assert Polygon(ring).area == Polygon(SQUARE).area
    assert ring.index(point) in corners_of(ring, {point})


def test_a_corner_taken_away_leaves_a_straight_border_and_three_must_stay():
    left = removed(SQUARE, corners_of(SQUARE), 1)
    assert Polygon(left).area == pytest.approx(50)
    assert removed(left, corners_of(left), 0) is None


def test_the_longest_measure_of_a_square_is_its_diagonal():
    (ax, ay), (bx, by) = longest(Outline(SQUARE))
    assert (ax - bx) ** 2 + (ay - by) ** 2 == pytest.approx(200)


def test_shapes_are_called_by_what_they_look_like_however_they_lie():
    disc = Outline(tuple(Point(0, 0).buffer(16.5, 32).exterior.coords[:-1]))
    oval = Pose(0, 0, 20).outline(shape_by_name("oval", 50, 30))
    blob = Outline(((0, 0), (30, 2), (22, 9), (40, 30), (9, 12)))
    names = names_for([disc, oval, disc, blob], "die", "mm")
    assert names == ["circle 33 mm", "oval 50 × 30 mm", "circle 33 mm (2)", "die 4"]
