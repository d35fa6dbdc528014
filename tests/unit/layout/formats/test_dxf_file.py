"""DXF in: drawings made by ezdxf whose areas are known from closed forms."""

from __future__ import annotations

import io
import math
import time
from random import Random

import ezdxf
import pytest
from ezdxf import colors

from layout.formats.dxf_file import parse_dxf, read_dxf
from layout.formats.imported import MOST_MEGABYTES
from layout.formats.svg_file import read_svg
from layout.model.errors import FileError

PIECE = [(0.0, 0.0), (13.123456789012345, 0.1), (20.7, 7.3333333333), (11.0, 19.999), (3.25, 15.0), (3.25, 9.5)]


def drawing(draw, version="R2000", insunits=4):
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = insunits
    draw(document.modelspace())
    return as_bytes(document)


def as_bytes(document):
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def read(draw, **more):
    unit = more.pop("unit_mm", None)
    return parse_dxf(drawing(draw, **more), "drawing.dxf", unit)


def only(got):
    assert len(got.outlines) == 1, got.findings
    return got.outlines[0]


def ellipse_and_lines(space):
    space.add_ellipse((0, 0), major_axis=(30, 0), ratio=0.5, start_param=0, end_param=math.pi)
    space.add_line((-30, 0), (30, 0))


def hatch_of_edges(space):
    edges = space.add_hatch().paths.add_edge_path()
    edges.add_line((0, 0), (20, 0))
    edges.add_arc((20, 10), radius=10, start_angle=-90, end_angle=90)
    edges.add_line((20, 20), (0, 20))
    edges.add_line((0, 20), (0, 0))


def inserted_twice(space):
    block = space.doc.blocks.new("PIECE")
    block.add_lwpolyline([(0, 0), (10, 0), (10, 5), (0, 5)], close=True)
    outer = space.doc.blocks.new("PAIR")
    outer.add_blockref("PIECE", (0, 0))
    outer.add_blockref("PIECE", (40, 0), dxfattribs={"xscale": 2, "yscale": -3, "rotation": 90})
    space.add_blockref("PAIR", (100, 100))


SQUARES = [(0, 0, 1.0), (10, 0, 0), (10, 10, 0), (0, 10, 0)]
DRAWINGS = [
    (lambda s: s.add_circle((5, 5), 25), math.pi * 625, (-20, -20, 30, 30)),
    (lambda s: s.add_circle((5, 5), 2), math.pi * 4, (3, 3, 7, 7)),
    (lambda s: s.add_ellipse((0, 0), major_axis=(40, 0), ratio=0.25), math.pi * 400, (-40, -10, 40, 10)),
    (ellipse_and_lines, math.pi * 225, (-30, 0, 30, 15)),
    # bulge = tan(included angle / 4): 1 makes half a circle, to the right of the way for a counter-clockwise ring
    (lambda s: s.add_lwpolyline(SQUARES, format="xyb", close=True), 100 + math.pi * 12.5, (0, -5, 10, 10)),
    (lambda s: s.add_polyline2d(SQUARES, format="xyb", close=True), 100 + math.pi * 12.5, (0, -5, 10, 10)),
    (lambda s: s.add_lwpolyline([(0, 0), (30, 0), (30, 20), (0, 20)], close=True), 600, (0, 0, 30, 20)),
    (lambda s: s.add_lwpolyline([(0, 0), (30, 0), (30, 20), (0, 20), (0, 0)]), 600, (0, 0, 30, 20)),
    (lambda s: s.add_polyline3d([(0, 0, 5), (30, 0, 5), (30, 20, 5), (0, 20, 5)], close=True), 600, (0, 0, 30, 20)),
    (hatch_of_edges, 400 + math.pi * 50, (0, 0, 30, 20)),
    (lambda s: s.add_solid([(0, 0), (30, 0), (0, 20), (30, 20)]), 600, (0, 0, 30, 20)),
]


@pytest.mark.parametrize(("draw", "area", "bounds"), DRAWINGS)
def test_areas_and_sizes_are_those_drawn(draw, area, bounds):
    made = only(read(draw))
    assert made.area == pytest.approx(area, rel=1e-3)
    assert made.bounds == pytest.approx(bounds, abs=0.02)


