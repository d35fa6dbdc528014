"""Contours: what lies in what, what it may be, and what is said about it."""

from __future__ import annotations

import math

import pytest

from layout.formats import dxf_file, svg_file
from layout.formats.contours import Chain, flatten_chain
from layout.formats.drawing_units import unit_in_mm
from layout.formats.imported import imported, question
from layout.geometry import shapes
from layout.geometry.curve import Cubic, Line, circle_arc, polyline
from layout.geometry.outline import Outline, OutlineError
from layout.geometry.pose import Pose
from layout.geometry.rim import frame, metal_about


def closed(ring) -> Chain:
    return Chain(polyline([*ring, ring[0]]), True)


def chains(*outlines: Outline) -> list[Chain]:
    return [closed(r) for o in outlines for r in (o.outer, *o.holes)]


def read(given, unit_mm=1.0):
    return imported(given, unit_mm, [], {"mm": 1.0, "in": 25.4})


def roles(got):
    return [c.role for c in got.contours]


def test_a_die_drawn_as_metal_edge_and_cut_line_is_proposed_as_body_and_cut():
    cut = shapes.star(40)
    got = read(chains(metal_about(cut).solid, cut))
    assert roles(got) == ["body", "cut"]
    assert [c.inside for c in got.contours] == [None, 0]


def test_a_lone_contour_is_a_cut_and_what_lies_in_it_a_window():
    window = frame(shapes.rectangle(90, 70), 12)
    assert roles(read(chains(window))) == ["cut", "window"]
    assert roles(read(chains(metal_about(window).solid, window))) == ["body", "cut", "window"]


def test_nested_contours_become_outlines_and_windows_turn_about():
    rings = [shapes.circle(d) for d in (100, 80, 60, 40, 20)]
    got = read(chains(*rings))
    assert [round(o.area) for o in got.outlines] == [
        round(a) for a in (rings[0].area - rings[1].area, rings[2].area - rings[3].area, rings[4].area)
    ]


def test_contours_drawn_twice_count_once():
    square = shapes.rectangle(20, 20)
    got = read([*chains(square), closed(square.outer[2:] + square.outer[:2]), closed(square.outer[::-1])])
    assert len(got.outlines) == 1
    assert any("drawn twice" in f for f in got.findings)


def test_contours_that_cross_each_other_are_kept_and_mentioned():
    a, b = shapes.rectangle(20, 20), Pose(10, 5).outline(shapes.rectangle(20, 20))
    got = read(chains(a, b))
    assert len(got.outlines) == 2
    assert any("cross each other" in f for f in got.findings)


def test_a_contour_that_crosses_itself_is_left_out_with_its_place():
    got = read([closed([(0, 0), (20, 20), (20, 0), (0, 20)]), *chains(Pose(50, 0).outline(shapes.circle(10)))])
    assert len(got.outlines) == 1
    assert any("at (0.00, 0.00) was left out" in f for f in got.findings)


def test_a_contour_with_a_spike_of_no_area_is_mended_and_that_is_said():
    got = read([closed([(0, 0), (20, 0), (20, 10), (30, 10), (20, 10), (20, 20), (0, 20)])])
    assert got.outlines[0].area == pytest.approx(400)
    assert any("parted there" in f for f in got.findings)


def test_a_contour_sharing_a_side_with_the_one_about_it_is_a_shape_of_its_own():
    got = read([closed([(0, 0), (10, 0), (10, 10), (0, 10)]), closed([(0, 0), (5, 0), (5, 5)])])
    assert [o.area for o in got.outlines] == pytest.approx([100, 12.5])
    assert any("share a side" in f for f in got.findings)


def test_a_window_drawn_as_a_keyhole_becomes_a_window():
    ring = [(0, 10), (0, 0), (20, 0), (20, 20), (0, 20), (0, 10), (5, 10), (5, 15), (15, 15), (15, 5), (5, 5), (5, 10)]
    got = read([closed(ring)])
    assert (got.outlines[0].area, len(got.outlines[0].holes)) == (300, 1)


@pytest.mark.parametrize("at", [10, 0])
def test_sides_drawn_twice_do_not_part_the_pieces_they_belong_to(at):
    def sides(x):
        ring = [(x, 0), (x + 10, 0), (x + 10, 10), (x, 10)]
        return [Chain((Line(p, q),), False) for p, q in zip(ring, ring[1:] + ring[:1], strict=True)]

    got = read([*sides(0), *sides(at)])
    assert [o.area for o in got.outlines] == [100, 100][: 1 + (at > 0)]


def test_a_drawing_of_nothing_is_refused():
    with pytest.raises(OutlineError, match="no outline is drawn"):
        read([])
    with pytest.raises(OutlineError, match="no outline is drawn"):
        read([Chain((Line((0, 0), (math.inf, 1)),), False)])


def test_without_a_unit_small_gaps_are_measured_against_the_drawing():
    corners = [(0, 0), (1, 0), (1, 1), (0, 1)]
    sides = [
        Chain((Line(p, (q[0], q[1] + 0.0003)),), False) for p, q in zip(corners, corners[1:] + corners[:1], strict=True)
    ]
    got = read(sides, None)
    assert got.outlines[0].area == pytest.approx(1, abs=0.002)
    assert "mm: 1.0 × 1.0 mm; in: 25.4 × 25.4 mm" in question(got)


@pytest.mark.parametrize("diameter", [1, 3, 10, 50, 200])
def test_small_circles_keep_their_area_too(diameter):
    ring = flatten_chain(Chain((circle_arc((0, 0), diameter / 2, 0, 360),), True))
    n = len(ring) - 1
    share = n / (2 * math.pi) * math.sin(2 * math.pi / n)  # of a regular n-gon in its circle
    assert 1 - share < 1e-3
    assert n < 200


def test_a_drop_drawn_by_one_curve_is_flattened_though_its_ends_meet():
    drop = Chain((Cubic((0, 0), (30, 40), (-30, 40), (0, 0)),), True)
    # Green's theorem on the cubic: area = |integral x dy - y dx| / 2 = 3/20 of |p1 x p2| for ends at the origin
    assert read([drop]).outlines[0].area == pytest.approx(3 / 20 * (30 * 40 + 30 * 40), rel=1e-3)


@pytest.mark.parametrize(
    ("name", "mm"),
    [("mm", 1), ("IN", 25.4), ("cm", 10), ("pt", 25.4 / 72), ("96/in", 25.4 / 96), ("90 per inch", 25.4 / 90)],
)
def test_units_by_name(name, mm):
    assert unit_in_mm(name) == pytest.approx(mm)


@pytest.mark.parametrize("guesses", [svg_file.GUESSES, dxf_file.GUESSES])
def test_every_unit_that_is_offered_can_be_named(guesses):
    assert all(unit_in_mm(name) == pytest.approx(mm) for name, mm in guesses.items())


@pytest.mark.parametrize("name", ["", "ell", "0/in", "-3/in"])
def test_units_there_are_not(name):
    with pytest.raises(ValueError, match="no unit is called"):
        unit_in_mm(name)
