"""Two windows on one file, and the version from before the last save."""

from __future__ import annotations

import os

import pytest

from app.document.asking import ask
from app.document.files import previous_path, save
from app.document.state import State
from layout.geometry.value import replace
from tests.support.desk import grid


@pytest.fixture
def saved(window, tmp_path):
    """Return a window whose project is saved."""
    window.document.start_with(State(*grid(2, 1, corners=12)), None)
    window.commands.save_to(tmp_path / "grid.json")
    return window


def rename(window, name: str) -> None:
    ask(window.document, "Name", replace(window.document.project, name=name), counts=False)


def write_from_elsewhere(window, name: str) -> None:
    """Write the file as another window would: a new file in the place of the old."""
    from app.document.document import Document

    other = Document()
    other.start_with(State(replace(window.document.project, name=name), window.document.plan), None)
    save(other, window.document.path)


def test_saving_twice_here_is_no_change_from_outside(saved) -> None:
    rename(saved, "mine")
    saved.commands.save()
    saved.watching.look()
    assert saved.bar.text == ""
    assert saved.document.saved


def test_a_file_changed_outside_is_told_once_and_taken_over_as_one_step(saved) -> None:
    write_from_elsewhere(saved, "theirs")
    saved.watching.look()
    assert "grid.json was changed outside this window" in saved.bar.text
    saved.bar.buttons[0].click()
    assert saved.document.project.name == "theirs"
    saved.document.undo.undo()
    assert saved.document.project.name == "grid"
    saved.messages.clear()
    saved.watching.look()
    assert saved.bar.text == ""


def test_saving_over_what_another_wrote_asks_first_and_keeps_it(saved) -> None:
    write_from_elsewhere(saved, "theirs")
    rename(saved, "mine")
    saved.commands.save()
    assert "changed outside" in saved.bar.text
    assert not saved.document.saved
    saved.bar.buttons[1].click()
    assert saved.document.saved
    assert '"mine"' in saved.document.path.read_text()
    assert '"theirs"' in previous_path(saved.document.path).read_text()


def test_the_version_before_the_last_save_comes_back_as_one_step(saved) -> None:
    rename(saved, "second")
    saved.commands.save()
    saved.commands.bring_back_previous()
    assert saved.document.project.name == "grid"
    assert saved.document.plan.passes == 1
    saved.document.undo.undo()
    assert saved.document.project.name == "second"


def test_without_a_version_before_it_says_so(window) -> None:
    window.commands.bring_back_previous()
    assert window.bar.text == "There is no version from before the last save yet."


def test_a_broken_version_before_is_told_and_changes_nothing(saved) -> None:
    previous_path(saved.document.path).write_bytes(b"{")
    before = saved.document.state
    saved.commands.bring_back_previous()
    assert "grid.json.before" in saved.bar.text
    assert saved.document.state == before


def test_a_file_that_broke_outside_is_told_and_changes_nothing(saved) -> None:
    before = saved.document.state
    saved.document.path.write_bytes(b'{"format": ')
    saved.watching.look()
    saved.bar.buttons[0].click()
    assert "grid.json" in saved.bar.text
    assert saved.document.state == before


def test_a_file_that_is_gone_can_be_saved_again(saved) -> None:
    os.remove(saved.document.path)
    rename(saved, "mine")
    saved.commands.save()
    assert saved.document.path.is_file()