def test_an_arc_drawn_clockwise_and_mirrored_closes_with_its_chord():
    def draw(space):
        space.add_arc((0, 0), 20, 0, 90, dxfattribs={"extrusion": (0, 0, -1)})
        space.add_lwpolyline([(-20, 0), (0, 0), (0, 20)])

    assert only(read(draw)).area == pytest.approx(math.pi * 100, rel=1e-3)


@pytest.mark.parametrize("degree", [2, 3, 5])
def test_a_spline_is_as_fine_as_ezdxfs_own_finest(degree):
    points = [(0, 0), (20, -10), (40, 5), (45, 30), (20, 40), (-5, 25)]

    def draw(space):
        space.add_open_spline([*points, points[0]], degree=degree)

    document = ezdxf.new()
    draw(document.modelspace())
    spline = document.modelspace()[0]
    true = [(p.x, p.y) for p in spline.construction_tool().flattening(1e-4, segments=32)]
    area = abs(sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(true, true[1:] + true[:1], strict=True))) / 2
    assert only(read(draw)).area == pytest.approx(area, rel=1e-3)


def test_inserted_blocks_are_unfolded_with_their_turns_and_scales():
    got = read(inserted_twice)
    assert sorted(o.area for o in got.outlines) == pytest.approx([50, 300])
    large = max(got.outlines, key=lambda o: o.area)
    assert large.bounds == pytest.approx((140, 100, 155, 120))


@pytest.mark.parametrize("version", ["R12", "R2000", "R2010", "R2018"])
@pytest.mark.parametrize("how", ["lwpolyline", "polyline", "lines", "lines-shuffled"])
def test_straight_corners_come_out_exactly(version, how):
    def draw(space):
        if how == "polyline" or (version == "R12" and how == "lwpolyline"):
            space.add_polyline2d(PIECE, close=True)
        elif how == "lwpolyline":
            space.add_lwpolyline(PIECE, close=True)
        else:
            sides = list(zip(PIECE, PIECE[1:] + PIECE[:1], strict=True))
            for k in range(6) if how == "lines" else (3, 0, 5, 1, 4, 2):
                space.add_line(*(sides[k] if k % 2 else sides[k][::-1]))

    made = only(read(draw, version=version))
    assert set(made.outer) == set(PIECE)
    at = made.outer.index(PIECE[0])
    turned = made.outer[at:] + made.outer[:at]
    assert list(turned) in (PIECE, [PIECE[0], *PIECE[:0:-1]])


@pytest.mark.parametrize(
    ("insunits", "mm"),
    [(1, 25.4), (2, 304.8), (4, 1), (5, 10), (6, 1000), (8, 25.4e-6), (9, 0.0254), (13, 1e-3), (14, 100)],
)
def test_units_of_the_header(insunits, mm):
    # numbers by the published system-variable table of $INSUNITS
    side = 50 / mm
    got = read(lambda s: s.add_lwpolyline([(0, 0), (side, 0), (side, side), (0, side)], close=True), insunits=insunits)
    assert got.unit_mm == pytest.approx(mm)
    assert only(got).area == pytest.approx(2500)


@pytest.mark.parametrize("version", ["R12", "R2000"])
def test_without_a_unit_it_is_asked_for_with_likely_sizes(version):
    def draw(space):
        space.add_polyline2d([(0, 0), (2.25, 0), (2.25, 1.5), (0, 1.5)], close=True)

    got = read(draw, version=version, insunits=0)
    assert got.unit_mm is None
    assert {s.unit: (s.width, s.height) for s in got.likely}["in"] == pytest.approx((57.15, 38.1))
    assert only(got).outer == ((0, 0), (2.25, 0), (2.25, 1.5), (0, 1.5))
    assert only(read(draw, version=version, insunits=0, unit_mm=25.4)).area == pytest.approx(57.15 * 38.1)


def test_nearly_closed_lines_are_closed_and_open_ones_reported():
    def draw(space):
        space.add_lwpolyline([(0, 0), (30, 0), (30, 20), (0, 20), (0, 0.08)])
        space.add_line((50, 0), (80, 0))
        space.add_line((80.05, 0), (80, 20))
        space.add_arc((65, 20), 15, 0, 180)
        space.add_line((50, 20.07), (50, 0))
        space.add_lwpolyline([(100, 0), (130, 0), (130, 20), (100, 20)])

    got = read(draw)
    assert sorted(o.area for o in got.outlines) == pytest.approx([600, 600 + math.pi * 112.5], rel=2e-3)
    assert len(got.open_lines) == 1
    assert any("nearly closed" in f for f in got.findings)
    assert any("2 gaps" in f and "up to 0.1 mm" in f for f in got.findings)
    assert any("(100.00, 0.00)" in f and "stays open" in f and "20 mm apart" in f for f in got.findings)


