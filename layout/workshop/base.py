"""The workshop's file on the disk: opened, checked, written in whole transactions, backed up and mended.

SQLite with its rollback journal rather than a write-ahead log: one file that may lie on a shared or synchronised
folder, and changes are few and small. Each change is also written to a journal of our own beside the backups before
it is committed, so that a damaged file is rebuilt from the last backup without losing what came after it.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import zip_longest
from pathlib import Path
from typing import Any

from layout.model.errors import WorkshopError
from layout.workshop import schema
from layout.workshop.statements import STATEMENTS
from layout.workshop.things import mark_of

NAME = "workshop.db"
WAIT = 2.0  # seconds for another window to finish its change
KEPT_BACKUPS = 3
LARGE_JOURNAL = 4 * 2**20


class Writing:
    """One transaction: statements of ours by name, noted so that they can be carried out again."""

    def __init__(self, base: sqlite3.Connection) -> None:
        self._base = base
        self.noted: list[list[Any]] = []

    def do(self, name: str, *values: Any) -> sqlite3.Cursor:
        """Carry out one of our statements."""
        self.noted.append([name, *values])
        return self._base.execute(STATEMENTS[name], values)

    def ask(self, question: str, *values: Any) -> list[tuple[Any, ...]]:
        """Read within the transaction."""
        return self._base.execute(question, values).fetchall()


class Base:
    """The open file. `notices`: sentences for the person about what was found and mended."""

    def __init__(self, folder: Path, wait: float = WAIT) -> None:
        self.folder, self.path, self._wait = folder, folder / NAME, wait
        self.backups = folder / "workshop-backups"
        self.notices: list[str] = []
        self.read_only = False
        try:
            self._connection = self._opened()
        except (sqlite3.Error, OSError) as error:
            raise self.told(error) from error

    # ---- reading and writing ---------------------------------------------------------------------------------------

    def ask(self, question: str, *values: Any) -> list[tuple[Any, ...]]:
        """Return the rows that answer a question; raises WorkshopError."""
        try:
            return self._connection.execute(question, values).fetchall()
        except (sqlite3.Error, UnicodeDecodeError) as error:
            raise self.told(error) from error

    @contextlib.contextmanager
    def writing(self) -> Iterator[Writing]:
        """Open a transaction: all of it reaches the disk, or nothing does. Raises WorkshopError."""
        if self.read_only:
            raise WorkshopError(f"the workshop in {self.folder} can only be read; choose a folder that can be written")
        try:
            self._connection.execute("BEGIN IMMEDIATE")
            try:
                work = Writing(self._connection)
                yield work
                if work.noted:
                    self._seal(work)
                self._connection.execute("COMMIT")
            except BaseException:
                self._connection.rollback()
                raise
        except (sqlite3.Error, OSError, UnicodeDecodeError) as error:
            raise self.told(error) from error

    def _seal(self, work: Writing) -> None:
        """Number the change and note it in our own journal, before it is committed."""
        number = _number(self._connection) + 1
        work.do("set", "number", str(number))
        line = json.dumps([number, work.noted], ensure_ascii=False) + "\n"
        journal = self._journal()
        with journal.open("ab") as file:
            file.write(line.encode())
            file.flush()
            os.fsync(file.fileno())

    def told(self, error: Exception) -> WorkshopError:
        """Say in a sentence what went wrong with the file."""
        words = str(error)
        if "locked" in words or "busy" in words:
            why = "is being changed by another window or program; wait a moment and try again"
        elif "full" in words or getattr(error, "errno", None) == 28:
            why = "cannot be changed because the disk is full; make room and try again, nothing was lost"
        elif "readonly" in words or isinstance(error, PermissionError):
            why = "can only be read; ask for the right to write there or choose another folder"
        elif isinstance(error, OSError) or "unable to open" in words:
            why = f"cannot be opened ({getattr(error, 'strerror', None) or words}); check the folder or choose another"
        else:
            (self.folder / "workshop.seal").unlink(missing_ok=True)
            why = f"is damaged ({words}); close and open the program, the last backup is then restored"
        return WorkshopError(f"the workshop {self.path} {why}")

    def close(self) -> None:
        """Close the file, noting how it was left."""
        with contextlib.suppress(sqlite3.Error):
            self._connection.close()
        if not self.read_only:
            with contextlib.suppress(OSError):
                self._note_whole()

    # ---- opening -------------------------------------------------------------------------------------------------

    def _opened(self) -> sqlite3.Connection:
        with contextlib.suppress(OSError):  # told below, by what cannot be opened
            self.folder.mkdir(parents=True, exist_ok=True)
        there = self.path.exists()
        self.read_only = not (_may_write(self.folder) and (not there or _may_write(self.path)))
        if self.read_only:
            self.notices.append(f"The workshop in {self.folder} can only be read; changes will not be kept there.")
        if self._is_broken(there):
            self._mend(there)
        base = self._connect()
        self._make_ready(base)
        return base

    def _connect(self) -> sqlite3.Connection:
        if self.read_only:
            place = f"{self.path.resolve().as_uri()}?mode=ro" if self.path.exists() else ":memory:"
            base = sqlite3.connect(place, uri=True, timeout=self._wait, isolation_level=None, check_same_thread=False)
        else:
            base = sqlite3.connect(self.path, timeout=self._wait, isolation_level=None, check_same_thread=False)
        base.execute("PRAGMA foreign_keys = ON")
        base.execute("PRAGMA synchronous = FULL")
        base.execute("PRAGMA trusted_schema = OFF")
        return base

    def _make_ready(self, base: sqlite3.Connection) -> None:
        version = schema.version_of(base)
        if version > schema.VERSION:
            base.close()
            raise WorkshopError(
                f"the workshop {self.path} is of version {version} and was made by a newer Plateful, this one reads"
                f" version {schema.VERSION}; update Plateful, or choose another folder"
            )
        if self.read_only and self.path.exists():
            if version < schema.VERSION:
                raise WorkshopError(f"the workshop {self.path} is older and can only be read; make it writable first")
            return
        if version < schema.VERSION:
            self._bring_up(base)
        if not self.read_only and (0 < version < schema.VERSION or self._wants_backup()):
            self._back_up(base)

    def _bring_up(self, base: sqlite3.Connection) -> None:
        base.execute("BEGIN IMMEDIATE")
        try:
            version = schema.version_of(base)  # another window may have been quicker
            if version == 0:
                schema.create(base)
            elif version < schema.VERSION:
                self.backups.mkdir(exist_ok=True)
                moment = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
                _copy(self.path, self.backups / f"before-version-{schema.VERSION}-{moment}.db")
                schema.migrate(base)
            base.execute("COMMIT")
        except BaseException:
            base.rollback()
            raise

    # ---- damage --------------------------------------------------------------------------------------------------

    def _is_broken(self, there: bool) -> bool:
        if not there or self.path.stat().st_size == 0:
            return bool(self._all_backups()) or any(self.backups.glob("*.journal"))
        if self._is_as_left():
            return False
        try:
            with contextlib.closing(self._connect()) as base:
                return not _is_whole(base) or self._differs_from_what_was_noted(base)
        except sqlite3.OperationalError as error:
            if "locked" in str(error) or "busy" in str(error):
                raise
            return "unable to open" not in str(error) and "full" not in str(error)
        except (sqlite3.DatabaseError, UnicodeDecodeError, ValueError):
            return True

    def _mend(self, there: bool) -> None:
        """Set a damaged file aside, restore the last backup that is whole, and carry out what came after it."""
        if self.read_only:
            raise WorkshopError(
                f"the workshop {self.path} is damaged and can only be read; make it writable to mend it"
            )
        said = f"The workshop {self.path.name} was missing or empty"
        if there:
            moment = datetime.now(UTC).strftime("%Y-%m-%d %H.%M.%S")
            aside = self.folder / f"workshop damaged {moment}.db"
            os.replace(self.path, aside)
            hot = Path(f"{self.path}-journal")
            if hot.exists():
                os.replace(hot, f"{aside}-journal")
            said = f"The workshop was damaged and is set aside as {aside.name}"
        fresh = self.folder / "workshop.restoring"
        found, changes = self._rebuild(fresh)
        os.replace(fresh, self.path)
        back = "an empty one was begun" if found is None and not changes else "all that was noted since is restored"
        self.notices.append(f"{said}; {back}." if found is None else f"{said}; the last backup and {back}.")

    def _differs_from_what_was_noted(self, base: sqlite3.Connection) -> bool:
        """Whether a file that nobody closed is another than the backup and all noted since: turned bits in a text.

        A file of a newer or an older version, or one whose notes are not all there, is believed.
        """
        if self.read_only or schema.version_of(base) != schema.VERSION:
            return False
        base.execute("BEGIN")
        try:
            number = _number(base)
            twin = self.folder / "workshop.twin"
            try:
                self._rebuild(twin, number, trusting=True)
                with contextlib.closing(sqlite3.connect(twin)) as other:
                    base.text_factory = other.text_factory = bytes  # a turned bit may leave no text at all
                    return _number(other) == number and not _hold_the_same(base, other)
            except sqlite3.DatabaseError:
                return False  # the backup is the damaged one
            finally:
                twin.unlink(missing_ok=True)
        finally:
            base.execute("ROLLBACK")

    def _rebuild(self, path: Path, most: int | None = None, *, trusting: bool = False) -> tuple[Path | None, int]:
        """Make a file anew from the last whole backup and what was noted since, up to a number."""
        path.unlink(missing_ok=True)
        older = [b for b in self._all_backups() if most is None or int(b.stem) <= most]
        found = next((b for b in older if trusting or _file_is_whole(b)), None)
        if found is not None:
            shutil.copyfile(found, path)
        return found, self._carry_out(path, "" if found is None else found.stem, most)

    def _carry_out(self, path: Path, since: str, most: int | None = None) -> int:
        """Carry out the journals' changes that a backup does not hold yet; returns how many."""
        with contextlib.closing(sqlite3.connect(path, isolation_level=None)) as base:
            base.execute("BEGIN")
            if schema.version_of(base) == 0:
                schema.create(base)
            else:
                schema.migrate(base)
            changes = self._noted(since)
            number, done = _number(base), 0
            while number + 1 in changes and number != most:
                number += 1
                for name, *values in changes[number]:
                    base.execute(STATEMENTS[name], values)
                done += 1
            base.execute("COMMIT")
        return done

    def _noted(self, since: str) -> dict[int, list[list[Any]]]:
        """Read the journals from a backup on; of a number noted twice the later counts, the first was not committed."""
        changes: dict[int, list[list[Any]]] = {}
        for journal in sorted(j for j in self.backups.glob("*.journal") if j.stem >= since):
            for line in journal.read_bytes().splitlines():
                with contextlib.suppress(ValueError, TypeError):
                    number, statements = json.loads(line)
                    if all(s[0] in STATEMENTS for s in statements):
                        changes[number] = statements
        return changes

    # ---- backups -------------------------------------------------------------------------------------------------

    def _all_backups(self) -> list[Path]:
        return sorted(self.backups.glob("[0-9]*.db"), reverse=True)

    def _journal(self) -> Path:
        self.backups.mkdir(exist_ok=True)
        newest = next(iter(self._all_backups()), None)
        return self.backups / f"{newest.stem if newest else '000000000'}.journal"

    def _wants_backup(self) -> bool:
        journal = self._journal()
        return journal.exists() and journal.stat().st_size > LARGE_JOURNAL

    def _back_up(self, base: sqlite3.Connection) -> None:
        """Copy the file while nobody changes it, and drop what is older than the backups kept."""
        try:
            base.execute("BEGIN IMMEDIATE")
            try:
                _copy(self.path, self.backups / f"{_number(base):09d}.db")
            finally:
                base.execute("ROLLBACK")
            kept = [b.stem for b in self._all_backups()[:KEPT_BACKUPS]]
            for old in (*self.backups.glob("[0-9]*.db"), *self.backups.glob("*.journal")):
                if kept and len(kept) == KEPT_BACKUPS and old.stem < kept[-1]:
                    old.unlink(missing_ok=True)
        except (OSError, sqlite3.Error):
            self.notices.append("The workshop could not be backed up now; make room on the disk.")

    def back_up(self) -> None:
        """Make a backup now."""
        self._back_up(self._connection)

    # ---- how it was left -------------------------------------------------------------------------------------------

    def _is_as_left(self) -> bool:
        """Whether the file is the one that was last closed or checked whole: then it is not read through again."""
        try:
            return (self.folder / "workshop.seal").read_text() == self._stamp()
        except (OSError, UnicodeDecodeError):
            return False

    def _stamp(self) -> str:
        now = self.path.stat()
        return f"{now.st_size} {now.st_mtime_ns} {now.st_ino}"

    def _note_whole(self) -> None:
        (self.folder / "workshop.seal").write_text(self._stamp())


