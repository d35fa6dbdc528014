"""Hand work is ticked as done in a list; each tick is undone, and the sheets follow."""

from __future__ import annotations

import pytest
import shiboken6
from PySide6.QtCore import Qt

from app.document.state import State
from app.panels.handwork import HandWorkDialog, jobs
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.embossing import Embossed, Folder, Turn, with_folders, with_turns
from layout.model.plan import Punched
from tests.support.simple_plans import simple_plan, simple_project


@pytest.fixture
def dialog(window):
    project = simple_project(kits=2)
    plan = simple_plan()
    plan = replace(plan, punched=(*plan.punched, Punched("w-dot", "dot", "s", Pose(20, 92))))
    project = with_folders(project, [Folder("f", "fern folder", 100.0, 140.0)])
    plan = with_turns(plan, [Turn("f", (Embossed("w-leaf", Pose(30, 30)),))])
    window.document.start_with(State(project, plan), None)
    made = HandWorkDialog(window)
    yield made
    made.close()
    shiboken6.delete(made)


def lines(dialog) -> list[tuple[str, bool]]:
    checked = Qt.CheckState.Checked
    items = [dialog.list.item(i) for i in range(dialog.list.count())]
    return [(item.text(), item.checkState() == checked) for item in items]


def test_a_tick_makes_the_piece_and_taking_it_back_gives_the_paper_back(dialog, window) -> None:
    document = window.document
    dot = document.project.wanted[2]
    assert [done for _, done in lines(dialog)] == [False, False]
    assert lines(dialog)[0][0].startswith("Punch ")
    before = document.project.scraps
    dialog.one.click()
    assert document.project.made(dot.id) == 1
    assert len(document.plan.punched) == 1
    assert [done for _, done in lines(dialog)] == [False, False, True]
    assert lines(dialog)[2][0] == "Punch dot from s"
    dialog.list.item(2).setCheckState(Qt.CheckState.Unchecked)
    assert document.project.made(dot.id) == 0
    assert document.project.scraps == before


def test_all_that_is_picked_is_ticked_as_one_step(dialog, window) -> None:
    document = window.document
    start = document.project
    dialog.list.selectAll()
    dialog.tick_picked()
    assert all(done for _, done in lines(dialog))
    assert document.project.made("w-dot") == 2
    assert dialog.told.text().startswith("0 of 3 left")
    document.undo.undo()
    assert document.project == start
    assert not any(done for _, done in lines(dialog))


def test_what_reads_alike_shares_a_line_and_is_ticked_all_at_once_or_one_by_one(dialog, window) -> None:
    document = window.document
    plan, sheets = document.plan, document.project.scraps
    more = tuple(replace(plan.punched[-1], pose=Pose(x, 92)) for x in (20, 40, 60))
    document.start_with(
        State(replace(document.project, kits=4), replace(plan, punched=(*plan.punched[:1], *more))), None
    )
    assert len(lines(dialog)) == 2  # the punchings, and the turn with the folder
    assert lines(dialog)[0][0].endswith(", 4 times")
    dialog.list.setCurrentRow(0)
    dialog.one.click()
    assert document.project.made("w-dot") == 1
    assert lines(dialog)[0][0].endswith(", 3 times")
    dialog.list.item(0).setCheckState(Qt.CheckState.Checked)
    assert document.project.made("w-dot") == 4
    assert next(words for words, done in lines(dialog) if done).endswith(", 4 times")
    document.undo.undo()
    assert document.project.made("w-dot") == 1
    dialog.list.setCurrentRow([done for _, done in lines(dialog)].index(True))
    assert not dialog.one.isEnabled()
    document.undo.redo()
    dialog.list.setCurrentRow([done for _, done in lines(dialog)].index(True))
    assert dialog.one.text() == "Take back one"
    dialog.one.click()
    assert document.project.made("w-dot") == 3
    dialog.list.item([done for _, done in lines(dialog)].index(True)).setCheckState(Qt.CheckState.Unchecked)
    assert document.project.made("w-dot") == 0
    assert document.project.scraps == sheets


def test_nothing_by_hand_is_said(window) -> None:
    window.document.start_with(State(), None)
    made = HandWorkDialog(window)
    assert made.told.text() == "The plan has nothing to be done by hand."
    assert jobs(window.document.project, window.document.plan) == []
    shiboken6.delete(made)
