"""Out and in again: within 0.01 mm, and readable by others."""

from __future__ import annotations

import io

import ezdxf
import pytest
import shapely
import svgpathtools

from layout.formats.drawing_out import outlines_to_dxf, outlines_to_svg
from layout.formats.dxf_file import parse_dxf
from layout.formats.svg_file import parse_svg
from layout.geometry import ornaments, shapes
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.rim import frame, metal_about

SET = [
    Pose(-40.123456789, 12.5, 33).outline(ornaments.moth(64)),
    Pose(60, -71.3, 0).outline(frame(shapes.arch(66, 86), 11)),
    Pose(5, 120, 12).outline(metal_about(shapes.crescent(30, 40))),
    Outline.rectangle(10, 20, x=200, y=300),
]


@pytest.mark.parametrize(("write", "read"), [(outlines_to_svg, parse_svg), (outlines_to_dxf, parse_dxf)])
def test_outlines_come_back_within_a_hundredth_of_a_millimetre_and_in_place(write, read):
    got = read(write(SET), "again")
    assert got.findings == ()
    assert got.unit_mm == pytest.approx(1.0)
    assert len(got.outlines) == len(SET)
    for was, now in zip(SET, got.outlines, strict=True):
        assert [len(h) for h in now.holes] == [len(h) for h in was.holes]
        assert shapely.hausdorff_distance(was.polygon.boundary, now.polygon.boundary) < 0.01


def test_the_svg_is_read_alike_by_an_independent_reader():
    found, attributes, head = svgpathtools.svgstr2paths(outlines_to_svg(SET, ["moth <1>"]).decode(), True, True)
    assert head["width"].endswith("mm")
    assert attributes[0]["id"] == "moth <1>"
    assert sum(abs(p.area()) for p in found[0].continuous_subpaths()) == pytest.approx(SET[0].area, rel=1e-6)


def test_the_dxf_says_its_unit_and_keeps_names_as_layers():
    text = outlines_to_dxf(SET, ["night/garden", "moth"]).decode()
    document = ezdxf.read(io.StringIO(text))
    assert document.header["$INSUNITS"] == 4
    lines = list(document.modelspace().query("LWPOLYLINE"))
    assert [line.closed for line in lines] == [True] * sum(1 + len(o.holes) for o in SET)
    assert lines[0].dxf.layer == "night-garden"
    assert lines[0].get_points("xy") == [pytest.approx(p) for p in SET[0].outer]


def test_nothing_makes_an_empty_drawing_not_a_fault():
    assert b"<svg" in outlines_to_svg([])
    assert b"ENTITIES" in outlines_to_dxf([])
