"""Damage of the store, its backup and its notes, alone and together: nothing is lost that can still be read.

`PLATEFUL_MUTATIONS=2000` damages so often: files cut off, a bit turned, eight, or two hundred all over the place.
"""

from __future__ import annotations

import os
import random
import shutil
from pathlib import Path

import pytest

from layout.formats.project_file import parse_project, project_bytes
from layout.model.errors import FileError
from layout.workshop import Workshop, open_workshop
from tests.support.simple_plans import simple_plan, simple_project

MUTATIONS = int(os.environ.get("PLATEFUL_MUTATIONS", "60"))
EACH = MUTATIONS // 8  # of these, for each choice of files; twice as many where all three are damaged
TABLES = ("things", "bodies", "tags", "sets", "runs", "projects", "history")


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a workshop's folder: a backup, notes before and after it, a pass marked done, tags and a set."""
    folder = tmp_path_factory.mktemp("shop") / "good"
    with open_workshop(folder) as shop:
        shop.take_over(simple_project())
        shop.base.back_up()
        project = shop.take_over(simple_project(name="second"))
        shop.mark_done(project, simple_plan(), "A", 0)
        shop.tag(shop.things()[0].id, ["spring"])
        shop.put_set("evening class", [t.id for t in shop.things()])
    return folder


def mutated(good: bytes, dice: random.Random) -> bytes:
    """Return a file cut off, or with bits turned."""
    if dice.random() < 0.3:
        return good[: dice.randrange(len(good))]
    bad = bytearray(good)
    for _ in range(dice.choice((1, 1, 8, 200))):
        bad[dice.randrange(len(bad))] ^= 1 << dice.randrange(8)
    return bytes(bad)


def damaged(good: Path, target: Path, what: tuple[str, ...], dice: random.Random) -> Path:
    """Return a copy with the files of these patterns damaged."""
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(good, target)
    (target / "workshop.seal").unlink(missing_ok=True)  # as nobody closed it
    for pattern in what:
        for file in sorted(target.rglob(pattern)):
            file.write_bytes(mutated(file.read_bytes(), dice))
    return target


STORE, BACKUP, NOTES = "workshop.db", "0*.db", "*.journal"


def contents(shop: Workshop) -> list[list[object]]:
    return [shop.base.ask(f"SELECT * FROM {table} ORDER BY 1") for table in TABLES]


def opened(folder: Path) -> list[list[object]]:
    """Open a workshop, see that it says one sentence at most and that one can go on; returns its contents."""
    with open_workshop(folder) as shop:
        assert len(shop.notices) <= 1
        for said in shop.notices:
            assert said.startswith("The workshop ")
            assert said.endswith(".")
            assert "\n" not in said
        held = contents(shop)
        made = shop.put(simple_project().dies[0], tags=["after"])
        assert shop.base.ask("PRAGMA integrity_check") == [("ok",)]
        for thing in shop.things(limit=-1):
            shop.load(thing.id)
    with open_workshop(folder) as shop:
        assert shop.notices == ()
        assert shop.thing(made.id) == made
    return held


@pytest.mark.timeout(60 + MUTATIONS)
@pytest.mark.parametrize(
    "what", [(STORE,), (BACKUP,), (NOTES,), (BACKUP, NOTES), (STORE, BACKUP)], ids=lambda what: " and ".join(what)
)
def test_where_store_or_backup_with_all_notes_are_whole_nothing_at_all_is_lost(
    good: Path, tmp_path: Path, what: tuple[str, ...]
) -> None:
    with open_workshop(good) as shop:
        rows = contents(shop)
    dice = random.Random(" ".join(what))
    for number in range(EACH):
        assert opened(damaged(good, tmp_path / f"{number % 4}", what, dice)) == rows


def test_a_bit_turned_in_the_name_of_a_column_is_damage(good: Path, tmp_path: Path) -> None:
    with open_workshop(good) as shop:
        rows = contents(shop)
    folder = damaged(good, tmp_path / "one", (), random.Random(0))
    file = folder / STORE
    assert b"before TEXT" in file.read_bytes()
    file.write_bytes(file.read_bytes().replace(b"before TEXT", b"beforu TEXT"))
    assert opened(folder) == rows


