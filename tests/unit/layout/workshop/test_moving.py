"""The workshop taken to another folder: all of it, or nothing happened."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from layout.model.errors import WorkshopError
from layout.workshop import open_workshop
from layout.workshop.moving import move_workshop
from tests.support.simple_plans import simple_project


@pytest.fixture
def old(tmp_path: Path) -> Path:
    with open_workshop(tmp_path / "old") as shop:
        shop.take_over(simple_project())
        shop.base.back_up()
    return tmp_path / "old"


def names(folder: Path) -> list[str]:
    with open_workshop(folder) as shop:
        assert shop.notices == ()
        return [t.name for t in shop.things(limit=-1)]


def test_everything_is_there_and_the_old_one_is_left_as_a_backup(old: Path, tmp_path: Path) -> None:
    before = names(old)
    left = move_workshop(old, tmp_path / "new" / "deep")
    assert names(tmp_path / "new" / "deep") == before
    assert left.parent == old
    assert names(left) == before
    assert not (old / "workshop.db").exists()


def test_a_folder_with_a_workshop_is_not_written_over(old: Path, tmp_path: Path) -> None:
    open_workshop(tmp_path / "new").close()
    with pytest.raises(WorkshopError, match="has a workshop already"):
        move_workshop(old, tmp_path / "new")
    assert names(old)


def test_a_full_disk_leaves_all_where_it_was(old: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = names(old)

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("layout.workshop.backups.shutil.copyfileobj", full)
    with pytest.raises(WorkshopError, match=r"No space left.*it is where it was"):
        move_workshop(old, tmp_path / "new")
    monkeypatch.undo()
    assert not (tmp_path / "new").exists()
    assert names(old) == before


def test_a_window_that_has_the_old_one_open_is_told_and_writes_nothing(old: Path, tmp_path: Path) -> None:
    with open_workshop(old) as other:
        move_workshop(old, tmp_path / "new")
        with pytest.raises(WorkshopError, match="was moved out of"):
            other.put(simple_project().dies[0])


def test_while_another_window_writes_it_waits_and_then_refuses(
    old: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("layout.workshop.moving.WAIT", 0.05)
    refused = pytest.raises(WorkshopError, match="another window is changing")
    with open_workshop(old) as other, other.base.writing(), refused:
        move_workshop(old, tmp_path / "new")
    assert names(old)
