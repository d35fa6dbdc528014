"""The form for a box blank: numbers of the trade both ways, mats with it, one undo step, words for what cannot be."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from app.document.document import Document
from app.document.state import State
from app.look.theme import style_sheet
from app.look.tokens import LIGHT
from app.sheet.boxform import BoxForm
from app.sheet.boxmaking import Mats, with_box
from layout.geometry.blanks.faces import BlankError
from layout.geometry.blanks.kinds import KINDS, Sizes
from layout.geometry.blanks.scoring import table_of, tube_from_scores
from layout.model.project import Paper, Project

pytestmark = pytest.mark.usefixtures("qapp")
INCH = 25.4


@pytest.fixture
def document() -> Document:
    made = Document()
    made.start_with(State(Project(papers=(Paper("moss", "moss"),), extra={"units": "in"})), None)
    return made


def type_into(form: BoxForm, **lengths: str) -> None:
    for key, text in lengths.items():
        field = form.lengths[key]
        field.setText(text)
        field.setModified(True)
        field.editingFinished.emit()


def test_the_worked_example_with_its_mats(document: Document) -> None:
    # Common practice in the trade: 1 1/4 x 1/2 x 3 1/2 in is a 4 x 4 3/4 in blank, its two mats 1 1/8 x 3 3/8 in.
    form = BoxForm(document)
    type_into(form, width="1 1/4", depth="1/2", height="3 1/2", tab="1/2", seam="1/2")
    form.covers.setCurrentText("front and back")
    type_into(form, border="1/16")
    assert "Trim to 4 × 4 3/4″." in form.told.text()
    assert "left edge at 1/2, 1 3/4, 2 1/4, 3 1/2." in form.told.text()
    assert "lower edge at 1/2, 4, 4 1/4." in form.told.text()
    assert "It folds shut" in form.told.text()
    form.add()
    box, mat = document.project.panels
    assert [round(s / INCH, 4) for s in mat.outline.bounds[2:]] == [1.125, 3.375]
    assert [w.count for w in document.project.wanted] == [1, 2]
    numbers = table_of(box.outline.bounds, box.scores)
    again = tube_from_scores(numbers.width, numbers.length, numbers.across, numbers.along)
    assert [s / INCH for s in (again.width, again.depth, again.height)] == pytest.approx([1.25, 0.5, 3.5])
    document.undo.undo()
    assert document.project.panels == ()
    document.undo.redo()
    assert document.project.panels == (box, mat)


def test_ease_is_added_round_the_thing_that_goes_in(document: Document) -> None:
    form = BoxForm(document)
    type_into(form, width="2", depth="1", height="3", ease="1/8")
    form.meant.setCurrentText("of the thing that goes in")
    assert (form.sizes.width, form.sizes.depth, form.sizes.height) == pytest.approx((57.15, 31.75, 82.55))
    assert form.lengths["ease"].isVisibleTo(form)


def test_what_cannot_be_made_is_said_and_not_added(document: Document) -> None:
    form = BoxForm(document)
    type_into(form, depth="0")
    assert form.told.text().startswith("This cannot be made")
    assert not form.button.isEnabled()
    type_into(form, depth="1")
    assert form.button.isEnabled()
    type_into(form, depth="a lot")
    assert "no unit of length" in form.told.text()


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_drawn_with_its_own_fields(document: Document, kind: str) -> None:
    form = BoxForm(document)
    form.kind.setCurrentIndex(form.kind.findData(kind))
    assert form.view.template is not None
    assert "folds shut" in form.told.text()
    shown = {key for key, field in form.lengths.items() if field.isVisibleTo(form)}
    assert set(KINDS[kind].asks) <= shown
    form.grab()


def test_alike_walls_share_a_mat_and_names_stay_apart() -> None:
    sizes = Sizes("straight", 60, 30, 90, tab=10)
    once = with_box(Project(), sizes, "box", 2, None, Mats(("front", "right", "back", "left"), 2.0, "moss"))
    assert [w.count for w in once.wanted] == [2, 4, 4]
    assert {w.paper for w in once.wanted[1:]} == {"moss"}
    twice = with_box(once, sizes, "box", 1, None)
    assert len({p.id for p in twice.panels}) == 4
    with pytest.raises(BlankError, match="leaves nothing"):
        with_box(Project(), sizes, "box", 1, None, Mats(("front",), 40.0))


def test_a_pillow_box_says_its_arcs(document: Document) -> None:
    form = BoxForm(document)
    form.kind.setCurrentText("Pillow box")
    type_into(form, width="3", depth="1", height="5")
    assert "It folds shut" in form.told.text()
    assert "4 arcs of radius" in form.told.text()
    assert not form.button.isHidden()
    assert form.button.isEnabled()
    type_into(form, depth="2")
    assert "must be wider" in form.told.text()
    assert not form.button.isEnabled()


def test_a_blank_is_drawn_freely(document: Document) -> None:
    form = BoxForm(document)
    form.kind.setCurrentText("Drawn freely")
    type_into(form, width="6", height="5")
    form.across.setText("1, 5")
    form.along.setText("1; 4")
    form.along.editingFinished.emit()
    assert form.snips.count() == 9
    assert "does not fold shut" in form.told.text()
    assert not form.button.isEnabled()
    for corner in (0, 2, 6, 8):
        form.snips.item(corner).setCheckState(Qt.CheckState.Checked)
    assert "It folds shut" in form.told.text()
    assert "left edge at 1, 5." in form.told.text()
    form.add()
    panel = document.project.panels[0]
    assert panel.outline.area == pytest.approx((30 - 4) * INCH * INCH)
    assert panel.extra["blank"]["kind"] == "drawn"
    assert len(panel.scores) == 4


def test_a_distance_that_cannot_be_read_is_said(document: Document) -> None:
    form = BoxForm(document)
    form.kind.setCurrentText("Drawn freely")
    form.across.setText("1, two")
    form.across.editingFinished.emit()
    assert "two" in form.told.text()
    assert not form.button.isEnabled()


def test_the_number_a_kit_is_seen_and_counts(document: Document) -> None:
    """The field for it showed nothing: its style left one pixel for the number."""
    form = BoxForm(document)
    form.setStyleSheet(style_sheet(LIGHT, 1.0))
    form.show()
    field = form.count
    assert field.text() == "1"
    assert field.cursorRect().width() > 0
    assert field.width() > 3 * field.fontMetrics().horizontalAdvance("1")
    field.setText("none")
    field.editingFinished.emit()
    assert "This cannot be made" in form.told.text()
    assert not form.button.isEnabled()
    field.setText("3")
    field.editingFinished.emit()
    form.add()
    assert [w.count for w in document.project.wanted] == [3]
