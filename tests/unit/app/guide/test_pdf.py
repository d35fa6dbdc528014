"""What is done to the PDF after Qt has written it changes nothing that is drawn."""

from __future__ import annotations

import io
import json

import pytest
from pypdf import PdfReader, PdfWriter

from app.guide import pdf
from app.guide.book import guide_pages
from app.guide.job import Job
from app.guide.sheet import A4
from layout.formats.plan_file import parse_plan
from layout.formats.project_file import parse_project
from tests.bench.guide import large
from tests.support import guide_reading as reading
from tests.support.shared import CASES, load, need

pytestmark = pytest.mark.usefixtures("qapp")


def small_set() -> tuple[dict, dict, Job]:
    case = need(CASES / "scraps-06-2-11.json")
    project, plan = load(case), large(load(case.with_name("scraps-06-2-11.known.json")))
    for scrap in project["scraps"]:
        scrap["count"] = 60
    plan = {**plan, "layouts": plan["layouts"][:2], "passes": 10}

    made = parse_project(json.dumps(project).encode(), "project"), parse_plan(json.dumps(plan).encode(), "plan")
    return project, plan, Job(*made, A4)


def test_sharing_keeps_every_page_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    project, plan, job = small_set()
    pages = guide_pages(job)
    plain = pdf.pdf_bytes(job, pages)
    monkeypatch.setattr(pdf, "LARGE", 0)
    shared = pdf.pdf_bytes(job, pages)
    assert len(shared) < len(plain)
    before, after = PdfReader(io.BytesIO(plain)).pages, PdfReader(io.BytesIO(shared)).pages
    for old, new in zip(before, after, strict=True):
        assert new.get_contents().get_data().split() == old.get_contents().get_data().split()
    assert reading.faults(shared, project, plan, "a4", False) == []


def test_sharing_leaves_no_stream_behind() -> None:
    _, _, job = small_set()
    file = PdfWriter(clone_from=io.BytesIO(pdf.pdf_bytes(job, guide_pages(job))))
    objects = len(file._objects)
    streams = len(file.pages)
    pdf.share_alike(file)
    used = {ref.idnum for page in file.pages for ref in page["/Contents"]}
    assert len(file._objects) == objects - streams + len(used)


def test_each_page_has_its_exact_size() -> None:
    _, _, job = small_set()
    for page in PdfReader(io.BytesIO(pdf.pdf_bytes(job, guide_pages(job)))).pages:
        # A4 in points: 595.276 x 841.890 (210 and 297 mm, 72 points an inch)
        assert float(page.mediabox.width) == pytest.approx(595.276, abs=0.001)
        assert float(page.mediabox.height) == pytest.approx(841.890, abs=0.001)