def test_hidden_layers_and_what_is_no_outline_are_said_to_be_left_out():
    def draw(space):
        layer = space.doc.layers.add("away")
        layer.off()
        space.doc.layers.add("ice").freeze()
        for name in ("away", "ice", "0"):
            space.add_circle((0, 0), 10, dxfattribs={"layer": name})
        space.add_text("night garden")
        space.add_ray((0, 0), (1, 0))

    got = read(draw)
    assert len(got.outlines) == 1
    assert got.findings == ("hidden things left out: 2", "text left out: 1", "things of kind RAY left out: 1")


def test_a_border_and_the_hatch_that_fills_it_are_one():
    def draw(space):
        space.add_circle((50, 50), 20)
        edges = space.add_hatch().paths.add_edge_path()
        edges.add_arc((50, 50), radius=20, start_angle=17, end_angle=377)
        space.add_circle((50, 50), 19.8)

    got = read(draw)
    assert only(got).area == pytest.approx(math.pi * (20**2 - 19.8**2), rel=0.05)
    assert got.findings == ("1 of the contours were drawn twice; each was taken once",)


def test_several_pieces_with_windows():
    def draw(space):
        for k in range(5):
            space.add_lwpolyline([(60 * k, 0), (60 * k + 50, 0), (60 * k + 50, 40), (60 * k, 40)], close=True)
            space.add_circle((60 * k + 25, 20), 4 + k)

    got = read(draw)
    assert [len(o.holes) for o in got.outlines] == [1] * 5
    assert sorted(o.area for o in got.outlines) == pytest.approx(
        sorted(2000 - math.pi * (4 + k) ** 2 for k in range(5)), rel=1e-3
    )


def test_pieces_that_share_a_corner_and_a_side_stay_two():
    def draw(space):
        square = [(0, 0), (10, 0), (10, 10), (0, 10)]
        for p, q in zip(square, square[1:] + square[:1], strict=True):
            space.add_line(p, q)
        for p, q in [((10, 10), (20, 10)), ((20, 10), (20, 20)), ((20, 20), (10, 10))]:
            space.add_line(p, q)

    assert sorted(o.area for o in read(draw).outlines) == pytest.approx([50, 100])


def test_a_block_that_is_never_inserted_is_read_nevertheless():
    def draw(space):
        space.doc.blocks.new("SLEEVE").add_lwpolyline([(0, 0), (10, 0), (10, 5)], close=True)

    got = read(draw)
    assert only(got).area == pytest.approx(25)
    assert any("blocks were read" in f for f in got.findings)


def test_shapes_on_a_paper_layout_are_read_where_the_model_is_empty():
    document = ezdxf.new("R2000", units=4)
    document.layouts.new("sheet").add_lwpolyline(SQUARES, format="xyb", close=True)
    got = parse_dxf(as_bytes(document), "paper.dxf")
    assert only(got).area == pytest.approx(100 + math.pi * 12.5, rel=1e-3)
    assert any("paper layouts" in f for f in got.findings)


def test_two_bulges_make_a_circle():
    got = read(lambda s: s.add_lwpolyline([(0, 0, 1), (10, 0, 1)], format="xyb", close=True))
    assert only(got).area == pytest.approx(math.pi * 25, rel=1e-3)


def test_binary_drawings_are_read(tmp_path):
    document = ezdxf.new("R2000", units=4)
    document.modelspace().add_lwpolyline(PIECE, close=True)
    document.saveas(tmp_path / "binary.dxf", fmt="bin")
    assert set(only(read_dxf(tmp_path / "binary.dxf")).outer) == set(PIECE)


