"""Widths of shapes in every direction, and turns that go into a box."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.geometry.outline import Outline
from layout.planning.extents import extents, fitting_turns, goes_into_box, hull, least_box, longest

sides = st.floats(1.0, 100.0)


@given(sides, sides, sides, sides)
def test_a_rectangle_goes_into_a_rectangle_as_carver_says(p: float, q: float, a: float, b: float) -> None:
    """W. B. Carver, Solution to E 1225, Amer. Math. Monthly 64 (1957): the rule is quoted from memory."""
    p, q, a, b = max(p, q), min(p, q), max(a, b), min(a, b)
    straight = p <= a and q <= b
    need = (2 * p * q * a + (p * p - q * q) * math.sqrt(max(0.0, p * p + q * q - a * a))) / (p * p + q * q)
    if abs(b - need) > 1e-6 and abs(p - a) > 1e-6 and abs(q - b) > 1e-6:
        assert goes_into_box(Outline.rectangle(p, q), a, b) == (straight or (p > a and q <= b and b >= need))


@given(sides, sides, sides, sides)
def test_the_turns_are_those_that_sampling_finds(p: float, q: float, a: float, b: float) -> None:
    leaf = Outline.of([(0, 0), (p, 0.2 * q), (p, q), (0.3 * p, q * 1.1)])
    turns = np.arange(0.0, 180.0, 1.7)
    w, h = extents(hull(leaf), turns)
    inside = [any(lo - 1e-6 <= t <= hi + 1e-6 for lo, hi in fitting_turns(leaf, a, b)) for t in turns]
    clear = (np.abs(w - a) > 1e-5) & (np.abs(h - b) > 1e-5)
    assert np.array_equal(np.asarray(inside)[clear], ((w <= a) & (h <= b))[clear])


def test_the_least_box_of_a_turned_rectangle_is_its_own() -> None:
    from layout.geometry.pose import Pose

    assert least_box(Pose(3, 4, 33).outline(Outline.rectangle(30, 20))) == pytest.approx((20, 30))
    assert longest(Outline.rectangle(30, 40)) == pytest.approx(50)
