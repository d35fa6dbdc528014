"""Drawing a strip together: exact, short, and honest where it cannot be."""

import numpy as np
import pytest

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.nesting.compact import compact, parts_of
from layout.nesting.nofit import forms_of

SQUARE = Outline.rectangle(50, 50)
NOTCHED = Outline.of([(0, 0), (60, 0), (60, 40), (40, 40), (40, 20), (20, 20), (20, 40), (0, 40)])
PEG = Outline.rectangle(20, 20)


def _drawn(shapes: list[Outline], poses: list[tuple[float, float]], height: float = 100.0):
    told = [(s, (0.0,)) for s in shapes]
    return compact(forms_of(told, 40), parts_of(told), np.arange(len(shapes)), np.asarray(poses), height)


def test_overlapping_squares_are_parted_exactly():
    drawn = _drawn([SQUARE, SQUARE, SQUARE], [(0.0, 0.0), (0.4, 49.0), (49.5, 2.0)])
    assert drawn is not None
    places, length = drawn
    assert length == pytest.approx(100.0, abs=1e-6)
    laid = [Pose(float(x), float(y)).outline(SQUARE).polygon for x, y in places]
    assert max(laid[i].intersection(laid[j]).area for i in range(3) for j in range(i)) < 1e-6


def test_a_peg_goes_into_a_notch_of_its_own_width():
    drawn = _drawn([NOTCHED, PEG], [(0.0, 0.0), (20.3, 20.4)], 40.0)
    assert drawn is not None
    assert drawn[1] == pytest.approx(60.0, abs=1e-6)


def test_what_cannot_be_parted_within_the_height_is_refused():
    assert _drawn([SQUARE, SQUARE], [(0.0, 0.0), (0.0, 40.0)], 90.0) is None
