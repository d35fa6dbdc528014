"""Nothing is lost: killed, damaged, full, locked, newer, two at once. Each costs one sentence at most."""

from __future__ import annotations

import contextlib
import json
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest

from layout.formats.project_file import read_project
from layout.geometry.value import replace
from layout.model.errors import WorkshopError
from layout.model.plan import Plan
from layout.workshop import Workshop, open_workshop
from layout.workshop.base import Base
from tests.support.broken_files import as_nobody
from tests.support.disks import make_read_only, needs_root, small_disk
from tests.support.marking_session import begin, sheets
from tests.support.simple_plans import simple_plan, simple_project

ROOT = Path(__file__).resolve().parents[4]


def session(folder: Path, seed: int, path: Path, *more: str) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "tests.support.marking_session", str(folder), str(seed), str(path), *more]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True)


def test_two_windows_marking_at_once_lose_nothing_and_spend_no_sheet_twice(tmp_path: Path) -> None:
    first, second = begin(tmp_path, "one"), tmp_path / "two.json"
    second.write_bytes(first.read_bytes())  # both hold the same sheets of the drawer, as two projects
    works = [session(tmp_path, seed, path, "25") for seed, path in ((1, first), (2, second))]
    told = [work.communicate(timeout=120)[0].splitlines() for work in works]
    assert [work.returncode for work in works] == [0, 0]
    with open_workshop(tmp_path) as shop:
        assert shop.base.ask("PRAGMA integrity_check") == [("ok",)]
        marks = [len(shop.agree(read_project(p), Plan(), p).project.done.runs) for p in (first, second)]
        assert min(marks) > 0
        assert sheets(shop, "s") == 1000 - sum(marks)
        assert len([t for t in shop.things("scrap", limit=-1) if "left" in t.name]) == sum(marks)
    assert all(line.startswith("over") for lines in told for line in lines)


