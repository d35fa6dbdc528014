"""Dual feasible functions: what adds up to one at most keeps doing so."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.planning.dual_feasible import best_total, shares, steps, threshold


@st.composite
def things_in_a_room(draw: st.DrawFn) -> list[float]:
    """Rational sizes that add up to at most one."""
    room = draw(st.integers(2, 60))
    parts, left = [], room
    while left and len(parts) < 12:
        parts.append(draw(st.integers(1, left)))
        left -= parts[-1]
    return [float(Fraction(p, room)) for p in parts]


@given(things_in_a_room(), st.integers(1, 12), st.integers(2, 40))
def test_images_fit_where_the_things_fitted(sizes: list[float], k: int, n: int) -> None:
    # Fekete and Schepers, Math. Programming 91 (2001): u_k, U_e and phi_e are dual feasible
    for scale in (steps(k), threshold(1.0 / n), shares(1.0 / n)):
        assert sum(scale(s) for s in sizes) <= 1.0 + 1e-9


@given(things_in_a_room(), things_in_a_room(), things_in_a_room())
def test_no_more_rooms_are_asked_for_than_were_filled(a: list[float], b: list[float], c: list[float]) -> None:
    assert math.ceil(best_total(a + b + c, [1] * len(a + b + c)) - 1e-6) <= 3


def test_martello_and_toth_examples() -> None:
    # Knapsack Problems (1990), the bound L2, quoted from memory; optimum 4 in both
    sizes = [w / 100 for w in (70, 60, 50, 33, 33, 33, 11, 7, 3)]
    assert math.ceil(sum(sizes) - 1e-6) == 3
    assert math.ceil(best_total(sizes, [1] * 9) - 1e-6) == 4
    assert math.ceil(best_total([0.51] * 4, [1] * 4) - 1e-6) == 4


def test_values_of_the_definitions() -> None:
    assert [steps(2)(x) for x in (0.3, 1 / 3, 0.4, 0.7)] == [0.0, pytest.approx(1 / 3), 0.5, 1.0]
    assert [threshold(0.25)(x) for x in (0.2, 0.25, 0.75, 0.8)] == [0.0, 0.25, 0.75, 1.0]
    assert [shares(0.25)(x) for x in (0.2, 0.25, 0.5, 0.6, 0.8)] == [0.0, 0.25, 0.25, 0.75, 1.0]
