"""What cannot be told surely adds to a border's stated error."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from shapely.geometry import Point

from layout.formats.pictures.choosing import Seen
from layout.formats.pictures.doubt import MOST, broadest_haze, doubt, longest_passage

MM = 0.1
DISC = Point(60, 60).buffer(40, 64)
Y, X = np.mgrid[0:130, 0:130]
SURE = cv2.GaussianBlur((np.hypot(X - 60, Y - 60) < 40).astype(np.float32), (0, 0), 1.0)


def hazy(x: float, y: float, radius: float) -> np.ndarray:
    return np.where(np.hypot(X - x, Y - y) < radius, 0.5, SURE).astype(np.float32)


def test_a_border_told_surely_by_both_finders_leaves_no_doubt() -> None:
    assert doubt(Seen(DISC, 0.0, 0.03), SURE, MM) == 0.0


@pytest.mark.parametrize(("x", "y"), [(60, 60), (98, 60)])
def test_what_may_be_an_opening_or_a_part_is_doubted_by_its_size(x: float, y: float) -> None:
    assert broadest_haze(Seen(DISC, 0.0), hazy(x, y, 9), MM) == pytest.approx(0.9, abs=0.2)
    small, large = (doubt(Seen(DISC, 0.0), hazy(x, y, r), MM) for r in (6, 12))
    assert 0.5 < small < large < MOST


def test_a_border_that_fades_out_is_doubted() -> None:
    faint = cv2.GaussianBlur(SURE, (0, 0), 4.0)
    assert longest_passage(Seen(DISC, 0.0), faint, MM) > 3 * longest_passage(Seen(DISC, 0.0), SURE, MM)
    assert doubt(Seen(DISC, 0.0), faint, MM) > 0.4


def test_haze_far_from_a_thing_is_not_its_own() -> None:
    assert doubt(Seen(DISC, 0.0), hazy(122, 122, 6), MM) == 0.0


def test_doubt_grows_with_what_is_unseen_and_with_what_two_finders_differ_by() -> None:
    assert 0 < doubt(Seen(DISC, 0.02), SURE, MM) < doubt(Seen(DISC, 0.2), SURE, MM)
    assert 0 < doubt(Seen(DISC, 0.0, 0.3), SURE, MM) < doubt(Seen(DISC, 0.0, 3.0), SURE, MM)
