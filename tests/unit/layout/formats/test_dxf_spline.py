"""Splines with plain knots all through, as closed ones are written, against the uniform cubic basis in closed form."""

from __future__ import annotations

import io

import ezdxf
import numpy as np
import pytest
from ezdxf.math import BSpline, closed_uniform_bspline, rational_bspline_from_arc
from shapely.geometry import Polygon

from layout.formats.dxf_file import parse_dxf
from layout.formats.dxf_spline import clamped

POINTS = np.array([(0, 0), (20, -10), (40, 5), (45, 30), (20, 40), (-5, 25)], float)
# the uniform cubic B-spline's basis (de Boor, 'A Practical Guide to Splines'; any textbook's matrix form)
BASIS = np.array([(1, 4, 1, 0), (-3, 0, 3, 0), (3, -6, 3, 0), (-1, 3, -3, 1)]) / 6


def closed_curve(points, weights=None, steps=400):
    weights = np.ones(len(points)) if weights is None else np.asarray(weights, float)
    lifted = np.column_stack([points * weights[:, None], weights])
    t = np.linspace(0, 1, steps, endpoint=False)
    powers = np.stack([t**0, t, t**2, t**3], axis=1) @ BASIS
    pieces = [powers @ lifted[[k % len(points) for k in range(n, n + 4)]] for n in range(len(points))]
    curve = np.concatenate(pieces)
    return Polygon(curve[:, :2] / curve[:, 2:])


def read(spline, **flags):
    document = ezdxf.new("R2010", units=4)
    entity = document.modelspace().add_spline()
    entity.apply_construction_tool(spline)
    for name, value in flags.items():
        setattr(entity, name, value)
    text = io.StringIO()
    document.write(text)
    return parse_dxf(text.getvalue().encode(), "spline.dxf")


@pytest.mark.parametrize("weights", [None, [1, 2, 1, 3, 1, 2]])
def test_a_periodic_spline_is_the_closed_curve_and_not_what_lies_beyond_its_ends(weights):
    got = read(closed_uniform_bspline([tuple(p) for p in POINTS], order=4, weights=weights), closed=True)
    true = closed_curve(POINTS, weights)
    assert len(got.outlines) == 1, got.findings
    assert got.outlines[0].area == pytest.approx(true.area, rel=1e-3)
    assert got.outlines[0].bounds == pytest.approx(true.bounds, abs=0.02)
    assert got.outlines[0].polygon.hausdorff_distance(true) < 0.05


def test_knots_that_begin_elsewhere_than_at_nought_change_nothing():
    control = [(0, 0), (0, 30), (40, 30), (40, 0), (0, 0)]
    one = read(BSpline(control, 4, [0, 0, 0, 0, 1, 2, 2, 2, 2]))
    other = read(BSpline(control, 4, [7, 7, 7, 7, 8, 9, 9, 9, 9]))
    assert one.outlines[0].area == pytest.approx(other.outlines[0].area, rel=1e-9)
    assert one.outlines[0].bounds == pytest.approx(other.outlines[0].bounds)


def test_a_clamped_spline_runs_as_before():
    arc = rational_bspline_from_arc((3, 4), 20, 0, 250)
    for t in (0.1, 0.5, 0.9):
        assert clamped(arc).point(t).distance(arc.point(t)) < 1e-9


def test_a_spline_given_by_fit_points_and_closed_by_its_flag_ends_where_it_began():
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_spline(fit_points=[(*p, 0) for p in POINTS]).closed = True
    text = io.StringIO()
    document.write(text)
    got = parse_dxf(text.getvalue().encode(), "fit.dxf")
    assert len(got.outlines) == 1, got.findings
    border = got.outlines[0].polygon.exterior
    assert max(Polygon(POINTS).exterior.distance(border), *(border.distance(p) for p in _points())) < 0.02


def _points():
    from shapely.geometry import Point

    return [Point(*p) for p in POINTS]
