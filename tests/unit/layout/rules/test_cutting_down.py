import pytest
from shapely.geometry import box

from layout.model.parting import cut_apart
from layout.model.plan import StraightCut


def test_left_keeps_the_number_and_right_becomes_the_next():
    up = StraightCut(0, ((30.0, 0.0), (30.0, 1.0)))
    forward = StraightCut(1, ((0.0, 60.0), (1.0, 60.0)))
    left, upper_right, lower_right = cut_apart(box(0, 0, 100, 100), [up, forward])
    assert left.equals(box(0, 0, 30, 100))
    assert upper_right.equals(box(30, 60, 100, 100))
    assert lower_right.equals(box(30, 0, 100, 60))


def test_a_cut_that_misses_leaves_one_side_empty():
    left, right = cut_apart(box(0, 0, 10, 10), [StraightCut(0, ((-5.0, 0.0), (-5.0, 1.0)))])
    assert left.is_empty
    assert right.area == pytest.approx(100)


def test_what_is_empty_can_be_cut_again():
    beside = ((-5.0, 0.0), (-5.0, 1.0))
    parts = cut_apart(box(0, 0, 10, 10), [StraightCut(0, beside), StraightCut(0, beside)])
    assert [part.area for part in parts] == [0.0, 100.0, 0.0]