def _number(base: sqlite3.Connection) -> int:
    row = base.execute("SELECT value FROM settings WHERE name = 'number'").fetchone()
    return int(row[0]) if row else 0


def _is_whole(base: sqlite3.Connection) -> bool:
    """Whether a file passes the database's own check, is ours, and every row is as it was written."""
    if base.execute("PRAGMA integrity_check(1)").fetchone()[0] != "ok":
        return False
    version = schema.version_of(base)
    tables = {row[0] for row in base.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    if version == 0:
        return not tables
    if base.execute("PRAGMA application_id").fetchone()[0] != schema.APPLICATION or "things" not in tables:
        return False
    if version > schema.VERSION:  # a flipped bit is no newer version: that is noted twice
        noted = base.execute("SELECT value FROM settings WHERE name = 'version'").fetchone()
        return noted is None or noted[0] != str(schema.VERSION)
    where = "bodies" if version >= 2 else "things"
    return all(mark_of(body) == mark for body, mark in base.execute(f"SELECT body, mark FROM {where}"))


def _may_write(path: Path) -> bool:
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)


def _hold_the_same(one: sqlite3.Connection, other: sqlite3.Connection) -> bool:
    tables = one.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'").fetchall()
    return all(_same(one, other, f"SELECT * FROM {name.decode()}") for (name,) in tables)


def _same(one: sqlite3.Connection, other: sqlite3.Connection, question: str) -> bool:
    return all(a == b for a, b in zip_longest(one.execute(question), other.execute(question)))


def _file_is_whole(path: Path) -> bool:
    try:
        with contextlib.closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as base:
            return _is_whole(base)
    except (sqlite3.Error, UnicodeDecodeError, ValueError):
        return False


def _copy(source: Path, target: Path) -> None:
    """Copy a file so that the copy is whole or not there."""
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
