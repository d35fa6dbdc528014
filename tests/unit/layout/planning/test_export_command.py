"""Layouts written as SVG and DXF, opened by readers that are not ours, and the list of passes as CSV."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import ezdxf
import pytest
from ezdxf.math import area as ring_area
from shapely import affinity
from shapely.geometry import Polygon
from svgpathtools import parse_path

from layout.__main__ import main
from tests.support.shared import CASES, load, need

NAMES = ("images-07-11", "frames-07-12", "scraps-12-3-11", "onepass-14-02-11")
SVG = "{http://www.w3.org/2000/svg}"


def written(name: str, ending: str, folder: Path, *more: str) -> tuple[dict[str, Any], dict[str, Any], Path]:
    case = need(CASES / f"{name}.json")
    known, out = case.with_name(f"{name}.known.json"), folder / f"out.{ending}"
    assert main(["export", str(case), str(known), "--out", str(out), *more]) == 0
    return load(case), load(known), out


def true_shapes(project: dict[str, Any], plan: dict[str, Any]) -> dict[str, list[Polygon]]:
    """Every shape of the first layout and run, worked out from the plain files with another library's transforms."""
    layout = plan["layouts"][0]
    dies = {die["id"]: die for die in project["dies"]}
    scraps = {scrap["id"]: scrap for scrap in project["scraps"]}
    bed = project["machine"]["bed"]
    made = {"bed": [Polygon([(0, 0), (bed["width"], 0), (bed["width"], bed["length"]), (0, bed["length"])])]}
    made["paper"] = [posed(scraps[laid["scrap"]]["outline"], laid["pose"]) for laid in layout["runs"][0]["scraps"]]
    made["metal"] = [posed(dies[placed["die"]]["body"], placed["pose"]) for placed in layout["dies"]]
    made["cut"] = [posed(dies[placed["die"]]["cut"], placed["pose"]) for placed in layout["dies"]]
    return made


def posed(outline: dict[str, Any], pose: dict[str, float]) -> Polygon:
    shape = Polygon(outline["outer"], outline.get("holes", []))
    return affinity.translate(affinity.rotate(shape, pose["turn"], origin=(0, 0)), pose["x"], pose["y"])


@pytest.mark.parametrize("name", NAMES)
def test_dxf_is_sound_and_true(name: str, tmp_path: Path) -> None:
    project, plan, out = written(name, "dxf", tmp_path)
    drawing = ezdxf.readfile(out)
    audit = drawing.audit()
    assert not audit.errors
    assert not audit.fixes
    assert drawing.header["$INSUNITS"] == 4  # millimetres, by the published table of system variables
    for layer, shapes in true_shapes(project, plan).items():
        rings = [list(line.vertices()) for line in drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer.upper()}"]')]
        true = [ring for shape in shapes for ring in (shape.exterior, *shape.interiors)]
        assert len(rings) == len(true)
        for found, ring in zip(rings, true, strict=True):
            assert ring_area([*found, found[0]]) == pytest.approx(Polygon(ring).area, rel=1e-3)
            assert Polygon(found).symmetric_difference(Polygon(ring)).area < 1e-3 * Polygon(ring).area


@pytest.mark.parametrize("name", NAMES)
def test_svg_is_true_for_a_second_parser(name: str, tmp_path: Path) -> None:
    project, plan, out = written(name, "svg", tmp_path)
    root = ElementTree.parse(out).getroot()
    x0, y0, width, height = map(float, root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{width:.4f}mm"  # so one user unit is one millimetre
    assert root.attrib["height"] == f"{height:.4f}mm"
    for layer, shapes in true_shapes(project, plan).items():
        group = root.find(f"{SVG}g[@id='{layer}']")
        assert group is not None
        paths = group.findall(f"{SVG}path")
        assert len(paths) == len(shapes)
        for path, shape in zip(paths, shapes, strict=True):
            rings = [Polygon([(p.start.real, -p.start.imag) for p in part]) for part in subpaths(path.attrib["d"])]
            area = rings[0].area - sum(ring.area for ring in rings[1:])
            assert area == pytest.approx(shape.area, rel=1e-3)
            assert rings[0].symmetric_difference(Polygon(shape.exterior)).area < 1e-3 * shape.area
            assert x0 < rings[0].bounds[0]
            assert rings[0].bounds[2] < x0 + width
            assert y0 < -rings[0].bounds[3]
            assert -rings[0].bounds[1] < y0 + height


def subpaths(data: str) -> list[Any]:
    return [parse_path(part) for part in re.findall(r"M[^M]+", data)]


def test_csv_lists_every_cut(tmp_path: Path) -> None:
    _, plan, out = written("kits-06-6-11", "csv", tmp_path)
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8-sig"))))
    runs = [run for layout in plan["layouts"] for run in layout["runs"]]
    assert len(rows) == sum(len(run["cuts"]) for run in runs)
    assert {int(row["pass"]) for row in rows} == set(range(1, len(runs) + 1))


def test_a_name_is_no_formula(tmp_path: Path) -> None:
    case = need(CASES / "frames-04-11.json")
    project = load(case)
    project["dies"][0]["name"] = '=HYPERLINK("x")'
    changed, out = tmp_path / "p.json", tmp_path / "o.csv"
    changed.write_text(json.dumps(project))
    known = case.with_name("frames-04-11.known.json")
    assert main(["export", str(changed), str(known), "--out", str(out)]) == 0
    assert all(not cell.startswith("=") for row in csv.reader(io.StringIO(out.read_text("utf-8-sig"))) for cell in row)


@pytest.mark.parametrize("more", [["--layout", "Z"], ["--run", "9"], ["--run", "0"]])
def test_what_is_not_there_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str]) -> None:
    case = need(CASES / "frames-04-11.json")
    out = tmp_path / "o.svg"
    assert main(["export", str(case), str(case.with_name("frames-04-11.known.json")), "--out", str(out), *more]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert not out.exists()
