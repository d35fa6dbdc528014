"""A wrong print is told by its bar, and corrected so that the wrong printer prints it right."""

from __future__ import annotations

import pytest
from pypdf import Transformation

from app.guide.book import guide_pages
from app.guide.correction import MeasureError, corrected, diagnose
from app.guide.job import Job
from app.guide.pdf import pdf_bytes
from app.guide.sheet import A4, LETTER, Sheet
from layout.formats.plan_file import parse_plan
from layout.formats.project_file import parse_project
from tests.support import guide_reading as reading
from tests.support.shared import CASES, load, need
from tests.unit.app.guide.test_true_size import changed


@pytest.mark.parametrize(
    ("sheet", "measured", "words"),
    [
        # ratios of the sheet sizes: 279.4/297, 215.9/210, 210/215.9, 297/279.4
        (A4, 94.07, "for A4 was shrunk to fit onto Letter"),
        (A4, 102.8, "for A4 was blown up to fill Letter"),
        (LETTER, 97.27, "for Letter was shrunk to fit onto A4"),
        (LETTER, 106.3, "for Letter was blown up to fill A4"),
        (A4, 70.7, "Two pages"),
        (LETTER, 64.7, "Two pages"),
        (A4, 96.0, "the printer reaches"),
        (LETTER, 101.5, "blown up"),
    ],
)
def test_the_cause_is_told(sheet: Sheet, measured: float, words: str) -> None:
    found = diagnose(sheet, measured)
    assert not found.true
    assert words in found.cause


@pytest.mark.parametrize("measured", [99.7, 100.0, 100.3])
def test_a_true_print_is_let_be(measured: float) -> None:
    assert diagnose(A4, measured).true


def test_a_feed_that_slips_is_told_apart_from_scaling() -> None:
    found = diagnose(A4, 100.0, 98.5)
    assert "along (98.5 mm)" in found.cause


@pytest.mark.parametrize("measured", [0.0, -3.0, 3.94, 59.0, 254.0, float("nan")])
def test_what_no_bar_can_measure_is_refused(measured: float) -> None:
    with pytest.raises(MeasureError, match="measure the bar"):
        diagnose(A4, measured)


@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize(("across", "along"), [(94.07, 94.07), (97.27, 97.27), (100.0, 98.5), (102.8, 102.8)])
def test_printed_wrongly_the_corrected_guide_is_true(across: float, along: float) -> None:
    case = need(CASES / "images-07-11.json")
    project = parse_project(case.read_bytes(), case.name)
    plan = parse_plan(case.with_name("images-07-11.known.json").read_bytes(), "plan")
    job = Job(project, plan, corrected(A4, across, along))
    pages = guide_pages(job)
    raw = pdf_bytes(job, pages)
    before = next(page for page in reading.read_pages(raw) if "BLADES" in page.words)
    assert before.edge_is_white
    assert (before.width, before.height) == pytest.approx((210.0, 297.0), abs=0.01)
    # the printer: scales about the middle of the sheet
    x, y = (1 - across / 100) / 2 * 210 * 72 / 25.4, (1 - along / 100) / 2 * 297 * 72 / 25.4
    printed = changed(raw, Transformation().scale(across / 100, along / 100).translate(x, y))
    after = next(page for page in reading.read_pages(printed) if "BLADES" in page.words)
    assert reading.bar_faults(after) == []
    assert after.edge_is_white
    known, made = load(case), load(case.with_name("images-07-11.known.json"))
    bed = reading.bed_corner(after, known)
    for name, ring in reading.expected_rings(known, made["layouts"][0], bed, False):
        assert after.shows(ring), name
