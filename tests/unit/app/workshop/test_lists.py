"""What can I make, of all projects: asked of a process of its own, told line by line, ended at any time."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
import shiboken6
from PySide6.QtCore import Qt

from app.workshop.list_words import WAITING
from app.workshop.lists import EMPTY, ListsDialog
from layout.formats.project_file import write_project
from layout.geometry.value import replace
from tests.unit.layout.planning.test_makeable import squares

SLEEPER = [sys.executable, "-c", "import time; time.sleep(60)"]


@pytest.fixture
def lists(window):
    """Return the dialog over an empty workshop, before it asks."""
    made = ListsDialog(window)
    made.survey.seconds = 20.0
    made.show()
    yield made
    made.close()
    shiboken6.delete(made)


def fill(window, folder: Path, **kits: int) -> None:
    """Put three sheets of four squares into the workshop, and projects that want so many kits of three squares."""
    store = window.keeper.store
    project = store.take_over(squares(3, 3, 1))
    for name, number in kits.items():
        path = folder / f"{name}.json"
        told = replace(project, name=name, kits=number)
        write_project(told, path)
        store.know(told, path)


def lines(lists) -> dict[str, str]:
    return {name: lists.model.line(row) for row, (name, _) in enumerate(lists.model.names)}


def told_of(lists, name: str) -> str:
    row = next(row for row, (called, _) in enumerate(lists.model.names) if called == name)
    lists.list.setCurrentIndex(lists.model.index(row))
    return lists.told.text()


def test_every_project_is_answered_and_what_is_short_is_told(lists, window, tmp_path: Path, qtbot) -> None:
    fill(window, tmp_path, few=4, many=6, lost=1)
    (tmp_path / "lost.json").unlink()
    with qtbot.waitSignal(lists.survey.ended, timeout=60_000):
        lists.ask()
        assert lists.ask_button.text() == "Stop"
    assert lines(lists) == {
        "few": "fits now: all of 4 kits",
        "many": "4 of 6 kits; cream short",
        "lost": "cannot be read",
    }
    assert lists.head.text().startswith("1 of 3 projects can be made now.")
    assert lists.ask_button.text() == "Ask again"
    many = told_of(lists, "many")
    assert "Short: 6 × square, cream, each piece of paper at least 44 × 44 mm." in many
    assert "more sheet" in many
    assert "would do" in many
    assert "there is no such file" in told_of(lists, "lost")
    assert told_of(lists, "few") == "Everything that is still due fits on the scraps at hand."
    said = [lists.model.index(row).data(Qt.ItemDataRole.AccessibleTextRole) for row in range(3)]
    assert "few: fits now: all of 4 kits" in said


def test_the_picked_project_is_opened(lists, window, tmp_path: Path, qtbot) -> None:
    fill(window, tmp_path, few=4)
    with qtbot.waitSignal(lists.survey.ended, timeout=60_000):
        lists.ask()
    told_of(lists, "few")
    assert lists.open_button.isEnabled()
    lists.open_button.click()
    assert window.document.path == tmp_path / "few.json"
    assert not lists.open_button.isEnabled()  # it is open


def test_a_question_is_stopped_and_what_is_known_stays(lists, window, tmp_path: Path) -> None:
    fill(window, tmp_path, few=4)
    lists.survey.program = SLEEPER
    lists.ask()
    lists.model.begin((("few", str(tmp_path / "few.json")),))
    lists.ask_button.click()
    assert not lists.survey.running
    assert lines(lists) == {"few": WAITING}
    assert lists.ask_button.text() == "Ask again"


def test_an_empty_workshop_says_how_a_project_gets_known(lists, qtbot) -> None:
    with qtbot.waitSignal(lists.survey.ended, timeout=60_000):
        lists.ask()
    assert lists.head.text() == EMPTY
    assert not lists.open_button.isEnabled()


def test_a_damaged_workshop_costs_a_sentence(lists, window, qtbot) -> None:
    folder = window.keeper.folder
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "workshop.db").write_bytes(b"nothing of this is a database" * 50)
    with qtbot.waitSignal(lists.survey.ended, timeout=60_000):
        lists.ask()
    assert "is damaged" in lists.bar.text


def test_words_that_are_no_answer_are_told_once(lists, qtbot) -> None:
    lists.survey.program = [sys.executable, "-c", "print('no answer')"]
    with qtbot.waitSignal(lists.survey.ended, timeout=20_000):
        lists.ask()
    assert "ask once more" in lists.bar.text


def test_many_projects_are_shown_at_once(lists) -> None:
    import time

    lists.model.begin(tuple((f"boxes {k}", f"/{k}.json") for k in range(1000)))
    begun = time.perf_counter()
    lists._say()
    lists.grab()
    assert time.perf_counter() - begun < 1.0
    assert lists.head.text().startswith("0 of 1000 projects")