def test_two_windows_on_one_project_mark_a_pass_once(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as one, open_workshop(tmp_path) as two:
        path = tmp_path / "p.json"
        project = one.take_over(simple_project(name="boxes"))
        marked = one.mark_done(project, simple_plan(), "A", 0, path)
        with pytest.raises(WorkshopError, match="boxes was marked in another window meanwhile; open it again"):
            two.mark_done(project, simple_plan(), "A", 0, path)
        assert two.agree(project, simple_plan(), path).project == marked.project


def test_a_locked_workshop_says_so_and_works_again_after(tmp_path: Path) -> None:
    with Workshop(tmp_path, wait=0.05) as shop:
        other = sqlite3.connect(tmp_path / "workshop.db", isolation_level=None)
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(WorkshopError, match="is being changed by another window or program; wait a moment"):
            shop.put(simple_project().dies[0])
        with pytest.raises(WorkshopError, match="wait a moment"):
            Workshop(tmp_path, wait=0.05)
        other.execute("ROLLBACK")
        other.close()
        shop.put(simple_project().dies[0])
        assert len(shop.things()) == 1


def test_a_newer_workshop_is_refused_and_left_alone(tmp_path: Path) -> None:
    open_workshop(tmp_path).close()
    base = sqlite3.connect(tmp_path / "workshop.db")
    base.execute("PRAGMA user_version = 99")
    base.execute("UPDATE settings SET value = '99' WHERE name = 'version'")
    base.commit()
    base.close()
    before = (tmp_path / "workshop.db").read_bytes()
    with pytest.raises(WorkshopError, match="made by a newer Plateful, this one reads version"):
        open_workshop(tmp_path)
    assert (tmp_path / "workshop.db").read_bytes() == before


def test_a_folder_that_can_only_be_read_is_told_and_shown(tmp_path: Path) -> None:
    tmp_path.chmod(0o755)
    for parent in (p for p in tmp_path.parents if p.name.startswith(("pytest-", "popen-"))):
        parent.chmod(parent.stat().st_mode | 0o055)
    with open_workshop(tmp_path / "w") as shop:
        shop.put(simple_project().dies[0])
    for file in (tmp_path / "w").rglob("*"):
        file.chmod(0o555 if file.is_dir() else 0o444)
    (tmp_path / "w").chmod(0o555)
    try:
        with as_nobody(), open_workshop(tmp_path / "w") as shop:
            assert "can only be read" in shop.notices[0]
            assert len(shop.things()) == 1
            with pytest.raises(WorkshopError, match="choose a folder that can be written"):
                shop.put(simple_project().dies[1])
    finally:
        for file in (tmp_path / "w", *(tmp_path / "w").rglob("*")):
            file.chmod(0o755)


@needs_root
def test_a_full_disk_costs_a_sentence_and_nothing_else(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk") as disk:
        with open_workshop(disk) as shop:
            count = fill(shop)
            assert len(shop.things(limit=-1)) == count > 10
        with open_workshop(disk) as shop:
            assert len(shop.things(limit=-1)) == count
            assert shop.base.ask("PRAGMA integrity_check") == [("ok",)]


@needs_root
def test_a_disk_that_can_only_be_read_is_told_and_shown(tmp_path: Path) -> None:
    with small_disk(tmp_path / "disk") as disk:
        with open_workshop(disk) as shop:
            shop.put(simple_project().dies[0])
        make_read_only(disk)
        with open_workshop(disk) as shop:
            assert "can only be read" in shop.notices[0]
            assert len(shop.things()) == 1
            with pytest.raises(WorkshopError, match="choose a folder that can be written"):
                shop.put(simple_project().dies[1])
        with pytest.raises(WorkshopError, match=r"can only be read|cannot be opened"):
            open_workshop(disk / "not made yet").put(simple_project().dies[0])


def fill(shop: Workshop) -> int:
    """Put dies into the drawer until the disk is full; returns how many went in."""
    die = replace(simple_project().dies[0], name="n" * 2000)
    for count in range(2000):
        try:
            shop.put(die)
        except WorkshopError as error:
            assert "the disk is full; make room and try again, nothing was lost" in str(error)  # noqa: PT017
            return count
    pytest.fail("the disk was never full")


def test_an_older_workshop_is_brought_up_after_a_backup(tmp_path: Path) -> None:
    from layout.workshop.things import mark_of, to_body

    die = simple_project().dies[0]
    base = sqlite3.connect(tmp_path / "workshop.db")
    base.executescript(
        """CREATE TABLE things (id TEXT PRIMARY KEY, kind TEXT NOT NULL, name TEXT NOT NULL, count INTEGER NOT NULL,
        paper TEXT NOT NULL DEFAULT '', source TEXT NOT NULL DEFAULT '', wide REAL NOT NULL DEFAULT 0,
        long REAL NOT NULL DEFAULT 0, changed TEXT NOT NULL, tags TEXT NOT NULL DEFAULT '', body TEXT NOT NULL,
        mark INTEGER NOT NULL);
        CREATE INDEX things_by_kind ON things (kind, name);
        CREATE TABLE pictures (thing TEXT PRIMARY KEY REFERENCES things (id) ON DELETE CASCADE, png BLOB NOT NULL);
        CREATE TABLE sets (name TEXT NOT NULL, thing TEXT NOT NULL REFERENCES things (id) ON DELETE CASCADE,
        PRIMARY KEY (name, thing));
        CREATE TABLE projects (id TEXT PRIMARY KEY, name TEXT NOT NULL, path TEXT NOT NULL, opened TEXT NOT NULL,
        kits INTEGER NOT NULL, due INTEGER NOT NULL, done INTEGER NOT NULL);
        CREATE TABLE runs (id TEXT PRIMARY KEY, project TEXT NOT NULL, number INTEGER NOT NULL,
        undone INTEGER NOT NULL DEFAULT 0, body TEXT NOT NULL);
        CREATE TABLE history (number INTEGER PRIMARY KEY AUTOINCREMENT, time TEXT NOT NULL, what TEXT NOT NULL,
        project TEXT NOT NULL, record TEXT NOT NULL DEFAULT '');
        CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL);
        PRAGMA user_version = 1;"""
    )
    base.execute(f"PRAGMA application_id = {0x506C7466}")
    row = ("d1", "die", die.name, 1, "", "", 20.0, 20.0, "2001-02-03", "small, fern,,fern", to_body(die))
    base.execute(f"INSERT INTO things VALUES ({', '.join('?' * 12)})", (*row, mark_of(row[-1])))
    base.commit()
    base.close()
    before = (tmp_path / "workshop.db").read_bytes()
    with open_workshop(tmp_path) as shop:
        assert shop.load("d1") == die
        assert [(t.id, t.tags) for t in shop.things(search="leaf")] == [("d1", ("fern", "small"))]
        shop.put(replace(die, id="other"))
    assert [b.read_bytes() for b in (tmp_path / "workshop-backups").glob("before-version-2-*.db")] == [before]
    (tmp_path / "workshop.db").write_bytes(b"nothing of this is a database" * 50)
    with open_workshop(tmp_path) as mended:
        assert len(mended.things("die")) == 2


def test_a_change_noted_but_never_committed_is_not_restored(tmp_path: Path) -> None:
    base = Base(tmp_path)
    with contextlib.suppress(RuntimeError), base.writing() as work:
        work.do("set", "a", "1")
        base._seal(work)  # the moment between our journal and the commit
        raise RuntimeError
    with base.writing() as work:
        work.do("set", "b", "2")
    base.close()
    (tmp_path / "workshop.db").write_bytes(b"")
    again = Base(tmp_path)
    assert again.ask("SELECT name FROM settings WHERE name IN ('a', 'b')") == [("b",)]
    again.close()


def test_a_whole_file_that_nobody_closed_is_not_taken_for_damaged(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        shop.take_over(simple_project())
        shop.base.back_up()
        shop.put(simple_project().dies[0])
    (tmp_path / "workshop.seal").unlink()
    with open_workshop(tmp_path) as shop:
        assert shop.notices == ()
        assert len(shop.things("die")) == 4


def opened(folder: Path, start: str) -> list[str]:
    """Open the workshop at a moment, put a die in, and return its notices: run in a process of its own."""
    while time.time() < float(start):
        time.sleep(0.0005)
    with open_workshop(folder) as shop:
        shop.put(simple_project().dies[0])
        return list(shop.notices)


def all_at_once(folder: Path, windows: int = 3) -> list[list[str]]:
    """Open the workshop in several processes at the same moment; returns what each was told."""
    start = str(time.time() + 1.5)
    told = "import sys, json; from pathlib import Path; from tests.unit.layout.workshop.test_safety import opened;"
    told += "print(json.dumps(opened(Path(sys.argv[1]), sys.argv[2])))"
    command = [sys.executable, "-c", told, str(folder), start]
    works = [subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) for _ in range(windows)]
    return [json.loads(work.communicate(timeout=60)[0]) for work in works]


def test_several_windows_opened_at_once_after_a_crash_take_nothing_for_damaged(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        for _ in range(60):
            shop.put(simple_project().dies[0])
        shop.base.back_up()
        shop.take_over(simple_project())
    (tmp_path / "workshop.seal").unlink()
    assert all_at_once(tmp_path) == [[], [], []]
    assert not list(tmp_path.glob("workshop damaged*"))
    with open_workshop(tmp_path) as shop:
        assert len(shop.things("die", limit=-1)) == 60 + 2 + 3  # one of the project's three is among the sixty


def test_several_windows_opened_at_once_on_a_damaged_workshop_mend_it_once(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        for _ in range(60):
            shop.put(simple_project().dies[0])
    (tmp_path / "workshop.db").write_bytes(b"nothing of this is a database" * 50)
    told = all_at_once(tmp_path)
    assert sorted(len(notices) for notices in told) == [0, 0, 1]
    assert len(list(tmp_path.glob("workshop damaged*"))) == 1
    with open_workshop(tmp_path) as shop:
        assert len(shop.things("die", limit=-1)) == 60 + 3


def test_a_window_goes_on_with_the_file_that_another_one_mended(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as one:
        one.put(simple_project().dies[0])
        (tmp_path / "workshop.db").rename(tmp_path / "workshop damaged.db")
        (tmp_path / "workshop.seal").unlink(missing_ok=True)
        with open_workshop(tmp_path) as two:  # made anew from the notes
            assert "missing" in two.notices[0]
            one.put(simple_project().dies[1])
            assert len(one.things("die")) == len(two.things("die")) == 2
