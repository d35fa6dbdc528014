"""Ticking passes off: one undo step each; what is done is not planned again."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest

from app.document.state import State
from app.panels.ticked import DONE
from tests.support.desk import grid


@pytest.fixture
def two_passes(window):
    """Return a window with a layout of six dies and two passes of it, each over a sheet of its own."""
    from layout.geometry.value import replace

    project, plan = grid(3, 2, corners=24)
    (layout,) = plan.layouts
    (run,) = layout.runs
    again = replace(run, scraps=(replace(run.scraps[0], copies=(1,)),))
    scraps = (replace(project.scraps[0], count=2),)
    project = replace(project, scraps=scraps, kits=2)
    window.document.start_with(State(project, replace(plan, layouts=(replace(layout, runs=(run, again)),))), None)
    return window


def test_a_pass_that_is_ticked_off_leaves_the_plan_and_stays_in_sight(two_passes) -> None:
    document, passes = two_passes.document, two_passes.passes
    due = sum(document.project.due(w) for w in document.project.wanted)
    two_passes.marking.mark(0, 0)
    assert document.plan.passes == 1
    assert sum(document.project.due(w) for w in document.project.wanted) == due - 6
    assert [passes.model().place(row) for row in range(2)] == [(DONE, 0), (0, 0)]
    assert passes.model().index(0).data() == "Pass 1 · done"
    assert "done" in str(passes.model().index(0).data(Qt.ItemDataRole.AccessibleTextRole))


def test_the_scraps_shrink_by_exactly_what_was_cut(two_passes) -> None:
    document = two_passes.document
    before = sum(s.count * s.outline.area for s in document.project.scraps)
    cut = sum(die.cut.area for die in document.project.dies)
    two_passes.marking.mark(0, 0)
    (record,) = document.project.done.runs
    after = sum(s.count * s.outline.area for s in document.project.scraps)
    assert record.cut_area == pytest.approx(cut, abs=0.01)
    assert before == pytest.approx(after + cut + record.trimmed, abs=0.01)


def test_undo_and_redo_tick_and_untick(two_passes) -> None:
    document = two_passes.document
    whole = document.state
    two_passes.marking.mark(0, 0)
    ticked = document.state
    document.undo.undo()
    assert document.state == whole
    document.undo.redo()
    assert document.state == ticked


def test_a_tick_taken_back_gives_the_sheets_back_whole(two_passes) -> None:
    document = two_passes.document
    whole = document.project
    two_passes.marking.mark(0, 0)
    two_passes.marking.unmark_last()
    assert document.project.done.runs == ()
    assert sum(s.count * s.outline.area for s in document.project.scraps) == pytest.approx(
        sum(s.count * s.outline.area for s in whole.scraps), abs=0.01
    )
    assert document.plan.passes == 2


def test_space_in_the_row_of_passes_ticks_and_unticks(two_passes) -> None:
    passes = two_passes.passes
    passes.setFocus()
    passes.setCurrentIndex(passes.model().index(1))
    QTest.keyClick(passes, Qt.Key.Key_Space)
    assert len(two_passes.document.project.done.runs) == 1
    assert two_passes.bar.text.startswith("Pass done: 1 × flower 1")
    passes.setCurrentIndex(passes.model().index(0))
    QTest.keyClick(passes, Qt.Key.Key_Space)
    assert two_passes.document.project.done.runs == ()


def test_the_key_works_from_the_plate_too(two_passes) -> None:
    two_passes.canvas.setFocus()
    QTest.keyClick(two_passes.canvas, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    assert len(two_passes.document.project.done.runs) == 1


def test_a_click_into_the_box_ticks_and_one_beside_it_only_chooses(two_passes) -> None:
    passes = two_passes.passes
    rect = passes.visualRect(passes.model().index(1))
    click(passes, rect.center())
    assert two_passes.document.project.done.runs == ()
    assert two_passes.selection.run == 1
    click(passes, passes.itemDelegate().box(rect).center().toPoint())
    assert len(two_passes.document.project.done.runs) == 1


def click(view, at) -> None:
    for kind in (QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease):
        left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        buttons = left if kind == QEvent.Type.MouseButtonPress else Qt.MouseButton.NoButton
        there = QPointF(at)
        event = QMouseEvent(kind, there, QPointF(view.viewport().mapToGlobal(at)), left, buttons, none)
        view.mousePressEvent(event) if kind == QEvent.Type.MouseButtonPress else view.mouseReleaseEvent(event)


def test_all_passes_done_leave_an_empty_plate_that_says_so(two_passes) -> None:
    two_passes.marking.mark(0, 0)
    two_passes.marking.mark(0, 0)
    assert two_passes.document.plan.passes == 0
    assert two_passes.passes.model().rowCount() == 2
    assert two_passes.answers.cards[0].accessibleName().startswith("Passes: All passes are done")
    two_passes.canvas.grab()


def test_more_kits_leave_what_is_done_done_and_ask_for_the_rest_alone(two_passes) -> None:
    from app.document.asking import ask
    from layout.geometry.value import replace

    document = two_passes.document
    two_passes.marking.mark(0, 0)
    ask(document, "Change of kits", replace(document.project, kits=3))
    assert [document.project.due(w) for w in document.project.wanted] == [2] * 6
    assert len(document.project.done.runs) == 1
    assert sum(u.count for u in document.plan.unplaced) == 6


def test_ticking_without_a_plan_says_why_not(window) -> None:
    window.marking.mark(0, 0)
    assert "press Plan" in window.bar.text
    window.marking.unmark_last()
    assert window.bar.text == "No pass is done yet."
