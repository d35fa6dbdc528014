"""The small forms: what is written goes in as one step, and the keyboard stands where the next one begins."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.document.asking import ask
from app.panels.adding import AddPiece, AddScrap, AddShape
from app.panels.paperbox import new_paper
from layout.geometry.value import replace


@pytest.fixture
def form(window, qtbot):
    def find(kind, leaf):
        window.needs.setCurrentIndex(leaf)
        window.activateWindow()
        found = window.needs.findChild(kind)
        qtbot.waitExposed(found)
        return found

    return find


def write(qtbot, field, text):
    field.setFocus()
    field.clear()
    qtbot.keyClicks(field, text)


def test_a_scrap_may_be_of_a_paper_that_is_named_in_its_form(window, form, qtbot):
    scrap = form(AddScrap, 2)
    write(qtbot, scrap.paper.lineEdit(), "night, blue")
    write(qtbot, scrap.sides, "105 x 148 mm")
    qtbot.keyClick(scrap.sides, Qt.Key.Key_Return)
    project = window.document.project
    assert [(p.id, p.name) for p in project.papers] == [("night,-blue", "night, blue")]
    assert project.scraps[0].paper == project.papers[0].id
    assert window.document.undo.count() == 1
    assert "216 g/m²" in scrap.told.text()
    assert scrap.paper.currentText() == "night, blue"
    assert QApplication.focusWidget() is scrap.sides
    write(qtbot, scrap.sides, "50 x 50 mm")
    qtbot.keyClick(scrap.sides, Qt.Key.Key_Return)
    assert len(window.document.project.papers) == 1
    assert scrap.told.text() == ""
    window.document.undo.undo()
    window.document.undo.undo()
    assert window.document.project == project.__class__()


def test_a_paper_written_in_other_capitals_is_the_one_that_is_there(planned, qtbot):
    planned.needs.setCurrentIndex(2)
    scrap = planned.needs.findChild(AddScrap)
    write(qtbot, scrap.paper.lineEdit(), "Cream ")
    write(qtbot, scrap.sides, "50 x 50 mm")
    qtbot.keyClick(scrap.sides, Qt.Key.Key_Return)
    assert len(planned.document.project.papers) == 1
    assert planned.document.project.scraps[-1].paper == "cream"


def test_what_is_being_written_stays_when_the_project_changes(planned, qtbot):
    planned.needs.setCurrentIndex(2)
    scrap = planned.needs.findChild(AddScrap)
    write(qtbot, scrap.paper.lineEdit(), "cream thick")
    project = planned.document.project
    ask(planned.document, "Another", replace(project, papers=(*project.papers, new_paper(project, "moss"))))
    assert scrap.paper.currentText() == "cream thick"
    assert scrap.paper.known(planned.document.project) is None


def test_a_scrap_without_a_paper_is_refused_in_words(window, form, qtbot):
    told = []
    window.messages.told.connect(lambda message: told.append(message.text))
    scrap = form(AddScrap, 2)
    write(qtbot, scrap.sides, "50 x 50 mm")
    qtbot.keyClick(scrap.sides, Qt.Key.Key_Return)
    assert "write the name of a new one" in told[-1]
    assert window.document.undo.count() == 0


def test_after_a_die_the_keyboard_is_at_the_name_of_the_next(window, form, qtbot):
    shape = form(AddShape, 1)
    for name in ("ticket", "mark"):
        shape.name.setFocus()
        qtbot.keyClicks(shape.name, name)
        qtbot.keyClick(shape.name, Qt.Key.Key_Return)
        assert QApplication.focusWidget() is shape.sides
        qtbot.keyClicks(shape.sides, "57 x 38")
        qtbot.keyClick(shape.sides, Qt.Key.Key_Return)
        assert QApplication.focusWidget() is shape.name
    assert [d.name for d in window.document.project.dies] == ["ticket", "mark"]


def test_after_a_piece_the_keyboard_is_at_the_next_shape(planned, qtbot):
    piece = planned.needs.findChild(AddPiece)
    qtbot.mouseClick(piece.button, Qt.MouseButton.LeftButton)
    assert QApplication.focusWidget() is piece.shape


def test_return_in_the_number_adds_as_the_button_does(planned, qtbot):
    piece, before = planned.needs.findChild(AddPiece), len(planned.document.project.wanted)
    write(qtbot, piece.number, "3")
    qtbot.keyClick(piece.number, Qt.Key.Key_Return)
    assert [w.count for w in planned.document.project.wanted[before:]] == [3]
