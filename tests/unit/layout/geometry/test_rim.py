"""Even borders and the metal about a cut line."""

from __future__ import annotations

import math

import pytest
import shapely

from layout.geometry import ornaments, shapes
from layout.geometry.catalogue import KINDS, shape_by_name
from layout.geometry.outline import OutlineError
from layout.geometry.rim import frame, metal_about, offset


def test_grown_area_is_steiners():
    # Steiner: a convex area grown by d has A + L d + pi d^2; 30 x 20, d = 1.5: 757.06858, border 109.42478
    grown = offset(shapes.rectangle(30, 20).polygon, 1.5)
    assert grown.area == pytest.approx(757.06858, abs=0.02 * grown.length)
    assert grown.length == pytest.approx(109.42478, rel=1e-3)


@pytest.mark.parametrize("make", [shapes.oval, shapes.heart, shapes.rectangle, shapes.arch, ornaments.moth])
def test_a_frame_has_an_even_border(make):
    made = frame(make(80, 60), 7)
    border, window = shapely.LinearRing(made.outer), shapely.LinearRing(made.holes[0])
    gaps = [border.distance(shapely.Point(p)) for p in made.holes[0]]
    assert gaps == pytest.approx([7] * len(gaps), abs=0.03)
    assert border.distance(window) == pytest.approx(7, abs=0.03)


def test_a_border_too_wide_is_refused():
    with pytest.raises(OutlineError, match="leaves no window"):
        frame(shapes.rectangle(30, 20), 10)
    with pytest.raises(OutlineError, match="leaves no window"):
        frame(shapes.rectangle(30, 20), 0)


def test_metal_about_a_circle_is_a_ring():
    metal = metal_about(shapes.circle(40), outside=2, inside=3)
    assert metal.area == pytest.approx(math.pi * (22**2 - 17**2), rel=0.005)


@pytest.mark.parametrize("kind", [k.name for k in KINDS])
def test_metal_carries_the_whole_blade_and_reaches_evenly_beyond_it(kind):
    cut = shape_by_name(kind, 30, None if kind == "circle" else 50)
    metal = metal_about(cut, outside=2, inside=1.5)
    assert metal.polygon.buffer(0.03).covers(cut.polygon.boundary.buffer(1.5))
    reach = [shapely.LinearRing(cut.outer).distance(shapely.Point(p)) for p in metal.outer]
    assert reach == pytest.approx([2] * len(reach), abs=0.03)


def test_an_opening_that_would_free_the_inner_metal_stays_closed():
    window = frame(shapes.rectangle(80, 60), 14)
    metal = metal_about(window)
    assert len(metal.holes) == 1
    assert metal.polygon.covers(window.polygon)


def test_a_narrow_opening_stays_metal():
    assert metal_about(shapes.rectangle(40, 5)).holes == ()
    assert len(metal_about(shapes.rectangle(40, 8)).holes) == 1
