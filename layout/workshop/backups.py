"""Backups of the workshop and the notes of what was changed since, each with a check sum by which damage is noticed."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sqlite3
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layout.workshop import schema
from layout.workshop.looking import file_is_whole, number_of
from layout.workshop.salvage import note_number, salvaged
from layout.workshop.statements import STATEMENTS

FOLDER = "workshop-backups"
KEPT = 3
LARGE_NOTES = 4 * 2**20  # bytes
NONE = "000000000"


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """A file made anew: from which backup, how far, and whether something between was missing or damaged."""

    backup: Path | None
    number: int
    gaps: bool

    @property
    def empty(self) -> bool:
        """Whether there was nothing to make it from."""
        return self.backup is None and not self.number


@dataclass(frozen=True, slots=True)
class _Notes:
    """What the notes tell: the statements of each change, and whether the last line of them is damaged."""

    changes: dict[int, list[list[Any]]]
    torn: bool


class Backups:
    """The folder beside the workshop's file. A backup is named after the number of its last change and its sum."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / FOLDER

    def all(self) -> list[Path]:
        """Return the backups, the newest first."""
        return sorted(self.folder.glob("[0-9]*.db"), reverse=True)

    def any(self) -> bool:
        """Whether there is anything from which a workshop could be made anew."""
        return bool(self.all()) or any(self.folder.glob("*.journal"))

    # ---- writing -------------------------------------------------------------------------------------------------

    def note(self, number: int, done: list[list[Any]]) -> None:
        """Note a change before it is committed; raises OSError."""
        told = json.dumps([number, done], ensure_ascii=False)
        with self._notes_now().open("a+b") as file:
            torn = file.tell() > 0 and _last_sign(file) != b"\n"  # a full disk took only a part of the last note
            file.write(f"{chr(10) * torn}{told}\t{zlib.crc32(told.encode()):08x}\n".encode())
            file.flush()
            os.fsync(file.fileno())

    def wanted(self) -> bool:
        """Whether so much was noted since the last backup that it is time for another."""
        notes = self._notes_now()
        return notes.exists() and notes.stat().st_size > LARGE_NOTES

    def make(self, base: sqlite3.Connection, path: Path) -> None:
        """Copy the file while nobody changes it, and drop what is older than the backups kept. Raises OSError."""
        base.execute("BEGIN IMMEDIATE")
        try:
            made = self.folder / f"{number_of(base):09d} {sum_of(path)}.db"
            copy(path, made)
        finally:
            base.execute("ROLLBACK")
        for old in self.all():
            if _stem(old) == _stem(made) and old != made:
                old.unlink(missing_ok=True)
        kept = [_stem(b) for b in self.all()[:KEPT]]
        for file in (*self.folder.glob("[0-9]*.db"), *self.folder.glob("*.journal")):
            if len(kept) == KEPT and _stem(file) < kept[-1]:
                file.unlink(missing_ok=True)

    def _notes_now(self) -> Path:
        self.folder.mkdir(exist_ok=True)
        newest = next(iter(self.all()), None)
        return self.folder / f"{_stem(newest) if newest else NONE}.journal"

    # ---- making anew ---------------------------------------------------------------------------------------------

    def rebuild(self, path: Path, most: int | None = None, *, thoroughly: bool = True) -> Rebuilt:
        """Make a file anew from the last whole backup and what was noted since, up to a number and to the first gap.

        Thoroughly: each backup is read through; otherwise its sum is believed.
        """
        older = [b for b in self.all() if most is None or int(_stem(b)) <= most]
        found = next((b for b in older if _is_sound(b, thoroughly)), None)
        _begin(path, found)
        notes = self._noted(NONE if found is None else _stem(found))
        number, gaps = _carry_out(path, notes.changes, most)
        newest = int(_stem(older[0])) if older else 0
        return Rebuilt(found, number, gaps or notes.torn or number < newest)

    def piece_together(self, path: Path) -> Rebuilt:
        """Make a file anew where not all is whole: also from what can be read of newer backups, and past gaps."""
        found = next((b for b in self.all() if _is_sound(b, thoroughly=True)), None)
        _begin(path, found)
        for backup in reversed(self.all()):
            if found is None or _stem(backup) > _stem(found):
                salvaged(backup, path)
                note_number(path, int(_stem(backup)))
        notes = self._noted(NONE if found is None else _stem(found))
        number, _ = _carry_out(path, notes.changes, past_gaps=True)
        return Rebuilt(found, number, gaps=self.any())

    def _noted(self, since: str) -> _Notes:
        """Read the notes from a backup on; of a number noted twice the later counts, the first was not committed."""
        changes: dict[int, list[list[Any]]] = {}
        torn = False
        for notes in sorted(n for n in self.folder.glob("*.journal") if n.stem >= since):
            for line in notes.read_bytes().splitlines():
                try:
                    number, done = read_note(line)
                    changes[number], torn = done, False
                except (ValueError, TypeError, IndexError, KeyError):
                    torn = True
        return _Notes(changes, torn)


