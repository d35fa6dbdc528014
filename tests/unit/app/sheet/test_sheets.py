"""The window on sheets that are cut down: cuts are moved by hand, findings follow, all of it can be undone and held."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest

from app.document.document import Document
from app.document.edits import anything_held
from app.document.state import State
from app.sheet import cutting
from app.sheet.cutting import CutError
from app.sheet.sheets import FINE, NONE, Sheets
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.plan import CutDown, CutPanel, Plan, StraightCut
from layout.model.project import Panel, Paper, Project, Scrap, Wanted
from layout.planning.planner import Limits, make_plan
from layout.rules import check
from tests.support.checked import assert_good

pytestmark = pytest.mark.usefixtures("qapp")

UPRIGHT = StraightCut(0, ((60.0, 0.0), (60.0, 100.0)))
LEVEL = StraightCut(0, ((60.0, 40.0), (0.0, 40.0)))


def project(count: int = 1) -> Project:
    return Project(
        papers=(Paper("moss", "moss"),),
        scraps=(Scrap("big", "moss", Outline.rectangle(150, 100), count=count),),
        panels=(Panel("mat", "mat", Outline.rectangle(60, 40)),),
        wanted=(Wanted("mats", "mat", count, "moss"),),
    )


def plan(copies: int = 1) -> Plan:
    cut_downs = tuple(CutDown("big", (UPRIGHT, LEVEL), copy) for copy in range(copies))
    return Plan(cut_downs=cut_downs, panels=tuple(CutPanel("mats", "mat", "big", Pose(), c, 0) for c in range(copies)))


@pytest.fixture
def document() -> Document:
    made = Document()
    made.start_with(State(project(), plan()), None)
    return made


@pytest.fixture
def sheets(document: Document) -> Sheets:
    made = Sheets(document)
    made.resize(1000, 700)
    made.show()
    return made


def test_the_plan_begun_with_is_right() -> None:
    assert [f for f in check(project(), plan()) if f.rule != "bound"] == []


def test_a_dragged_cut_says_what_is_wrong_while_it_moves_and_is_one_undo_step(
    document: Document, sheets: Sheets
) -> None:
    assert sheets.told.text() == FINE
    before = document.plan
    sheets.drag_to(2.0)
    sheets.drag_to(5.0)
    assert "200" in sheets.told.text()  # 5 mm of 40 mm too much paper
    assert document.plan is before
    sheets.let_go()
    assert document.plan.cut_downs[0].cuts[0].line == ((65.0, 0.0), (65.0, 100.0))
    assert "is 200" in sheets.told.text()
    document.undo.undo()
    assert document.plan == before
    assert sheets.told.text() == FINE


def test_a_drag_can_be_left(document: Document, sheets: Sheets) -> None:
    before = document.plan
    sheets.drag_to(5.0)
    sheets.leave()
    sheets.let_go()
    assert document.plan is before
    assert sheets.told.text() == FINE


def test_the_mouse_takes_hold_of_a_cut(document: Document, sheets: Sheets) -> None:
    view = sheets.view
    scaled = view._scaled(document.plan.cut_downs[0])
    x, y = (v * view._unit for v in scaled.point((60.0, 80.0)))
    step = scaled.scale * view._unit * 10.0  # ten mm
    start, end = QPoint(round(x), round(y)), QPoint(round(x + step), round(y))
    QTest.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(view, end)
    QTest.mouseRelease(view, Qt.MouseButton.LeftButton, pos=end)
    (moved, _), _ = document.plan.cut_downs[0].cuts[0].line
    assert moved == pytest.approx(70.0, abs=0.5)


def test_arrow_keys_move_a_cut_and_merge(document: Document, sheets: Sheets) -> None:
    sheets.view.setFocus()
    for _ in range(3):
        QTest.keyClick(sheets.view, Qt.Key.Key_Right)
    QTest.keyClick(sheets.view, Qt.Key.Key_Left, Qt.KeyboardModifier.ShiftModifier)
    assert document.plan.cut_downs[0].cuts[0].line[0][0] == pytest.approx(62.8)
    QTest.keyClick(sheets.view, Qt.Key.Key_Up)  # along the cut: nothing
    assert document.plan.cut_downs[0].cuts[0].line[0][0] == pytest.approx(62.8)
    assert document.undo.count() == 1


def test_a_distance_is_typed(sheets: Sheets) -> None:
    sheets.cuts.setCurrentRow(1)
    assert sheets.stop.length == pytest.approx(40.0)  # what is left of the cut, seen along it, is the panel
    before = sheets.stop.length
    sheets.type_stop(before - 4.0)
    assert sheets.stop.length == pytest.approx(before - 4.0)
    assert sheets.cuts.currentRow() == 1
    assert sheets.told.text() != FINE


def test_a_cut_stays_on_the_paper(document: Document, sheets: Sheets) -> None:
    before = document.plan
    sheets.type_stop(400.0)
    assert document.plan is before
    assert "no paper on one side" in sheets.told.text()


def test_sheets_cut_alike_stay_alike() -> None:
    moved = cutting.move_cut(project(3), plan(3), 1, 0, 2.0)
    assert len({c.cuts for c in moved.cut_downs}) == 1
    assert moved.cut_downs[0].cuts[0].line[0][0] == 62.0


def test_a_cut_is_added_and_taken_away(document: Document, sheets: Sheets) -> None:
    sheets.cut_again(True)
    assert len(document.plan.cut_downs[0].cuts) == 3
    assert sheets.told.text() == FINE
    sheets.take_last()
    assert len(document.plan.cut_downs[0].cuts) == 2
    sheets.take_last()
    assert "comes off a part" in sheets.told.text()
    with pytest.raises(CutError):
        cutting.take_last(project(), document.plan, 0)


def test_a_held_sheet_stays_as_it_is_cut_when_the_rest_is_planned(document: Document, sheets: Sheets) -> None:
    sheets.held.setChecked(True)
    assert anything_held(document.plan)
    assert "held" in sheets.sheets.item(0).text()
    more = Project(
        papers=document.project.papers,
        scraps=document.project.scraps,
        panels=(*document.project.panels, Panel("strip", "strip", Outline.rectangle(80, 30))),
        wanted=(*document.project.wanted, Wanted("strips", "strip", 1, "moss")),
    )
    spare = Scrap("other", "moss", Outline.rectangle(90, 40))
    for wider in (more, Project(**{**_fields(more), "scraps": (*more.scraps, spare)})):
        found = make_plan(wider, Limits(60.0, attempts=2, hold=document.plan))
        assert found.cut_downs[0].cuts == document.plan.cut_downs[0].cuts
        assert document.plan.panels[0] in found.panels
        assert found.cut_downs[0].extra.get("held") is True
        assert_good(wider, found)
    assert {p.wanted for p in found.panels} == {"mats", "strips"}


def _fields(made: Project) -> dict[str, object]:
    return {name: getattr(made, name) for name in ("papers", "scraps", "panels", "wanted")}


def test_without_cuts_it_says_why() -> None:
    made = Document()
    made.start_with(State(project(), Plan()), None)
    sheets = Sheets(made)
    assert sheets.told.text() == NONE
    assert not sheets.stop.isEnabled()
    made.change_plan("Plan", plan())
    assert sheets.told.text() == FINE
    sheets.deleteLater()
