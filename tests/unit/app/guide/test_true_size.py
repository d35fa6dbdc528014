"""The guide's plate pages, read back as vectors: true to 0.05 mm, and each way of being untrue is noticed."""

from __future__ import annotations

import copy
import io
import json
from pathlib import Path
from typing import Any

import pymupdf
import pytest
from pypdf import PdfReader, PdfWriter, Transformation
from shapely import unary_union
from shapely.geometry import Polygon, box

from app.guide.book import guide_pages
from app.guide.job import Job
from app.guide.pdf import pdf_bytes
from app.guide.sheet import SHEETS as KNOWN_SHEETS
from layout.formats.plan_file import parse_plan
from layout.formats.project_file import parse_project
from tests.support import guide_reading as reading
from tests.support.shared import CASES, ROOT, load, need

NAMES = ("images-07-11", "scraps-12-3-11", "frames-07-12", "kits-06-6-11", "onepass-14-02-11", "onepass-14-12-12")
pytestmark = pytest.mark.usefixtures("qapp")


def made(project: dict[str, Any], plan: dict[str, Any], page: str, mirrored: bool = False) -> bytes:
    job = Job(
        parse_project(json.dumps(project).encode(), "project"),
        parse_plan(json.dumps(plan).encode(), "plan"),
        KNOWN_SHEETS[page],
        blades_up=mirrored,
    )
    return pdf_bytes(job, guide_pages(job))


def case(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    path: Path = need(CASES / f"{name}.json")
    return load(path), load(path.with_name(f"{name}.known.json"))


DEMO = ROOT / "resources" / "demo"


@pytest.mark.parametrize("mirrored", [False, True], ids=["plain", "mirrored"])
@pytest.mark.parametrize("page", ["a4", "letter"])
def test_the_demo_is_true(page: str, mirrored: bool) -> None:
    project, plan = load(DEMO / "night-garden.json"), load(DEMO / "night-garden.plan.json")
    data = made(project, plan, page, mirrored)
    assert reading.faults(data, project, plan, page, mirrored) == []
    cards = [card for read in reading.read_pages(data) for card in read.cards]
    # ISO/IEC 7810, size ID-1: 85.60 x 53.98 mm
    assert len(cards) == 1
    assert cards[0] == pytest.approx((85.60, 53.98), abs=reading.EXACT)


def changed(data: bytes, change: Transformation) -> bytes:
    file = PdfWriter(clone_from=PdfReader(io.BytesIO(data)))
    for page in file.pages:
        page.add_transformation(change)
    out = io.BytesIO()
    file.write(out)
    return out.getvalue()


@pytest.mark.parametrize("mirrored", [False, True], ids=["plain", "mirrored"])
@pytest.mark.parametrize("page", ["a4", "letter"])
@pytest.mark.parametrize("name", NAMES)
def test_every_die_and_bar_is_true(name: str, page: str, mirrored: bool) -> None:
    project, plan = case(name)
    assert reading.faults(made(project, plan, page, mirrored), project, plan, page, mirrored) == []


def test_a_scaled_page_is_noticed() -> None:
    project, plan = case("images-07-11")
    scaled = changed(made(project, plan, "a4"), Transformation().scale(0.97))
    found = reading.faults(scaled, project, plan, "a4", False)
    assert any("bed at true size" in fault for fault in found)
    assert any("no true 100 mm bar" in fault for fault in found)
    assert any("no true 4 in bar" in fault for fault in found)


def test_a_page_shifted_by_a_millimetre_is_noticed() -> None:
    project, plan = case("images-07-11")
    shifted = changed(made(project, plan, "a4"), Transformation().translate(72 / 25.4, 0))
    assert any("frame is off" in fault for fault in reading.faults(shifted, project, plan, "a4", False))


def test_a_die_shifted_by_a_millimetre_is_noticed() -> None:
    project, plan = case("images-07-11")
    other = copy.deepcopy(plan)
    other["layouts"][0]["dies"][2]["pose"]["x"] += 1.0
    found = reading.faults(made(project, other, "a4"), project, plan, "a4", False)
    assert found
    assert all("tag-3" in fault for fault in found)


def test_a_page_mirrored_by_mistake_is_noticed() -> None:
    project, plan = case("images-07-11")
    width = 210 * 72 / 25.4
    flipped = changed(made(project, plan, "a4"), Transformation().scale(-1, 1).translate(width, 0))
    assert any("is not where it belongs" in fault for fault in reading.faults(flipped, project, plan, "a4", False))
    swapped = made(project, plan, "a4", mirrored=True)
    assert any("which way the blades" in fault for fault in reading.faults(swapped, project, plan, "a4", False))


@pytest.mark.parametrize("page", ["a4", "letter"])
@pytest.mark.parametrize("size", [(230.0, 240.0), (152.0, 300.0), (310.0, 320.0)])
def test_a_bed_larger_than_the_page_is_tiled_and_joins(page: str, size: tuple[float, float]) -> None:
    project, plan = case("frames-07-12")
    project["machine"]["bed"] = {"width": size[0], "length": size[1]}
    placed = plan["layouts"][0]["dies"][0]["pose"]
    placed["x"], placed["y"] = size[0] / 2, size[1] / 2  # where the sheets meet
    data = made(project, plan, page)
    assert reading.faults(data, project, plan, page, False) == []
    tiles = [p for p in reading.read_pages(data) if "BLADES" in p.words]
    shown = [reading.window_on_plate(tile, project) for tile in tiles]
    assert len(tiles) >= 2
    assert box(0, 0, *size).difference(unary_union(shown)).area < 0.01
    marks = [mark for tile in tiles for mark in reading.crosses(tile, project)]
    assert marks
    for mark in marks:
        assert sum(abs(mark[0] - m[0]) < 0.05 and abs(mark[1] - m[1]) < 0.05 for m in marks) >= 2


def test_no_tile_is_spent_without_need() -> None:
    project, plan = case("frames-07-12")
    project["machine"]["bed"] = {"width": 152.0, "length": 220.0}
    for page in ("a4", "letter"):
        plates = [p for p in reading.read_pages(made(project, plan, page)) if "BLADES" in p.words]
        assert len(plates) == len(plan["layouts"])


def test_the_file_asks_for_no_scaling_and_carries_its_type() -> None:
    project, plan = case("images-07-11")
    with pymupdf.open(stream=made(project, plan, "letter"), filetype="pdf") as file:
        kind, value = file.xref_get_key(file.pdf_catalog(), "ViewerPreferences/PrintScaling")
        assert (kind, value) == ("name", "/None")  # ISO 32000-1, 12.2
        fonts = [font for page in file for font in page.get_fonts()]
        assert fonts
        assert all(font[1] != "n/a" and "Lato" in font[3] for font in fonts)


def test_polygons_of_the_reader_are_what_they_seem() -> None:
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
    moved = [(x + 0.06, y) for x, y in [*square, square[0]]]
    assert Polygon(square).area == 100.0
    assert reading.alike(square, [*square, square[0]])
    assert not reading.alike(square, moved)