def _last_sign(file: Any) -> bytes:
    file.seek(-1, os.SEEK_END)
    last: bytes = file.read(1)
    return last


def read_note(line: bytes) -> tuple[int, list[list[Any]]]:
    """Read one note; raises ValueError or TypeError where it is not as it was written. Older ones have no sum."""
    told, _, mark = line.decode().partition("\t")
    if mark and zlib.crc32(told.encode()) != int(mark, 16):
        raise ValueError
    number, done = json.loads(told)
    if not isinstance(number, int) or any(step[0] not in STATEMENTS for step in done):
        raise ValueError
    return number, done


def _begin(path: Path, backup: Path | None) -> None:
    """Begin a file with a backup or empty, with the tables of this version."""
    path.unlink(missing_ok=True)
    if backup is not None:
        shutil.copyfile(backup, path)
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as base:
        base.execute("BEGIN")
        if schema.version_of(base) == 0:
            schema.create(base)
        else:
            schema.migrate(base)
        base.execute("COMMIT")


def _carry_out(
    path: Path, changes: dict[int, list[list[Any]]], most: int | None = None, *, past_gaps: bool = False
) -> tuple[int, bool]:
    """Carry out the changes that a backup does not hold yet; returns the last one's number and whether one lacked."""
    with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as base:
        base.execute("PRAGMA foreign_keys = ON")
        base.execute("BEGIN")
        number, gaps = number_of(base), False
        for at in sorted(n for n in changes if n > number and (most is None or n <= most)):
            if at != number + 1:
                gaps = True
                if not past_gaps:
                    break
            _do_again(base, changes[at])
            number = at
        if number != number_of(base):
            base.execute(STATEMENTS["set"], ("number", str(number)))
        base.execute("COMMIT")
    return number, gaps


def _do_again(base: sqlite3.Connection, done: list[list[Any]]) -> None:
    for name, *values in done:
        # What speaks of a thing whose coming is the damaged note cannot be carried out.
        with contextlib.suppress(sqlite3.IntegrityError, sqlite3.ProgrammingError):
            base.execute(STATEMENTS[name], values)


def _is_sound(backup: Path, thoroughly: bool) -> bool:
    _, _, mark = backup.stem.partition(" ")
    try:
        return (not mark or sum_of(backup) == mark) and (not thoroughly or file_is_whole(backup))
    except OSError:
        return False


def _stem(path: Path) -> str:
    return path.stem.partition(" ")[0]


def sum_of(path: Path) -> str:
    """Return the check sum of a file; raises OSError."""
    total = 0
    with path.open("rb") as file:
        for part in _parts(file):
            total = zlib.crc32(part, total)
    return f"{total:08x}"


def _parts(file: Any) -> Iterator[bytes]:
    while part := file.read(2**20):
        yield part


def copy(source: Path, target: Path) -> None:
    """Copy a file so that the copy is whole or not there; raises OSError."""
    target.parent.mkdir(exist_ok=True)
    half = target.with_suffix(".half")
    try:
        with source.open("rb") as old, half.open("wb") as new:
            shutil.copyfileobj(old, new, 2**20)
            new.flush()
            os.fsync(new.fileno())
        os.replace(half, target)
    except OSError:
        half.unlink(missing_ok=True)
        raise
