"""Strips packed end to end: known best lengths, exactness, and the same answer for the same seed."""

import numpy as np
import pytest

from layout.geometry.outline import Outline
from layout.nesting.strip import StripEffort, StripPiece, pack

TRIANGLE = StripPiece(Outline.of([(0, 0), (7, 0), (0, 7)]), (0.0, 90.0, 180.0, 270.0))
# Bouwkamp code (18,15)(7,8)(14,4)(10,1)(9): nine squares fill 33 by 32 exactly, checked by its areas and its placement
NINE = (18, 15, 14, 10, 9, 8, 7, 4, 1)


def _packed(pieces: list[StripPiece], height: float, effort: StripEffort):
    answer = pack(pieces, height, effort)
    assert answer is not None
    laid = [pose.outline(piece.outline).polygon for piece, pose in zip(pieces, answer.poses, strict=True)]
    for k, shape in enumerate(laid):
        x0, y0, x1, y1 = shape.bounds
        assert min(x0, y0, answer.length - x1, height - y1) >= -1e-9 * height
        assert all(shape.intersection(other).area <= 1e-9 * height**2 for other in laid[:k])
    return answer


def test_two_triangles_make_a_square():
    assert _packed([TRIANGLE] * 2, 7.0, StripEffort(tries=20)).length == pytest.approx(7.0, rel=0.02)


def test_squares_fill_a_strip():
    square = StripPiece(Outline.rectangle(1000.0, 1000.0))
    assert _packed([square] * 12, 3000.0, StripEffort(tries=30)).length == pytest.approx(4000.0, rel=0.01)


def test_no_strip_is_shorter_than_what_lies_in_it():
    pieces = [StripPiece(Outline.rectangle(side, side)) for side in NINE]
    answer = _packed(pieces, 32.0, StripEffort(tries=60, seed=1))
    assert 33.0 - 1e-6 <= answer.length <= 33.0 * 1.15


def test_the_same_seed_gives_the_same_strip():
    pieces = [TRIANGLE] * 6 + [StripPiece(Outline.rectangle(3, 5), (0.0, 90.0))] * 4
    one, two = (pack(pieces, 12.0, StripEffort(tries=6, seed=5)) for _ in range(2))
    assert one == two
    assert one != pack(pieces, 12.0, StripEffort(tries=6, seed=6))


def test_a_piece_too_high_for_the_strip_is_refused():
    assert pack([StripPiece(Outline.rectangle(2, 9)), TRIANGLE], 8.0, StripEffort(tries=3)) is None


def test_a_stop_is_obeyed():
    effort = StripEffort(tries=10**6, stop=np.ones(1, dtype=np.int64))
    assert pack([TRIANGLE] * 4, 7.0, effort) is None
