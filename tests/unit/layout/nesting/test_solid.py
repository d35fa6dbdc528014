"""Samples and distance fields against another library's distances."""

import numpy as np
import pytest
import shapely

from layout.geometry.outline import from_polygon
from layout.nesting.solid import BLOCK, solid
from tests.support.random_projects import Dice, random_outline


def shape(seed):
    outline = from_polygon(random_outline(Dice(seed), 40))
    return outline, solid(outline, pad=3.0)


@pytest.mark.parametrize("seed", range(8))
def test_field_is_the_distance_at_its_corners(seed):
    """shapely's (GEOS) point to border distance is the outside judge; a grid corner is exact to single precision."""
    outline, made = shape(seed)
    field, rng = made.field, np.random.default_rng(seed)
    j, i = (rng.integers(n, size=200) for n in field.values.shape)
    points = shapely.points(field.x0 + i * field.step, field.y0 + j * field.step)
    away = shapely.distance(points, outline.polygon.boundary)
    signed = np.where(shapely.contains(outline.polygon, points), -away, away)
    assert np.abs(field.values[j, i] - signed).max() < 1e-4


@pytest.mark.parametrize("seed", range(8))
def test_samples_lie_on_the_border_closer_than_the_spacing(seed):
    outline, made = shape(seed)
    border, points, shares = outline.polygon.boundary, made.points[:-BLOCK], made.shares[:-BLOCK]
    assert shapely.distance(shapely.points(points), border).max() < 0.011  # corners left out stand less aside
    there = shapely.points([border.interpolate(d).coords[0] for d in np.linspace(0, border.length, 300)])
    assert shapely.distance(there, shapely.MultiPoint(points)).max() <= 1.0 + 0.011
    assert shares.sum() == pytest.approx(border.length, rel=2e-3)


@pytest.mark.parametrize("seed", range(8))
def test_the_last_samples_lie_deep_inside(seed):
    outline, made = shape(seed)
    inner = shapely.points(made.points[-BLOCK:])
    radius = shapely.maximum_inscribed_circle(outline.polygon).length
    assert shapely.contains(outline.polygon, inner).all()
    assert shapely.distance(inner, outline.polygon.boundary).min() > 0.5 * radius


@pytest.mark.parametrize("seed", range(8))
def test_circles_hold_all_they_stand_for(seed):
    _, made = shape(seed)
    x, y, reach = made.circle
    assert np.hypot(*(made.points - (x, y)).T).max() <= reach + 1e-9
    groups = made.points.reshape(-1, BLOCK, 2)
    for group, (bx, by, r) in zip(groups, made.blocks, strict=True):
        assert np.hypot(*(group - (bx, by)).T).max() <= r + 1e-9
