"""The advice as a ghost on the plate: offered beside the work, taken with a key or a click, as one step."""

import pytest
from PySide6.QtCore import Qt

from app.document.state import State
from app.panels.easing import NONE_FOUND, easer_of
from layout.model.plan import Plan
from layout.model.project import Project
from layout.rules import check
from layout.rules.rollers import run_profile
from tests.unit.layout.rules.test_easing import bench


@pytest.fixture
def row(window):
    """A window with three labels whose flat edges lie at one height."""
    window.document.start_with(State(*bench(3, 8.0)), None)
    window.show()
    return window


def peak(window):
    document = window.document
    layout = document.plan.layouts[0]
    return run_profile({d.id: d for d in document.project.dies}, layout, layout.runs[0]).peak().length


def shown(window, qtbot):
    easer = easer_of(window)
    easer.ease()
    qtbot.waitUntil(lambda: window.canvas.ghost is not None, timeout=20_000)
    return easer


def test_the_ghost_says_and_does_what_it_says(row, qtbot):
    shown(row, qtbot)
    words, before = row.canvas.ghost.words, row.document.plan
    assert "press E" in words
    assert not row.canvas.grab().isNull()
    row.commands.ease()
    said = float(words.split(" mm of blade")[0].split(" to ")[-1])
    assert peak(row) == pytest.approx(said, abs=0.5)
    assert check(row.document.project, row.document.plan) == []
    assert row.canvas.ghost is None
    row.document.undo.undo()
    assert row.document.plan == before


def test_the_key_takes_it_on_the_plate(row, qtbot):
    shown(row, qtbot)
    before = peak(row)
    row.canvas.setFocus()
    qtbot.keyClick(row.canvas, Qt.Key.Key_E)
    assert peak(row) < before


def test_the_click_in_the_message_takes_it(row, qtbot):
    told = []
    row.messages.told.connect(told.append)
    shown(row, qtbot)
    words, does = told[-1].actions[0]
    before = peak(row)
    does()
    assert words == "Do it"
    assert peak(row) < before


def test_a_plan_that_went_on_makes_the_offer_void(row, qtbot):
    easer = shown(row, qtbot)
    row.document.change_plan("Nothing left", Plan())
    assert row.canvas.ghost is None
    easer.take()
    assert row.document.plan == Plan()


def test_without_a_pass_or_advice_it_says_so(window, qtbot):
    told = []
    window.messages.told.connect(told.append)
    window.document.start_with(State(Project(), Plan()), None)
    easer_of(window).ease()
    assert "press Plan first" in told[-1].text
    project, plan = bench(1, 8.0, bed=(50.0, 26.0))  # no room to turn or move
    window.document.start_with(State(project, plan), None)
    easer_of(window).ease()
    qtbot.waitUntil(lambda: told[-1].text == NONE_FOUND, timeout=20_000)
