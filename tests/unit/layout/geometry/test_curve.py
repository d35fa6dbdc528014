"""Curves against closed forms and a reference library."""

from __future__ import annotations

import math

import numpy as np
import pytest
import svgpathtools
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.geometry.curve import (
    Arc,
    Cubic,
    carry,
    carry_segment,
    chain,
    chords_of_circle,
    circle_arc,
    flatten,
    flatten_all,
    quadratic,
    ring_of,
)
from tests.support.smooth import farthest_from

NUMBERS = st.floats(-80, 80)
POINTS = st.tuples(NUMBERS, NUMBERS)


@pytest.mark.parametrize(("radius", "error", "corners"), [(25, 0.1, 36), (25, 0.05, 50), (50, 0.1, 50)])
def test_a_circle_takes_as_many_chords_as_the_sagitta_formula_says(radius, error, corners):
    # sagitta r(1 - cos(pi/n)); n = ceil(pi / acos(1 - eps/r)), recomputed from the definition
    assert math.ceil(2 * math.pi / chords_of_circle(radius, error)) == corners


def test_a_circle_flattened_has_its_sagitta_within_the_chord_error():
    ring = ring_of([circle_arc((3, 4), 25, 0, 360)], 0.05)
    middles = [((p[0] + q[0]) / 2 - 3, (p[1] + q[1]) / 2 - 4) for p, q in zip(ring, ring[1:] + ring[:1], strict=True)]
    sagittas = [25 - math.hypot(*m) for m in middles]
    assert 0.03 < max(sagittas) <= 0.05
    assert len(ring) % 4 == 0


@given(POINTS, POINTS, POINTS, POINTS, st.sampled_from([0.05, 0.02, 0.005]))
@settings(max_examples=60, deadline=None)
def test_a_cubic_stays_within_the_chord_error(p, q, r, s, error):
    # the reference is svgpathtools' own evaluation of the same control points
    true = svgpathtools.CubicBezier(*(complex(*c) for c in (p, q, r, s)))
    points = np.array([true.point(t) for t in np.linspace(0, 1, 1500)])
    chords = flatten_all([Cubic(p, q, r, s)], error)
    if len(set(chords)) > 2:
        assert farthest_from([*chords, *chords[-2:0:-1]], np.column_stack([points.real, points.imag])) <= error + 1e-9


@given(POINTS, POINTS, st.floats(0, 6), st.floats(0.1, 6.2))
@settings(max_examples=60, deadline=None)
def test_a_sheared_arc_stays_within_the_chord_error(u, v, start, sweep):
    arc = Arc((1.0, 2.0), u, v, start, sweep)
    t = np.linspace(start, start + sweep, 2000)
    true = np.column_stack([1 + u[0] * np.cos(t) + v[0] * np.sin(t), 2 + u[1] * np.cos(t) + v[1] * np.sin(t)])
    chords = flatten_all([arc], 0.02)
    if len(set(chords)) > 2:
        assert farthest_from([*chords, *chords[-2:0:-1]], true) <= 0.02 + 1e-9


def test_a_quadratic_is_the_same_curve_as_its_cubic():
    true = svgpathtools.QuadraticBezier(0, 10 + 20j, 30 + 0j)
    ours = quadratic((0, 0), (10, 20), (30, 0))
    raised = svgpathtools.CubicBezier(*(complex(*p) for p in (ours.start, ours.first, ours.second, ours.end)))
    assert max(abs(true.point(t) - raised.point(t)) for t in np.linspace(0, 1, 50)) < 1e-12


@given(st.tuples(*[st.floats(-3, 3)] * 6), st.tuples(*[st.floats(-3, 3)] * 6), POINTS)
@settings(deadline=None)
def test_chained_maps_carry_as_one_after_the_other(outer, inner, p):
    assert carry(chain(outer, inner), p) == pytest.approx(carry(outer, carry(inner, p)), abs=1e-6)


def test_a_carried_arc_is_the_carried_points_of_the_arc():
    m = (2.0, 0.5, -0.3, 1.5, 7.0, -4.0)
    arc = circle_arc((1, 1), 5, 30, 200)
    assert carry_segment(m, arc).at(1.3) == pytest.approx(carry(m, arc.at(1.3)))


def test_a_straight_segment_gains_no_points():
    arc = circle_arc((0, 0), 0.001, 0, 90)
    assert flatten(arc, 0.02) == [pytest.approx((0.0, 0.001))]