@pytest.mark.timeout(60 + MUTATIONS)
def test_a_damaged_store_with_damaged_notes_keeps_the_backup_and_every_note_that_is_whole(
    good: Path, tmp_path: Path
) -> None:
    dice = random.Random(3)
    (backup,) = good.rglob(BACKUP)
    since = int(backup.stem.split()[0])
    with open_workshop(good) as shop:
        things = {row[0] for row in shop.base.ask("SELECT id FROM things")}
    with_gaps = 0
    for number in range(EACH):
        folder = damaged(good, tmp_path / f"{number % 4}", (STORE, NOTES), dice)
        whole = [line for notes in folder.rglob(NOTES) for line in notes.read_bytes().splitlines() if is_whole(line)]
        put = {step[1] for n, steps in map(note_of, whole) if n > since for step in steps if step[0] == "put"}
        held = {row[0] for row in opened(folder)[0]}
        assert held >= ids_in(good, since) | put
        with_gaps += held != things
    assert with_gaps < EACH / 2


@pytest.mark.timeout(60 + MUTATIONS)
def test_store_backup_and_notes_all_damaged_lose_only_what_cannot_be_read_in_any(good: Path, tmp_path: Path) -> None:
    dice = random.Random(4)
    kept = had = 0
    with open_workshop(good) as shop:
        every = {t.id for t in shop.things(limit=-1)}
    for number in range(2 * EACH):
        folder = damaged(good, tmp_path / f"{number % 4}", (STORE, BACKUP, NOTES), dice)
        notes = [line for file in folder.rglob(NOTES) for line in file.read_bytes().splitlines() if is_whole(line)]
        noted = {step[1] for _, steps in map(note_of, notes) for step in steps if step[0] == "put"}
        held = {row[0] for row in opened(folder)[0]}
        assert held >= noted
        kept, had = kept + len(every & held), had + len(every)
    print(f"{2 * EACH} times all three damaged: {kept} of {had} things kept")
    assert kept > 0.8 * had


def is_whole(line: bytes) -> bool:
    try:
        note_of(line)
    except (ValueError, TypeError, IndexError, KeyError):
        return False
    return True


def note_of(line: bytes) -> tuple[int, list[list[object]]]:
    from layout.workshop.backups import read_note

    return read_note(line)


def ids_in(good: Path, number: int) -> set[str]:
    import contextlib
    import sqlite3

    (backup,) = good.rglob(f"{number:09d} *.db")
    with contextlib.closing(sqlite3.connect(backup)) as base:
        return {row[0] for row in base.execute("SELECT id FROM things")}


def test_a_damaged_project_file_costs_one_sentence(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        good = project_bytes(shop.mark_done(simple_project(), simple_plan(), "A", 0).project)
    dice = random.Random(8)
    refused = 0
    for _ in range(MUTATIONS):
        try:
            parse_project(mutated(good, dice), "boxes.json")
        except FileError as error:
            refused += 1
            said = str(error)
            assert said.startswith("boxes.json: ") and "\n" not in said  # noqa: PT018
    assert refused > MUTATIONS / 4


def test_a_note_that_a_full_disk_tore_spoils_no_later_one(tmp_path: Path) -> None:
    with open_workshop(tmp_path) as shop:
        shop.take_over(simple_project())
    (notes,) = tmp_path.rglob(NOTES)
    with notes.open("ab") as file:
        file.write(b'[2, [["put", "half of a no')
    with open_workshop(tmp_path) as shop:
        shop.put(simple_project().dies[0])
        rows = contents(shop)
    (tmp_path / STORE).write_bytes(b"")
    with open_workshop(tmp_path) as shop:
        assert contents(shop) == rows
        name = next(tmp_path.glob("workshop damaged *.db")).name
        assert shop.notices == (
            f"The workshop was damaged and is set aside as {name}; all that was noted is restored.",
        )
