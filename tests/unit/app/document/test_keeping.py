"""Every gesture that is not saved is written down before the next, and comes back."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from random import Random

import pytest

from app.document import journal
from app.document.document import Document
from app.document.journal import Journal
from app.document.keeping import Keeping
from app.document.state import State
from app.start import open_first
from layout.geometry.value import replace

pytestmark = pytest.mark.usefixtures("qapp")


def kits(document: Document, number: int) -> None:
    document.change(f"{number} kits", State(replace(document.project, kits=number), document.plan))


def brought_back(folder: Path) -> Document:
    """Return what the next window finds."""
    document = Document()
    Keeping(document, folder, pytest.fail, document).bring_back()
    return document


def test_a_gesture_is_on_the_disk_before_the_next(tmp_path: Path) -> None:
    document = Document()
    keeping = Keeping(document, tmp_path, pytest.fail, document)
    for number in (2, 3, 4):
        kits(document, number)
        copied = tmp_path / f"as after a kill {number}"
        copied.mkdir()
        (copied / "untitled.moments").write_bytes((tmp_path / "untitled.moments").read_bytes())
        assert brought_back(copied).project.kits == number
    document.undo.undo()
    keeping.drop()
    assert brought_back(tmp_path).project.kits == 3


def test_what_is_undone_to_the_saved_state_leaves_nothing_behind(tmp_path: Path) -> None:
    document = Document()
    Keeping(document, tmp_path, pytest.fail, document)
    kits(document, 2)
    document.undo.undo()
    assert not list(tmp_path.glob("*.moments"))


def test_a_damaged_end_costs_the_last_gesture_alone(tmp_path: Path) -> None:
    document = Document()
    keeping = Keeping(document, tmp_path, pytest.fail, document)
    kits(document, 2)
    kits(document, 3)
    keeping.drop()
    file = tmp_path / "untitled.moments"
    file.write_bytes(file.read_bytes()[:-1])
    assert brought_back(tmp_path).project.kits == 2


def test_opening_the_same_project_again_loses_nothing(tmp_path: Path) -> None:
    document = Document()
    keeping = Keeping(document, tmp_path, pytest.fail, document)
    kits(document, 2)
    document.start_with(State(), None)
    assert keeping.bring_back()
    assert document.project.kits == 2


def test_two_windows_on_one_project_write_into_files_of_their_own(tmp_path: Path) -> None:
    windows = [Document(), Document()]
    keepings = [Keeping(document, tmp_path, pytest.fail, document) for document in windows]
    for turn in range(3):
        for at, document in enumerate(windows):
            kits(document, 10 * (at + 1) + turn)
    assert not brought_back(tmp_path).undo.count()  # both are alive
    for keeping in keepings:
        keeping.drop()
    back = brought_back(tmp_path)
    assert back.project.kits == 22
    back.undo.undo()
    assert back.project.kits == 12


def test_a_full_disk_is_told_once_and_the_next_gesture_is_whole_again(tmp_path: Path, monkeypatch) -> None:
    told: list[str] = []
    document = Document()
    keeping = Keeping(document, tmp_path, told.append, document)
    kits(document, 2)
    whole = os.write

    def full(handle: int, data: bytes) -> int:
        if len(data) > 5:
            return whole(handle, data[:5])
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("os.write", full)
    kits(document, 3)
    kits(document, 4)
    assert len(told) == 1
    assert "No space left" in told[0]
    monkeypatch.undo()
    kits(document, 5)
    keeping.drop()
    assert brought_back(tmp_path).project.kits == 5


def test_a_long_walk_is_brought_back_at_every_step(tmp_path: Path) -> None:
    from app.document.moments import change_record, told_in, whole_record
    from tests.unit.app.document.test_history import START, Edits, as_bytes
    from tests.unit.app.document.test_walks import DRAWN

    del tmp_path
    dice, desk = Random(7), Edits()
    told, data = START, whole_record(START)
    for _ in range(120):
        name = dice.choice(list(DRAWN))
        getattr(desk, name)(*DRAWN[name](dice), **({"fine": dice.random() < 0.5} if name == "nudge" else {}))
        now = desk.document.state
        data, told = data + change_record(told, now), now
        back = told_in(data)
        assert back is not None
        assert as_bytes(back[0]) == as_bytes(now), name


def test_a_new_project_never_saved_is_had_back_after_another_new_one(window) -> None:
    window.document.change("two kits", State(replace(window.document.project, kits=2), window.document.plan))
    window.actions_by_id["new"].trigger()
    assert window.document.project.kits == 1
    window.bar.buttons[0].click()
    assert window.document.project.kits == 2


def test_a_new_project_never_saved_is_back_after_the_demo(window) -> None:
    window.document.change("two kits", State(replace(window.document.project, kits=2), window.document.plan))
    window.commands.open_demo()
    window.actions_by_id["new"].trigger()
    assert window.document.path is None
    assert window.document.project.kits == 2


def test_a_new_project_never_saved_is_back_at_the_next_start(window, settings) -> None:
    window.document.change("two kits", State(replace(window.document.project, kits=2), window.document.plan))
    window.commands.may_leave()
    window.document.start_with(State(), None)  # as the next window begins
    open_first(window, settings, None)
    assert window.document.path is None
    window.commands.bring_back()
    assert window.document.project.kits == 2


def test_a_file_that_another_window_drops_meanwhile_is_not_left_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number, name in enumerate(("one.moments", "one-2.moments")):
        (tmp_path / name).write_bytes(bytes([number]))
    seen = journal._is_free

    def dropped_by_another(path: Path) -> bool:
        free = seen(path)
        if path.name == "one.moments":
            path.unlink()
        return free

    monkeypatch.setattr(journal, "_is_free", dropped_by_another)
    assert Journal(tmp_path, "one").left_behind() == [tmp_path / "one-2.moments"]
