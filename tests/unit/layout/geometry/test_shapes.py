"""Shapes by size against closed forms (from the definitions of the figures, recomputed here)."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from layout.geometry import shapes
from layout.geometry.outline import OutlineError
from tests.support.smooth import farthest_from

ERROR = 0.05


def area_between(outline, true_area):
    """Chords inside a curve lose at most chord error times border, and never more."""
    return abs(outline.area - true_area) <= ERROR * outline.border_length and abs(outline.area / true_area - 1) < 0.01


def size(outline):
    x0, y0, x1, y1 = outline.bounds
    assert (x0 + x1, y0 + y1) == pytest.approx((0, 0), abs=1e-9)
    return x1 - x0, y1 - y0


@pytest.mark.parametrize("diameter", [2, 12.7, 50, 150])
def test_circle(diameter):
    made = shapes.circle(diameter)
    radii = [math.hypot(*p) for p in made.outer]
    assert radii == pytest.approx([diameter / 2] * len(radii))
    assert size(made) == pytest.approx((diameter, diameter))
    n = len(made.outer)  # area and border of the regular n-gon in the circle, and of the circle itself
    assert made.area == pytest.approx(n / 2 * (diameter / 2) ** 2 * math.sin(2 * math.pi / n))
    assert diameter / 2 * (1 - math.cos(math.pi / n)) <= ERROR
    assert made.border_length == pytest.approx(math.pi * diameter, rel=0.02)


@pytest.mark.parametrize(("width", "height"), [(40, 25), (25, 40), (140, 12), (6, 5)])
def test_oval(width, height):
    made = shapes.oval(width, height)
    assert size(made) == pytest.approx((width, height))
    assert area_between(made, math.pi * width * height / 4)
    t = np.linspace(0, 2 * math.pi, 5000)  # the border by its definition: the integral of the speed
    border = np.trapezoid(np.hypot(width / 2 * np.sin(t), height / 2 * np.cos(t)), t)
    assert made.border_length == pytest.approx(border, rel=0.005)
    assert farthest_from(made.outer, np.column_stack([width / 2 * np.cos(t), height / 2 * np.sin(t)])) <= ERROR


def test_rectangle_and_rounded_rectangle():
    assert shapes.rectangle(57.15, 38.1).area == pytest.approx(57.15 * 38.1)
    made = shapes.rounded_rectangle(60, 40, 8)
    assert size(made) == pytest.approx((60, 40))
    assert area_between(made, 60 * 40 - (4 - math.pi) * 64)
    # every point of the border is 8 mm from the rectangle that lies 8 mm inside
    assert [shapely.box(-22, -12, 22, 12).distance(shapely.Point(p)) for p in made.outer] == pytest.approx(
        [8] * len(made.outer)
    )
    assert size(shapes.rounded_rectangle(60, 40, 20)) == pytest.approx((60, 40))


@pytest.mark.parametrize("corners", [3, 4, 5, 6, 8, 11])
def test_regular_polygon(corners):
    made = shapes.polygon(34, corners=corners)
    sides = [math.dist(p, q) for p, q in zip(made.outer, made.outer[1:] + made.outer[:1], strict=True)]
    assert sides == pytest.approx([sides[0]] * corners)
    # area of a regular polygon by its side: n s^2 / (4 tan(pi / n))
    assert made.area == pytest.approx(corners * sides[0] ** 2 / (4 * math.tan(math.pi / corners)))
    assert sum(p[1] == pytest.approx(made.bounds[1]) for p in made.outer) == 2


def test_five_point_star_has_straight_edges():
    made = shapes.star(38)
    assert size(made)[0] == pytest.approx(38)
    tip, inner, _, inner2, tip2 = made.outer[2], made.outer[1], made.outer[0], made.outer[9], made.outer[8]
    line = shapely.LineString([tip, tip2])
    assert line.distance(shapely.Point(inner)) < 1e-9
    assert line.distance(shapely.Point(inner2)) < 1e-9
    # area of the pentagram outline: 10 R r sin(36 deg) / 2 with r/R = golden ratio^-2, R = width / (2 sin 72 deg)
    outer = 38 / (2 * math.sin(math.radians(72)))
    assert made.area == pytest.approx(5 * outer**2 * ((3 - math.sqrt(5)) / 2) * math.sin(math.radians(36)))


def test_heart_is_a_square_and_two_half_circles():
    made = shapes.heart(36)
    # width = side/sqrt2 + diameter..: centres are side/sqrt2 apart, radius side/2
    side = 36 / (1 / math.sqrt(2) + 1)
    assert area_between(made, side**2 + math.pi * side**2 / 4)
    assert size(made)[0] == pytest.approx(36)
    assert size(made)[1] == pytest.approx(side / math.sqrt(2) * 1.5 + side / 2, abs=0.02)


@pytest.mark.parametrize("scallops", [5, 12, 20])
def test_scallops_are_half_circles_on_a_polygon(scallops):
    made = shapes.scalloped(60, scallops=scallops)
    # scaled so that the width is 60: compare the shape's own ratio of area to border squared, both closed forms
    half = math.pi / scallops
    area = scallops * (math.sin(half) * math.cos(half) + math.pi * math.sin(half) ** 2 / 2)
    border = scallops * math.pi * math.sin(half)
    assert made.area / made.border_length**2 == pytest.approx(area / border**2, rel=0.01)
    assert size(made)[0] == pytest.approx(60)


def test_label_tag_banner_arch():
    label = shapes.label(57.15, 38.1, corner=6)
    assert size(label) == pytest.approx((57.15, 38.1))
    assert area_between(label, 57.15 * 38.1 - math.pi * 36)
    tag = shapes.tag(30, 60, clip=8, hole=5)
    assert size(tag) == pytest.approx((30, 60))
    assert area_between(tag, 30 * 60 - 64 - math.pi * 6.25)
    assert shapes.tag(30, 60, hole=0).holes == ()
    assert shapes.banner(60, 24, notch=10).area == pytest.approx(60 * 24 - 120)
    assert shapes.banner(60, 24, notch=10, ends=2).area == pytest.approx(60 * 24 - 240)
    arch = shapes.arch(40, 60)
    assert size(arch) == pytest.approx((40, 60))
    assert area_between(arch, 40 * 40 + math.pi * 200)
    assert area_between(shapes.arch(60, 20), math.pi * 30 * 20 / 2)


def test_leaf_is_a_lens():
    made = shapes.leaf(20, 50)
    assert size(made) == pytest.approx((20, 50))
    radius = (50**2 + 20**2) / (4 * 20)
    angle = 2 * math.asin(50 / 2 / radius)  # two circular segments: r^2 (a - sin a) / 2 each
    assert area_between(made, radius**2 * (angle - math.sin(angle)))


def test_crescent_is_a_circle_bitten_by_a_circle():
    made = shapes.crescent(30, 40, thickness=12)
    assert size(made) == pytest.approx((30, 40))
    horn = math.acos(30 / 20 - 1)
    h, x = 20 * math.sin(horn), 20 * math.cos(horn)
    outer = shapely.Point(0, 0).buffer(20, quad_segs=400)
    middle = ((-8) ** 2 - 400) / (2 * (-8 - x))  # the biting circle through (-8, 0) and both horns
    bite = shapely.Point(middle, 0).buffer(math.hypot(x - middle, h), quad_segs=400)
    assert area_between(made, outer.difference(bite).area)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: shapes.circle(0), "no size"),
        (lambda: shapes.oval(math.nan, 3), "no size"),
        (lambda: shapes.rounded_rectangle(20, 10, 6), "corner radius"),
        (lambda: shapes.polygon(20, corners=2), "at least 3 corners"),
        (lambda: shapes.star(20, points=2), "at least 3 points"),
        (lambda: shapes.star(20, depth=1.2), "depth"),
        (lambda: shapes.scalloped(20, scallops=2), "at least 3 scallops"),
        (lambda: shapes.label(20, 10, corner=5), "corner radius"),
        (lambda: shapes.tag(20, 40, clip=11), "clipped corner"),
        (lambda: shapes.leaf(30, 20), "turn it"),
        (lambda: shapes.banner(20, 10, notch=20), "notch"),
        (lambda: shapes.banner(20, 10, ends=3), "one notched end"),
        (lambda: shapes.crescent(41, 40), "width of the crescent"),
        (lambda: shapes.crescent(30, 40, thickness=31), "thickness"),
    ],
)
def test_sizes_that_no_such_shape_has_are_refused_in_words(make, words):
    with pytest.raises(OutlineError, match=words):
        make()
