"""No-fit polygons and depths, against formulas of integral geometry and against shapely."""

import math

import numpy as np
import pytest

from layout.geometry.convex import convex_parts
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.nesting.nofit import forms_of, no_fit
from layout.nesting.slide import total

ANGLE = Outline.of([(0, 0), (30, 0), (30, 10), (10, 10), (10, 30), (0, 30)])
WEDGE = Outline.of([(0, 0), (20, 0), (5, 15)])
TURNS = (0.0, 90.0, 180.0, 270.0)


def test_rectangles_give_the_sum_of_their_sides():
    """Minkowski sum of axis-parallel rectangles: (a + c) by (b + d); from the definition."""
    shape = no_fit(convex_parts(Outline.rectangle(7, 3)), convex_parts(Outline.rectangle(2, 5)))
    assert shape.bounds == pytest.approx((-2, -5, 7, 3))
    assert shape.area == pytest.approx(9 * 8)


def test_a_rectangle_and_a_disc_follow_steiner():
    """Steiner's formula, area A + L d + pi d^2, for 30 by 20 grown by 1.5: 757.06858; a 720-gon comes near."""
    disc = Outline.of([(1.5 * math.cos(math.pi * k / 360), 1.5 * math.sin(math.pi * k / 360)) for k in range(720)])
    shape = no_fit(convex_parts(Outline.rectangle(30, 20)), convex_parts(disc))
    assert shape.area == pytest.approx(757.06858, rel=1e-5)


def _depth(forms, a: int, b: int, dx: float, dy: float) -> float:
    at, poses = np.asarray([a, b]), np.asarray([[0.0, 0.0], [dx, dy]])
    depths = np.zeros((2, 2))
    total(forms, at, poses, np.ones((2, 2)), depths, np.zeros(4))
    return float(depths[1, 0])


def test_the_depth_is_the_shortest_move_that_parts_two_squares():
    forms = forms_of([(Outline.rectangle(10, 10), (0.0,))], 80)
    assert _depth(forms, 0, 0, 7.0, 1.0) == pytest.approx(3.0, abs=0.01)
    assert _depth(forms, 0, 0, 0.5, -9.0) == pytest.approx(1.0, abs=0.01)
    assert _depth(forms, 0, 0, 10.5, 0.0) == 0.0


def _laid(form: int, x: float, y: float):
    return Pose(x, y, TURNS[form % 4]).outline((ANGLE, WEDGE)[form // 4]).polygon


def test_depths_say_what_overlaps_in_every_turn():
    """Against shapely's own overlap, for all pairs of turns and either order of the two pieces."""
    forms = forms_of([(ANGLE, TURNS), (WEDGE, TURNS)], 120)
    rng = np.random.default_rng(3)
    seen = 0
    for _ in range(600):
        a, b = int(rng.integers(8)), int(rng.integers(8))
        dx, dy = rng.uniform(-45, 45, 2)
        one, other = _laid(a, 0.0, 0.0), _laid(b, float(dx), float(dy))
        depth = _depth(forms, a, b, float(dx), float(dy))
        if one.distance(other) > 0.5:
            assert depth == 0.0
        elif one.buffer(-0.5).intersects(other.buffer(-0.5)):
            assert depth > 0.2
            seen += 1
    assert seen > 50
