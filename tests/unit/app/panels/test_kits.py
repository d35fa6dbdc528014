"""The kits' window: its words, the change of kits, and the question what can be made."""

from __future__ import annotations

import pytest
import shiboken6

from app.document.state import State
from app.panels.kit_words import answer_words, fetch_words, head_words, pack_words, time_words
from app.panels.kits import KitsDialog
from app.planner.counting import Answer, answer_of
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.model.project import Project
from layout.planning.kits import Gap
from tests.support.desk import grid


@pytest.fixture
def kits(window):
    """Return the kits' window over six dies planned over two sheets, two kits of which one is planned."""
    project, plan = grid(3, 2, corners=24, sheets=2)
    window.document.start_with(State(replace(project, kits=2), plan), None)
    made = KitsDialog(window)
    made.show()
    made.owner = window
    yield made
    made.close()
    shiboken6.delete(made)


def cells(kits, row: int) -> list[str]:
    return [kits.table.item(row, column).text() for column in range(kits.table.columnCount())]


def test_each_piece_is_told_and_follows_a_tick(kits) -> None:
    assert kits.head.text() == "No kit can be packed yet"
    assert cells(kits, 0) == ["flower 1", "1", "0 of 2", "2", "1"]
    kits.owner.marking.mark(0, 0)
    assert kits.head.text() == "1 of 2 kits can be packed"
    assert cells(kits, 0) == ["flower 1", "1", "1 of 2", "1", "1"]
    assert kits.fetch.text() == "Nothing: no pass is still to be made."
    kits.owner.document.undo.undo()
    assert cells(kits, 0) == ["flower 1", "1", "0 of 2", "2", "1"]


def test_another_number_of_kits_keeps_what_is_done_and_offers_to_plan_the_rest(kits) -> None:
    kits.owner.marking.mark(0, 0)
    kits.kits.setText("5")
    kits.kits.editingFinished.emit()
    project = kits.owner.document.project
    assert project.kits == 5
    assert len(project.done.runs) == 1
    assert [project.due(w) for w in project.wanted] == [4] * 6
    assert kits.owner.bar.buttons[0].text() == "Plan"


def test_a_number_that_is_none_is_refused_in_words(kits) -> None:
    kits.kits.setText("many")
    kits.kits.editingFinished.emit()
    assert kits.kits.text() == "2"
    assert "many" in kits.owner.bar.text


def test_what_can_be_made_is_found_by_a_process_of_its_own(kits, qtbot) -> None:
    kits.counting.seconds = 6.0
    with qtbot.waitSignal(kits.counting.ended, timeout=120_000):
        kits.ask_button.click()
        assert kits.ask_button.text() == "Stop"
    assert kits.ask_button.text() == "What can I make?"
    assert "kit" in kits.answer.text()
    assert "can be made of what is here" in kits.answer.text()


def test_the_question_can_be_ended_and_a_change_ends_it(kits) -> None:
    kits.ask_button.click()
    kits.ask_button.click()
    assert not kits.counting.running
    assert kits.answer.text() == ""
    kits.ask_button.click()
    kits.owner.marking.mark(0, 0)
    assert not kits.counting.running


def test_a_planner_that_cannot_start_is_told(kits, qtbot) -> None:
    kits.counting.program = ["no-such-program"]
    with qtbot.waitSignal(kits.counting.ended, timeout=10_000):
        kits.ask_button.click()
    assert "install Plateful again" in kits.answer.text()


def test_the_answer_is_words_with_sizes_of_the_ruler() -> None:
    project, _ = grid(2, 1, corners=12)
    told = {
        "event": "done",
        "kits": 4,
        "most": 4,
        "asked": 6,
        "short": [{"wanted": project.wanted[0].id, "count": 2, "needs": [44.2, 30.0], "why": "why"}],
        "cures": [{"paper": "cream", "sides": [210.0, 297.0], "sheets": 2, "least": 2}],
        "incurable": [],
    }
    words = answer_words(project, answer_of(told, final=True), "mm").splitlines()
    assert words[0] == "4 kits can be made of what is here; more is impossible."
    assert words[1] == "For 6 kits there is still missing:"
    assert words[2] == "2 × flower 1: cream, each piece of paper at least 45 × 30 mm."
    assert words[3] == "2 more sheets of cream, 210 × 297 mm, would do; fewer would not."
    # 44.2 mm are 27.84 sixteenths: 1 3/4 in; 30 mm are 18.9: 1 3/16 in.
    assert "1 3/4 × 1 3/16" in answer_words(project, answer_of(told, final=True), "in")


@pytest.mark.parametrize("line", [{}, {"event": "done", "kits": "x"}, {"event": "done", "kits": 1, "most": 1}])
def test_a_broken_line_of_the_planner_is_no_answer(line: dict) -> None:
    with pytest.raises((KeyError, ValueError, TypeError)):
        answer_of(line, final=True)


def test_the_empty_project_has_words_too() -> None:
    project, plan = Project(), Plan()
    assert head_words(project) == "The project wants no piece yet"
    assert fetch_words(project, plan) == "Nothing: no pass is still to be made."
    assert pack_words(project) == "Nothing is wanted yet."
    assert time_words(project, plan) == "No pass is left."
    nothing = Answer(0, 0, 1, (), (), (), True)
    assert answer_words(project, nothing, "mm") == "0 kits can be made of what is here; more is impossible."


def test_the_time_left_is_told_in_minutes_and_hours() -> None:
    project, plan = grid(2, 1, corners=12)
    assert time_words(project, plan, (Gap(240.0, True),)) == (
        "1 pass left, about 4 minutes: 4 minutes each, as 1 pass of earlier projects took."
    )
    assert "1 hour 30 minutes" in time_words(project, plan, (Gap(5400.0, True),))
    assert "tick two passes off" in time_words(project, plan)
