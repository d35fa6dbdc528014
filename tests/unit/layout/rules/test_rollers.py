"""Blade under the rollers against closed forms of integral geometry.

Circle, straight edge, turned square and the invariants are calculus: l(y) = 2/sqrt(1-(y/r)^2) for a circle,
1/|sin t| for an edge at t degrees, 4s/(s(cos t + sin t)) on average for a square of side s.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.geometry.pose import Pose
from layout.rules.rollers import Profile

SQUARE = ((-20.0, -20.0), (20.0, -20.0), (20.0, 20.0), (-20.0, 20.0))
Ring = tuple[tuple[float, float], ...]
turns = st.floats(0.0, 360.0)
bands = st.floats(0.2, 15.0)


def circle(radius: float, corners: int = 20_000) -> Ring:
    angles = [2 * math.pi * k / corners for k in range(corners)]
    return tuple((radius * math.cos(a), radius * math.sin(a)) for a in angles)


@st.composite
def polygons(draw: st.DrawFn) -> Ring:
    radii = draw(st.lists(st.floats(5.0, 60.0), min_size=3, max_size=12))
    step = 2 * math.pi / len(radii)
    return tuple((r * math.cos(k * step), r * math.sin(k * step)) for k, r in enumerate(radii))


def perimeter(ring: Ring) -> float:
    return sum(math.dist(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))


@pytest.mark.parametrize(("low", "high"), [(-25.0, -20.0), (0.0, 2.0), (10.0, 24.0)])
def test_circle_between_two_places(low: float, high: float) -> None:
    exact = 2 * 25 * (math.asin(high / 25) - math.asin(low / 25))
    assert Profile.of([circle(25.0)]).load(low, high - low)[0] == pytest.approx(exact, abs=0.02)


@pytest.mark.parametrize(("band", "peak"), [(0.5, 10.017), (1.0, 14.190), (2.0, 20.136)])
def test_peak_of_a_circle_lies_at_its_leading_edge(band: float, peak: float) -> None:
    # 2 r acos(1 - w/r) for r = 25; the circle of 20,000 corners is flat to 4 micrometres there
    found = Profile.of([circle(25.0)]).peak(band)
    assert found.length == pytest.approx(2 * 25 * math.acos(1 - band / 25), rel=2e-3)
    assert found.length == pytest.approx(peak, rel=2e-3)
    assert min(abs(found.at + 25.0), abs(found.at - (25.0 - band))) < 0.02


@pytest.mark.parametrize(("degrees", "inside"), [(0, 100.0), (2, 57.3), (5, 22.9), (10, 11.5), (45, 2.83), (90, 2.0)])
def test_straight_blade_of_100_mm_in_a_band_of_2(degrees: float, inside: float) -> None:
    # min(L, c / sin t), the geometric nip model
    line = Pose(turn=degrees).ring(((0.0, 0.0), (100.0, 0.0)))
    segment = np.array([[*line[0], *line[1]]])
    assert Profile(segment).peak(2.0).length == pytest.approx(inside, abs=0.05)


@pytest.mark.parametrize(("degrees", "mean"), [(0, 4.0), (15, 3.266), (30, 2.928), (45, 2.828)])
def test_square_turned(degrees: float, mean: float) -> None:
    ring = Pose(turn=degrees).ring(SQUARE)
    low, high = min(y for _, y in ring), max(y for _, y in ring)
    assert Profile.of([ring]).total / (high - low) == pytest.approx(mean, abs=0.001)


def test_square_on_its_corner_is_even() -> None:
    profile = Profile.of([Pose(turn=45.0).ring(SQUARE)])
    assert profile.load([-20.0, -5.0, 0.0, 12.0], 2.0) == pytest.approx([2 * 2 * math.sqrt(2)] * 4)


def test_flat_edge_comes_all_at_once() -> None:
    profile = Profile.of([SQUARE])
    assert profile.load([-20.0], 2.0)[0] == pytest.approx(40 + 2 * 2)
    assert profile.peak(2.0).length == pytest.approx(44.0)
    assert profile.peak(40.0).length == pytest.approx(160.0)


def test_nothing_has_no_peak() -> None:
    assert Profile.of([]).peak().length == 0.0
    assert list(Profile.of([]).load([0.0, 1.0])) == [0.0, 0.0]


@settings(max_examples=60, deadline=None)
@given(polygons(), turns)
def test_whole_length_is_kept_by_every_turn(ring: Ring, turn: float) -> None:
    profile = Profile.of([Pose(turn=turn).ring(ring)])
    assert profile.load(-1000.0, 2000.0)[0] == pytest.approx(perimeter(ring))
    assert profile.total == pytest.approx(perimeter(ring))


@settings(max_examples=60, deadline=None)
@given(polygons(), polygons(), bands, st.floats(-80.0, 80.0))
def test_profiles_add_up(a: Ring, b: Ring, band: float, at: float) -> None:
    both = Profile.of([a, b]).load(at, band)[0]
    assert both == pytest.approx(Profile.of([a]).load(at, band)[0] + Profile.of([b]).load(at, band)[0], abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(polygons(), bands, st.floats(-80.0, 80.0))
def test_half_a_turn_reverses_the_profile(ring: Ring, band: float, at: float) -> None:
    turned = Profile.of([Pose(turn=180.0).ring(ring)])
    assert turned.load(at, band)[0] == pytest.approx(Profile.of([ring]).load(-at - band, band)[0], abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(polygons(), bands, st.floats(-50.0, 50.0))
def test_moving_moves_the_profile(ring: Ring, band: float, by: float) -> None:
    moved = Profile.of([Pose(0.0, by).ring(ring)]).peak(band)
    assert moved.length == pytest.approx(Profile.of([ring]).peak(band).length, rel=1e-6)


@settings(max_examples=60, deadline=None)
@given(polygons(), bands, turns)
def test_no_band_holds_more_than_the_peak(ring: Ring, band: float, turn: float) -> None:
    profile = Profile.of([Pose(turn=turn).ring(ring)])
    _, loads = profile.curve(-70.0, 70.0, 0.37, band)
    peak = profile.peak(band)
    assert loads.max() <= peak.length + 1e-6
    assert profile.load(peak.at, band)[0] == pytest.approx(peak.length)


@settings(max_examples=40, deadline=None)
@given(polygons(), bands, st.floats(-60.0, 60.0))
def test_load_is_the_plain_sum_over_edges(ring: Ring, band: float, at: float) -> None:
    plain = 0.0
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        low, high = min(y1, y2), max(y1, y2)
        if high - low < 1e-9:
            plain += math.dist((x1, y1), (x2, y2)) if at <= low <= at + band else 0.0
        else:
            plain += math.dist((x1, y1), (x2, y2)) * max(0.0, min(high, at + band) - max(low, at)) / (high - low)
    assert Profile.of([ring]).load(at, band)[0] == pytest.approx(plain, abs=1e-6)
