"""Folders and wishes entered in the window: one step, turns in the plan, faults said."""

import pytest

from app.document.state import State
from app.panels.embossing import open_embossing
from app.panels.words import passes_words
from layout.model.embossing import folder_of, folders, turns
from tests.unit.layout.rules.test_easing import bench


@pytest.fixture
def told(window):
    found = []
    window.messages.told.connect(lambda message: found.append(message.text))
    window.document.start_with(State(*bench(3, 8.0)), None)
    return found


def test_a_folder_and_a_wish_make_turns_and_are_one_step(window, told):
    before = window.document.project
    dialog = open_embossing(window)
    dialog.add()
    for row in range(3):
        dialog._choice(row).setCurrentIndex(1)
    dialog.accept()
    document = window.document
    assert [(f.width, f.length) for f in folders(document.project)] == [(100.0, 140.0)]
    assert [folder_of(w) for w in document.project.wanted] == ["folder"] * 3
    assert [len(turn.pieces) for turn in turns(document.plan)] == [3]
    assert "One turn with embossing folders" in told[-1]
    document.undo.undo()
    assert document.project == before
    assert turns(document.plan) == ()


def test_a_size_that_is_none_is_refused_and_nothing_changes(window, told):
    before = window.document.project
    dialog = open_embossing(window)
    dialog.add()
    dialog.folders.item(0, 1).setText("0")
    dialog.accept()
    assert dialog.isVisible()
    assert "measure it" in dialog.told.text()
    assert window.document.project == before
    dialog.folders.item(0, 1).setText("20 mm")
    dialog.folders.item(0, 2).setText("20 mm")
    dialog._choice(0).setCurrentIndex(1)
    dialog.accept()
    assert "stays plain: label 0" in told[-1]


def test_the_passes_panel_tells_of_the_turns(window, told):
    dialog = open_embossing(window)
    dialog.add()
    dialog._choice(0).setCurrentIndex(1)
    dialog.accept()
    assert "Then 1 turn with embossing folders." in passes_words(window.document.project, window.document.plan)
    assert told