def test_a_bare_list_of_entities_without_a_header_is_read():
    corners = [(0, 0), (30, 0), (30, 20), (0, 20)]
    lines = ["0", "SECTION", "2", "ENTITIES"]
    for p, q in zip(corners, corners[1:] + corners[:1], strict=True):
        for code, value in ((0, "LINE"), (8, "0"), (10, p[0]), (20, p[1]), (11, q[0]), (21, q[1])):
            lines += [str(code), str(value)]
    data = "\n".join([*lines, "0", "ENDSEC", "0", "EOF", ""]).encode()
    got = parse_dxf(data, "bare.dxf")
    assert got.unit_mm is None
    assert only(got).area == 600
    assert parse_dxf(data, "bare.dxf", 1.0).findings == ()


def nested_blocks(space):
    names = [f"B{k}" for k in range(10)]
    space.doc.blocks.new("B10").add_circle((0, 0), 1)
    for k, name in enumerate(names):
        block = space.doc.blocks.new(name)
        for n in range(10):
            block.add_blockref(f"B{k + 1}", (n, 0))
    space.add_blockref("B0", (0, 0))


def many_rows(space):
    space.doc.blocks.new("DOT").add_circle((0, 0), 1)
    space.add_blockref("DOT", (0, 0), dxfattribs={"row_count": 5000, "column_count": 5000, "row_spacing": 3})


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "no readable DXF"),
        (b"night garden", "no readable DXF|no outline is drawn"),
        (b"\x89PNG\r\n\x1a\n" + bytes(200), "no readable DXF"),
        (drawing(lambda s: s.add_circle((0, 0), 5))[:400], "no readable DXF|no outline is drawn"),
        (drawing(lambda s: s.add_text("only words", dxfattribs={"color": colors.RED})), "no outline is drawn"),
        (drawing(nested_blocks), "more than 10,000 things"),
        (drawing(many_rows), "more than 10,000 things"),
    ],
)
def test_what_is_bad_is_refused_in_one_sentence_and_in_bounded_time(data, words):
    start = time.process_time()
    with pytest.raises(FileError, match=words) as caught:
        parse_dxf(data, "bad.dxf")
    assert str(caught.value).startswith("bad.dxf: ")
    assert "\n" not in str(caught.value)
    assert time.process_time() - start < 20


@pytest.mark.parametrize("read_file", [read_dxf, read_svg])
def test_two_hundred_megabytes_are_refused_at_once(tmp_path, read_file):
    path = tmp_path / "huge.dxf"
    with path.open("wb") as file:
        file.truncate(200 * 2**20)
    start = time.process_time()
    with pytest.raises(FileError, match=f"200 MB, at most {MOST_MEGABYTES} are read"):
        read_file(path)
    assert time.process_time() - start < 1


def test_a_block_that_holds_itself_ends():
    def draw(space):
        block = space.doc.blocks.new("LOOP")
        block.add_circle((0, 0), 5)
        block.add_blockref("LOOP", (20, 0))
        space.add_blockref("LOOP", (0, 0))

    got = read(draw)
    assert len(got.outlines) >= 1
    assert any("hold themselves" in f for f in got.findings)


def refusal(data):
    try:
        parse_dxf(data, "broken.dxf")
    except FileError as error:
        return str(error)
    return ""


@pytest.mark.parametrize("seed", range(3))
def test_drawings_broken_at_random_are_read_or_refused_in_one_sentence(seed):
    rng = Random(seed)
    lines = drawing(inserted_twice).split(b"\n")
    for _ in range(25):
        broken = list(lines)
        for _ in range(rng.randint(1, 4)):
            broken[rng.randrange(len(broken))] = rng.choice([b"NaN", b"1e999", b"-", b"", b"LINE", rng.choice(lines)])
        assert "\n" not in refusal(b"\n".join(broken))


def halves_that_overlap(space):
    space.add_line((0, 0), (6, 0))
    space.add_line((4, 0), (10, 0))
    space.add_lwpolyline([(10, 0), (10, 10), (0, 10), (0, 0)])


def lines_that_run_too_far(space):
    for p, q in (((-3, 0), (13, 0)), ((10, -3), (10, 13)), ((13, 10), (-3, 10)), ((0, 13), (0, -3))):
        space.add_line(p, q)


@pytest.mark.parametrize("draw", [halves_that_overlap, lines_that_run_too_far])
def test_lines_that_cross_or_lie_on_each_other_close_what_they_enclose(draw):
    got = read(draw)
    assert only(got).area == pytest.approx(100)
    assert any("cross or lie on each other" in f for f in got.findings)


