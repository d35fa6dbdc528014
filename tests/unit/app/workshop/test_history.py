"""The history: what was cut when, from which sheet, for which project; searched, and taken back where it can be."""

from __future__ import annotations

import pytest
import shiboken6

from app.document.state import State
from app.workshop.history import HistoryDialog
from layout.geometry.value import replace
from tests.support.desk import grid


@pytest.fixture
def cut(window):
    """Return a window whose project is kept in the workshop, with one pass ticked off."""
    project, plan = grid(3, 2, corners=24, sheets=2)
    kept = window.keeper.store.take_over(replace(project, name="Evening"))
    window.document.start_with(State(kept, plan), None)
    window.marking.mark(0, 0)
    return window


@pytest.fixture
def history(cut):
    made = HistoryDialog(cut)
    made.show()
    yield made
    made.close()
    shiboken6.delete(made)


def shown(history) -> list[list[str]]:
    table = history.table
    return [[table.item(r, c).text() for c in range(4)] for r in range(table.rowCount())]


def row_of(history, what: str) -> int:
    return next(at for at, row in enumerate(shown(history)) if row[1].startswith(what))


def test_a_pass_is_told_with_its_sheet_and_project(history, cut) -> None:
    when, what, sheet, project = shown(history)[row_of(history, "Cut")]
    (record,) = cut.document.project.done.runs
    made = sum(record.made.values()) + sum(s.count for s in record.spares)
    assert (what, project) == (f"Cut {made} pieces, pass {record.layout.id}", "Evening")
    assert sheet == "; ".join(str(t.scrap.extra.get("name") or t.scrap.id) for t in record.taken)
    assert when[:2] == "20"


def test_what_remains_of_a_sheet_says_what_it_is_left_over_from(history, cut) -> None:
    cut.marking.unmark_last()
    cut.keeper.keep_from(5.0)
    cut.marking.mark(0, 0)
    history.refresh()
    (record,) = cut.document.project.done.runs
    newest = record.left[-1].scrap
    sheet, left = record.taken[record.left[-1].of].scrap.id, str(newest.extra.get("name") or newest.id)
    at = row_of(history, "Left over")
    assert shown(history)[at][1:] == [f"Left over from {sheet}", left, "Evening"]
    history.table.setCurrentCell(at, 0)
    assert not history.back.isEnabled()
    assert "take the pass itself back" in history.told.text()
    cut.marking.unmark_last()
    history.refresh()
    assert shown(history)[row_of(history, "Left over")][1] == f"Left over from {sheet} (taken back)"


def test_surplus_that_goes_to_the_tin_is_told_each_time(window) -> None:
    project, plan = grid(3, 2, corners=24)
    kept = window.keeper.store.take_over(replace(project, name="Evening", spares={"w flower 1": 1}))
    window.document.start_with(State(kept, plan), None)
    for _ in range(2):
        window.marking.mark(0, 0)
        window.marking.unmark_last()
    window.marking.mark(0, 0)
    history = HistoryDialog(window)
    told = [row[1:] for row in shown(history) if row[1].startswith("Surplus")]
    assert told == [
        ["Surplus put into the tin", "flower 1", "Evening"],
        *[["Surplus put into the tin (taken back)", "flower 1", "Evening"]] * 2,
    ]
    history.search.setText("tin")
    history.refresh()
    assert len(shown(history)) == 3
    shiboken6.delete(history)


def test_a_tick_of_the_open_project_is_taken_back(history, cut) -> None:
    whole = cut.document.project.scraps
    history.table.setCurrentCell(row_of(history, "Cut"), 0)
    assert history.back.isEnabled()
    history.back.click()
    assert not cut.document.project.done.runs
    assert cut.document.project.scraps != whole
    assert any(row[1].endswith("(taken back)") for row in shown(history))
    history.table.setCurrentCell(row_of(history, "Cut taken back"), 0)
    assert not history.back.isEnabled()


def test_a_tick_of_another_project_says_where_it_is_taken_back(history, cut) -> None:
    cut.document.start_with(State(), None)
    history.refresh()
    history.table.setCurrentCell(row_of(history, "Cut"), 0)
    assert not history.back.isEnabled()
    assert "Evening" in history.told.text()


def test_a_thing_removed_is_put_back(history, cut) -> None:
    store = cut.keeper.store
    die = store.things("die")[0]
    store.remove(die.id)
    history.refresh()
    assert shown(history)[0][1:3] == ["Removed", die.name]
    history.table.setCurrentCell(0, 0)
    history.back.click()
    assert store.thing(die.id).name == die.name


def test_it_is_searched_by_sheet_and_project_and_nothing_found_is_said(history) -> None:
    assert len(shown(history)) > 1
    history.search.setText("cut")
    history.refresh()
    assert [row[1][:3] for row in shown(history)] == ["Cut"]
    history.search.setText("evening")
    history.refresh()
    assert {row[3] for row in shown(history)} == {"Evening"}
    history.search.setText("no such thing")
    history.refresh()
    assert shown(history) == []
    assert "no such thing" in history.told.text()
    assert not history.back.isEnabled()
