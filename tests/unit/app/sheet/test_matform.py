"""Mats for a box or panel that is there already: all sides at once, sizes of the trade, one undo step."""

from __future__ import annotations

import pytest

from app.document.document import Document
from app.document.state import State
from app.sheet.boxmaking import with_box
from app.sheet.matform import NONE, MatForm
from layout.geometry.blanks.kinds import Sizes
from layout.geometry.outline import Outline
from layout.model.project import Panel, Paper, Project

pytestmark = pytest.mark.usefixtures("qapp")
INCH = 25.4


@pytest.fixture
def document() -> Document:
    # Common practice in the trade: mats for a 1 1/4 x 1/2 x 3 1/2 in box are 1 1/8 x 3 3/8 in.
    sizes = Sizes("pinched", 1.25 * INCH, 0.5 * INCH, 3.5 * INCH, tab=0.5 * INCH)
    project = with_box(Project(papers=(Paper("dusk", "dusk print"),), extra={"units": "in"}), sizes, "box", 2)
    made = Document()
    made.start_with(State(project), None)
    return made


def test_all_sides_of_a_box_at_once(document: Document) -> None:
    form = MatForm(document)
    assert form.sides.currentText() == "all 4 sides: front, back, right, left"
    assert "4 × box, mat for front and back: 1 1/8 × 3 3/8" in form.told.text()
    form.paper.setCurrentText("dusk print")
    form.add()
    assert [w.count for w in document.project.wanted] == [2, 4, 4]
    assert [w.paper for w in document.project.wanted] == [None, "dusk", "dusk"]
    document.undo.undo()
    assert len(document.project.panels) == 1


def test_fewer_sides(document: Document) -> None:
    form = MatForm(document)
    form.sides.setCurrentText("2 sides: front, back")
    form.add()
    assert [w.count for w in document.project.wanted] == [2, 4]


def test_a_flat_panel_gets_one_mat() -> None:
    made = Document()
    made.start_with(State(Project(panels=(Panel("card", "card", Outline.rectangle(90, 60)),))), None)
    form = MatForm(made)
    assert form.sides.currentText() == "the whole panel"
    form.add()
    assert made.project.panels[1].outline.bounds[2:] == pytest.approx((86, 56))


def test_too_wide_a_border_and_no_panel_are_said(document: Document) -> None:
    form = MatForm(document)
    form.border.setText("3 in")
    form.border.setModified(True)
    form.border.editingFinished.emit()
    assert "leaves nothing" in form.told.text()
    assert not form.button.isEnabled()
    empty = Document()
    assert MatForm(empty).told.text() == NONE
