"""Cutting down in words and pictures: where each cut lies, what each part is for, sheets alike told once."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from app.guide.book import guide_pages
from app.guide.cutdown import cut_down_cells
from app.guide.drawing import Drawing
from app.guide.job import Job
from app.guide.pdf import pdf_bytes
from app.guide.sheet import A4
from app.guide.tiles import tiles
from layout.formats.plan_file import read_plan
from layout.formats.project_file import read_project
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.plan import CutDown, CutPanel, LaidScrap, Layout, Plan, Run, StraightCut
from layout.model.project import Die, Machine, Panel, Paper, Project, Scrap, Wanted
from tests.support.shared import ROOT

# Readers give the sign of inches as ʺ, for which the typeface has the same drawing.
DEMO = ROOT / "resources" / "demo"
pytestmark = pytest.mark.usefixtures("qapp")
# What lies left of a line keeps the number: 60 mm of the sheet's 100 stay part 1, then 40 of its 80 from below.
CUTS = (StraightCut(0, ((60.0, 0.0), (60.0, 80.0))), StraightCut(0, ((60.0, 40.0), (0.0, 40.0))))


def job(unit: str = "mm", *panels: CutPanel) -> Job:
    project = Project(
        papers=(Paper("card", "card"),),
        scraps=(Scrap("sheet", "card", Outline.rectangle(100.0, 80.0), count=3),),
        panels=(Panel("mat", "mat", Outline.rectangle(60.0, 40.0)),),
        wanted=(Wanted("mats", "mat"),),
    )
    downs = tuple(CutDown("sheet", CUTS, copy) for copy in range(3))
    return Job(project, Plan(cut_downs=downs, panels=panels), A4, unit=unit)


def text(made: Job) -> str:
    pages = PdfReader(io.BytesIO(pdf_bytes(made, guide_pages(made)))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def test_each_cut_is_measured_from_the_edge_of_what_stays_on_its_left() -> None:
    said = text(job())
    assert "cut 1: 60 mm from the left edge" in said
    # the line runs to the left, so what lies below is left of it
    assert "cut 2: 40 mm from the lower edge" in said
    assert "parts 1, 3: 60 × 40 mm, left over" in said


def test_sheets_cut_and_used_alike_share_a_picture() -> None:
    assert [cell.copies for cell in cut_down_cells(job())] == [(0, 1, 2)]
    one = CutPanel("mats", "mat", "sheet", Pose(), 1, 0)
    cells = cut_down_cells(job("mm", one))
    assert [cell.copies for cell in cells] == [(0, 2), (1,)]
    assert cells[0].uses == ("left over", "left over", "left over")
    assert cells[1].uses == ("mat", "left over", "left over")


def test_the_demo_in_its_own_unit() -> None:
    project, plan = read_project(DEMO / "night-garden.json"), read_plan(DEMO / "night-garden.plan.json")
    said = text(Job(project, plan, A4, unit="in"))
    assert "parts 1, 3: 7 1/2 × 6ʺ, favour box" in said
    assert "score from the left edge at 1/2, 3, 4, 6 1/2ʺ" in said
    assert "score 4 slanting lines" in said
    assert "night sheet, sheets 1–4: parts 1, 3" in said
    assert " mm" not in said.replace("100 mm", "")


def test_a_stain_elsewhere_on_the_sheet_is_not_shown_beside_its_part() -> None:
    """A stain of the whole sheet lay over the paper beside the part that was laid."""
    stain = Outline.rectangle(10.0, 10.0, x=80.0, y=20.0)  # on part 2
    die = Die("tile", "tile", Outline.rectangle(20.0, 20.0), Outline.rectangle(14.0, 14.0, x=3.0, y=3.0))
    project = Project(
        machine=Machine("machine", 150.0, 200.0),
        dies=(die,),
        papers=(Paper("card", "card"),),
        scraps=(Scrap("sheet", "card", Outline.rectangle(100.0, 80.0), spoiled=(stain,)),),
    )
    shown = []
    for part in (0, 1):
        layout = Layout("A", (), (Run((LaidScrap("sheet", Pose(20.0, 20.0), (0,), part),), ()),))
        made = Job(project, Plan((layout,), cut_downs=(CutDown("sheet", CUTS),)), A4)
        shown.append(Drawing(made, layout, (0,), tiles(A4, 150.0, 200.0)[0]).stains[0].area)
    assert shown == pytest.approx([0.0, 100.0])
