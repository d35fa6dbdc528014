"""Of two finders' borders the one with edges under it and metal within is taken, die by die."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from shapely.geometry import Point

from layout.formats.pictures.choosing import FARTHEST, Seen, chosen, support

DISC = Point(60, 60).buffer(30, 64)
Y, X = np.mgrid[0:120, 0:120]
SURE = (np.hypot(X - 60, Y - 60) < 30).astype(np.float32)


def test_a_true_border_is_supported_and_one_off_it_less() -> None:
    assert support(DISC, SURE, 0.1) > 0.9
    assert support(Point(60, 60).buffer(45, 64), SURE, 0.1) < 0.1


@pytest.mark.parametrize("turned", [False, True])
def test_the_better_border_is_taken_whoever_found_it(turned: bool) -> None:
    good, bad = Seen(DISC, 0.01), Seen(Point(60, 60).buffer(36, 64), 0.2)
    first, second = ([bad], [good]) if turned else ([good], [bad])
    (taken,) = chosen(first, second, SURE, 0.1)
    assert taken.shape.equals(DISC)
    assert taken.apart == pytest.approx(0.6, abs=0.05)


def test_an_edge_all_along_is_believed_over_a_border_with_gaps_in_it() -> None:
    soft = cv2.GaussianBlur(SURE, (0, 0), 2.0)
    edged, vague = Seen(Point(60, 60).buffer(31, 64), 0.0), Seen(DISC, 0.02)
    assert support(edged.shape, soft, 0.1) < support(DISC, soft, 0.1)
    (taken,) = chosen([edged], [vague], soft, 0.1)
    assert taken.shape.equals(edged.shape)


def test_pieces_give_way_to_the_whole_and_are_doubted() -> None:
    pieces = [Seen(Point(x, 60).buffer(12, 32), 0.3) for x in (45, 75)]
    (taken,) = chosen(pieces, [Seen(DISC, 0.02)], SURE, 0.1)
    assert taken.shape.equals(DISC)
    assert taken.apart == FARTHEST


def test_what_one_finder_saw_where_no_metal_is_sure_is_dirt() -> None:
    assert chosen([Seen(Point(15, 15).buffer(9), 0.0)], [], SURE, 0.1) == []
