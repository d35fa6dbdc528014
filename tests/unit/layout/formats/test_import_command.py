"""`python -m layout import` as it is typed."""

from __future__ import annotations

import json
import subprocess
import sys

import ezdxf
import pytest

from layout.formats.drawing_out import outlines_to_svg
from layout.geometry import shapes
from layout.geometry.rim import frame


def run(*arguments):
    command = [sys.executable, "-m", "layout", "import", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def test_an_svg_becomes_a_file_of_outlines(tmp_path):
    window = frame(shapes.rectangle(90, 70), 12)
    (tmp_path / "a.SVG").write_bytes(outlines_to_svg([window]))
    done = run(tmp_path / "a.SVG", "--out", tmp_path / "f.json")
    assert (done.returncode, done.stderr) == (0, "")
    made = json.loads((tmp_path / "f.json").read_text())
    assert made["unit_mm"] == 1
    assert made["findings"] == []
    corners = {(-45, -35), (45, -35), (45, 35), (-45, 35)}
    assert {tuple(p) for p in made["outlines"][0]["outer"]} == corners
    assert {tuple(p) for p in made["outlines"][0]["holes"][0]} == {(x / 45 * 33, y / 35 * 23) for x, y in corners}


def test_a_dxf_without_a_unit_asks_and_with_one_obeys(tmp_path):
    document = ezdxf.new("R12")
    document.modelspace().add_polyline2d([(0, 0), (2.25, 0), (2.25, 1.5), (0, 1.5)], close=True)
    document.saveas(tmp_path / "label.dxf")
    asked = run(tmp_path / "label.dxf", "--out", tmp_path / "f.json")
    assert asked.returncode == 3
    assert asked.stderr.count("\n") == 1
    assert "in: 57.1 × 38.1 mm" in asked.stderr
    assert json.loads((tmp_path / "f.json").read_text())["unit_mm"] is None
    told = run(tmp_path / "label.dxf", "--unit", "in", "--out", tmp_path / "f.json")
    assert (told.returncode, told.stderr) == (0, "")
    made = json.loads((tmp_path / "f.json").read_text())
    assert made["unit_mm"] == 25.4
    assert made["outlines"][0]["outer"][2] == pytest.approx([57.15, 38.1])


@pytest.mark.parametrize(
    ("name", "data", "more", "words"),
    [
        ("a.svg", b"<svg", [], "not XML"),
        ("a.dxf", b"nothing", [], "no readable DXF"),
        ("a.png", b"", [], "only SVG and DXF"),
        ("a.svg", b"<svg/>", ["--unit", "ell"], "no unit is called 'ell'"),
        ("none.svg", None, [], "none.svg"),
    ],
)
def test_what_cannot_be_read_is_one_line_and_no_output(tmp_path, name, data, more, words):
    if data is not None:
        (tmp_path / name).write_bytes(data)
    done = run(tmp_path / name, "--out", tmp_path / "f.json", *more)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert words in done.stderr
    assert not (tmp_path / "f.json").exists()