def test_a_line_across_a_shape_stays_a_line():
    def draw(space):
        space.add_lwpolyline([(0, 0), (20, 0), (20, 10), (0, 10)], close=True)
        space.add_line((10, 0), (10, 10))

    got = read(draw)
    assert only(got).area == 200
    assert len(got.open_lines) == 1


def test_sides_drawn_twice_a_hair_apart_make_nothing_twice():
    def draw(space):
        ring = [(0, 0), (10, 0), (10, 10), (0, 10)]
        for p, q in zip(ring, ring[1:] + ring[:1], strict=True):
            space.add_line(p, q)
            space.add_line(q, p)
        space.add_line((0.0003, 0), (10, 0.0002))

    got = read(draw)
    assert only(got).area == pytest.approx(100)


def test_text_and_dimensions_are_said_to_be_left_out():
    def draw(space):
        space.add_circle((0, 0), 10)
        space.add_text("night")
        space.add_mtext("garden")
        space.add_linear_dim((0, 20), (0, 0), (10, 0)).render()

    got = read(draw)
    assert len(got.outlines) == 1
    assert set(got.findings) == {"text left out: 2", "dimensions and leaders left out: 1"}


def turned_stretched_and_mirrored(space):
    block = space.doc.blocks.new("A", base_point=(5, 5))
    block.add_lwpolyline(SQUARES, format="xyb", close=True)
    block.add_circle((40, 0), 10)
    space.doc.blocks.new("B").add_blockref("A", (5, 0), dxfattribs={"rotation": 30, "xscale": 2, "yscale": 1})
    space.add_blockref("B", (0, 0), dxfattribs={"xscale": -1, "yscale": 3, "rotation": 45})


def test_blocks_turned_and_stretched_unevenly_within_each_other_keep_their_areas():
    got = read(turned_stretched_and_mirrored)
    # the area of a figure grows with the determinant of each map: 2 * 1 * 1 * 3
    areas = sorted(o.area for o in got.outlines)
    assert areas == pytest.approx([(100 + math.pi * 12.5) * 6, math.pi * 600], rel=1e-3)


MIRRORED = {"extrusion": (0, 0, -1)}
SEEN_FROM_BEHIND = [
    (lambda s: s.add_lwpolyline(SQUARES, format="xyb", close=True, dxfattribs=MIRRORED), (-10, -5, 0, 10)),
    (lambda s: s.add_polyline2d(SQUARES, format="xyb", close=True, dxfattribs=MIRRORED), (-10, -5, 0, 10)),
    (lambda s: s.add_circle((30, 0), 10, dxfattribs=MIRRORED), (-40, -10, -20, 10)),
    (lambda s: s.add_solid([(0, 0), (30, 0), (0, 20), (30, 20)], dxfattribs=MIRRORED), (-30, 0, 0, 20)),
    # an ellipse and a line are given in the world's own coordinates (published DXF reference, 'OCS')
    (lambda s: s.add_ellipse((30, 0), (10, 0), 0.5, dxfattribs=MIRRORED), (20, -5, 40, 5)),
]


@pytest.mark.parametrize(("draw", "bounds"), SEEN_FROM_BEHIND)
def test_what_is_drawn_from_behind_lies_mirrored(draw, bounds):
    assert only(read(draw)).bounds == pytest.approx(bounds, abs=0.02)


def test_a_unit_that_makes_the_drawing_a_house_is_obeyed_and_doubted():
    got = read(lambda s: s.add_lwpolyline([(0, 0), (60, 0), (60, 40), (0, 40)], close=True), insunits=6)
    assert only(got).bounds == pytest.approx((0, 0, 60_000, 40_000))
    assert any("name another unit if that is wrong" in f for f in got.findings)


@pytest.mark.parametrize(
    ("insunits", "mm"),
    # the published system-variable table; miles, feet and yards as the US survey defines them (1200/3937 m a foot)
    [(0, None), (3, 1_609_344), (7, 1e6), (10, 914.4), (15, 1e4), (16, 1e5), (17, None), (20, None),
     (21, 304.8006), (22, 25.40005), (23, 914.4018), (24, 1_609_347.2)],
)  # fmt: skip
def test_far_fetched_units_are_read_too(insunits, mm):
    got = read(lambda s: s.add_circle((0, 0), 1e-3), insunits=insunits)
    assert got.unit_mm == (None if mm is None else pytest.approx(mm, rel=1e-6))
