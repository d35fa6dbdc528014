"""A window on a disk that is full, that can only be read, or beside a newer workshop: the work goes on, and is told."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from app.document.files import save
from app.document.state import State
from layout.geometry.value import replace
from layout.model.errors import FileError
from tests.support.disks import fill_up, make_read_only, needs_root, small_disk
from tests.support.window_session import Desk, told
from tests.unit.app.workshop.test_keeper import begin, marks, sheets

pytestmark = pytest.mark.usefixtures("qapp")


def work(desk: Desk) -> None:
    """Tick a pass, ask for more kits, and try to save."""
    desk.marking.mark(0, 0)
    project = replace(desk.document.project, kits=7, name="x" * 5000)
    desk.document.change("Kits", State(project, desk.document.plan))


@needs_root
def test_on_a_full_disk_the_work_goes_on_and_is_whole_once_there_is_room(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", 2) as disk:
        (path,) = begin(disk, "a")
        before = path.read_bytes()
        desk = Desk(disk, path)
        filler = fill_up(disk)
        work(desk)
        assert (marks(desk), desk.document.project.kits) == (1, 7)
        assert all("\n" not in words for words in desk.told)
        assert any("Your changes cannot be kept aside" in words for words in desk.told)
        assert any("the disk is full; make room and try again, nothing was lost" in words for words in desk.told)
        with pytest.raises(FileError, match="not saved"):
            save(desk.document, path)
        assert path.read_bytes() == before
        filler.unlink()
        desk.keeping.keep()
        stands = told(desk.document.state)
        desk.keeping.drop()  # as a kill does: the workshop was not told again
        desk.keeper.close()
        again = Desk(disk, path)
        assert (told(again.document.state), again.told) == (stands, [])
        assert sheets(disk)["s"] == 2


@needs_root
def test_on_a_disk_that_can_only_be_read_the_work_goes_on_in_memory(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk", 2) as disk:
        (path,) = begin(disk, "a")
        make_read_only(disk)
        desk = Desk(disk, path)
        work(desk)
        assert (marks(desk), desk.document.project.kits) == (1, 7)
        assert any("can only be read" in words for words in desk.told)
        assert any("cannot be kept aside" in words for words in desk.told)
        with pytest.raises(FileError, match="not saved"):
            save(desk.document, path)
        elsewhere = tmp_path / "elsewhere.json"
        save(desk.document, elsewhere)
        other = Desk(disk, elsewhere)
        assert told(other.document.state) == told(desk.document.state)


def test_beside_a_newer_workshop_the_work_goes_on_and_the_workshop_is_left_alone(tmp_path: Path) -> None:
    (path,) = begin(tmp_path, "a")
    base = sqlite3.connect(tmp_path / "workshop.db")
    base.execute("PRAGMA user_version = 99")
    base.execute("UPDATE settings SET value = '99' WHERE name = 'version'")
    base.commit()
    base.close()
    newer = (tmp_path / "workshop.db").read_bytes()
    desk = Desk(tmp_path, path)
    work(desk)
    assert (marks(desk), desk.document.project.kits) == (1, 7)
    assert any("was made by a newer Plateful" in words for words in desk.told)
    save(desk.document, path)
    desk.keeping.keep()
    desk.keeping.drop()
    desk.keeper.close()
    assert (tmp_path / "workshop.db").read_bytes() == newer
    again = Desk(tmp_path, path)
    assert told(again.document.state) == told(desk.document.state)
