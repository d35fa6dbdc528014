"""A workshop's file that is damaged, missing or empty: noticed, set aside, and made anew from what is whole."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from layout.workshop import schema
from layout.workshop.backups import Backups, Rebuilt
from layout.workshop.looking import hold_the_same, is_whole, number_of
from layout.workshop.salvage import note_number, number_in, salvaged


@dataclass(frozen=True, slots=True)
class Mended:
    """What was done, in a sentence, and whether a backup is wanted now: notes with gaps are no base to build on."""

    notice: str
    wants_backup: bool


def is_broken(base: sqlite3.Connection, backups: Backups, *, compare: bool) -> bool:
    """Whether a file that nobody closed is damaged. Raises sqlite3.Error, UnicodeDecodeError or ValueError."""
    return not is_whole(base) or (compare and _differs_from_what_was_noted(base, backups))


def _differs_from_what_was_noted(base: sqlite3.Connection, backups: Backups) -> bool:
    """Whether it is another than the backup and all noted since: turned bits in a text.

    A file of a newer or an older version, or one whose backup or notes are not all whole, is believed.
    """
    if schema.version_of(base) != schema.VERSION:
        return False
    base.execute("BEGIN")
    twins = tempfile.TemporaryDirectory(prefix="plateful-", ignore_cleanup_errors=True)  # another window has its own
    twin = Path(twins.name) / "workshop.twin"
    try:
        number = number_of(base)
        told = backups.rebuild(twin, number, thoroughly=False)
        if told.number != number or told.gaps:
            return False
        with contextlib.closing(sqlite3.connect(twin)) as other:
            return not hold_the_same(base, other)
    except sqlite3.DatabaseError:
        return False  # the backup is the damaged one
    finally:
        twins.cleanup()
        base.execute("ROLLBACK")


def mend(path: Path, backups: Backups) -> Mended:
    """Set a damaged file aside and make it anew: the last backup that is whole, what came after it, and, where
    that is not all, what can still be read of the file itself. Raises OSError and sqlite3.Error.
    """
    aside = _set_aside(path)
    fresh = path.with_name("workshop.restoring")
    told = backups.rebuild(fresh)
    number = (number_in(aside) if aside else None) or 0
    rows = 0
    if told.gaps or told.empty or number > told.number:
        told = backups.piece_together(fresh)
        rows = salvaged(aside, fresh) if aside else 0
        note_number(fresh, max(told.number, number))
    os.replace(fresh, path)
    return Mended(_words(path, aside, told, rows), bool(rows or told.gaps))


def _set_aside(path: Path) -> Path | None:
    """Rename a file that is there, and what the database keeps beside it; returns its new path."""
    if not path.exists():
        return None
    moment = datetime.now(UTC).strftime("%Y-%m-%d %H.%M.%S")
    aside = path.with_name(f"workshop damaged {moment}.db")
    os.replace(path, aside)
    hot = Path(f"{path}-journal")
    if hot.exists():
        os.replace(hot, f"{aside}-journal")
    return aside


def _words(path: Path, aside: Path | None, told: Rebuilt, rows: int) -> str:
    said = f"The workshop {path.name} was missing or empty"
    if aside is not None:
        said = f"The workshop was damaged and is set aside as {aside.name}"
    look = "look through the drawer"
    if rows:
        return f"{said}; all that could be read of it, its backups and its notes is put together; {look}."
    if told.empty:
        return f"{said}; an empty one was begun."
    if told.gaps:
        return f"{said}; its backups or notes were damaged too, and what is whole of them is restored; {look}."
    back = "the last backup and all that was noted since is" if told.backup else "all that was noted is"
    return f"{said}; {back} restored."
