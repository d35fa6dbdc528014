"""The quick look at rings against shapely: what it calls plainly simple is valid, and it knows ordinary outlines."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from layout.geometry.simple import plainly_simple

corner = st.tuples(st.integers(0, 6), st.integers(0, 6)).map(lambda p: (float(p[0]), float(p[1])))
loose = st.tuples(st.floats(0, 9), st.floats(0, 9))


def circle(n, r=10.0, x=0.0, y=0.0):
    return [(x + r * math.cos(2 * math.pi * k / n), y + r * math.sin(2 * math.pi * k / n)) for k in range(n)]


@settings(max_examples=600, deadline=None)
@given(st.lists(st.one_of(corner, loose), min_size=3, max_size=9))
def test_what_is_plainly_simple_is_valid(ring):
    if plainly_simple(ring, ()):
        assert Polygon(ring).is_valid
        assert Polygon(ring).area > 0


@settings(max_examples=400, deadline=None)
@given(
    st.lists(corner, min_size=3, max_size=5),
    st.lists(corner, min_size=3, max_size=5),
    st.lists(corner, min_size=3, max_size=4),
)
def test_holes_that_pass_are_valid(outer, first, second):
    big = [(6 * x - 15, 6 * y - 15) for x, y in outer]
    moved = [(x + 5, y) for x, y in second]
    if plainly_simple(big, (first, moved)):
        assert Polygon(big, (first, moved)).is_valid


@pytest.mark.parametrize("n", [3, 4, 7, 64, 300])
def test_ordinary_outlines_need_no_second_look(n):
    hole = circle(n, 4.0)
    assert plainly_simple(circle(n), ())
    assert plainly_simple(circle(n, 20.0), (circle(n, 3.0, 6.0), circle(n, 3.0, -6.0)))
    assert plainly_simple(circle(n, 20.0), (hole[::-1],))


@pytest.mark.parametrize(
    ("outer", "holes"),
    [
        ([(0, 0), (2, 2), (2, 0), (0, 2)], ()),  # crosses itself
        ([circle(5)[k * 2 % 5] for k in range(5)], ()),  # goes twice round its middle
        ([circle(7)[-k * 3 % 7] for k in range(7)], ()),  # thrice, the other way
        ([(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)], ()),  # touches itself
        ([(0, 0), (4, 0), (2, 0)], ()),  # encloses nothing
        ([(0, 0), (4, 0), (4, 4), (4, 2), (4, 5), (0, 4)], ()),  # folds back
        (circle(40), (circle(12, 3.0, 30.0),)),  # an opening outside
        (circle(40), (circle(12, 3.0, 9.0),)),  # an opening across the border
        (circle(40), (circle(12, 6.0), circle(12, 3.0))),  # an opening in an opening
        (circle(12, 3.0), (circle(40),)),  # an opening round the border
    ],
)
def test_bad_outlines_are_never_plainly_simple(outer, holes):
    assert not plainly_simple(outer, holes)
