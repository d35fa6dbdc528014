"""The drawn shapes: symmetric, one piece, smooth."""

from __future__ import annotations

import pytest
import shapely
from shapely import affinity

from layout.geometry import ornaments
from layout.geometry.outline import OutlineError


@pytest.mark.parametrize("make", [ornaments.moth, ornaments.night_flower, ornaments.fern_leaf])
def test_left_and_right_are_alike(make):
    shape = make(60).polygon
    mirrored = affinity.scale(shape, -1, 1, origin=(0, 0))
    assert shapely.hausdorff_distance(shape.boundary, mirrored.boundary) < 0.05


@pytest.mark.parametrize("petals", [3, 6, 9, 16])
def test_a_flower_turned_by_a_petal_is_itself(petals):
    shape = ornaments.night_flower(50, petals=petals).polygon
    turned = affinity.rotate(shape, 360 / petals, origin=shape.centroid)
    assert shapely.hausdorff_distance(shape.boundary, turned.boundary) < 0.08


@pytest.mark.parametrize("make", [ornaments.moth, ornaments.night_flower])
def test_a_larger_one_is_the_same_drawing_with_chords_as_true(make):
    small, large = make(60), make(180)
    scaled = affinity.scale(small.polygon, 3, 3, origin=(0, 0))
    assert shapely.hausdorff_distance(scaled.boundary, large.polygon.boundary) < 3 * 0.05


def test_numbers_that_cannot_be_drawn_are_refused():
    with pytest.raises(OutlineError, match="2 to 20 pairs"):
        ornaments.fern_leaf(30, pairs=1)
    with pytest.raises(OutlineError, match="3 to 16 petals"):
        ornaments.night_flower(30, petals=2)
