"""The workshop's file on the disk: opened, checked, written in whole transactions, backed up and mended.

SQLite with its rollback journal rather than a write-ahead log: one file that may lie on a shared or synchronised
folder, and changes are few and small. Each change is also written to a journal of our own beside the backups before
it is committed, so that a damaged file is rebuilt from the last backup without losing what came after it.
"""

from __future__ import annotations

import contextlib
import errno
import os
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from layout.formats.reading import one_line
from layout.model.errors import WorkshopError
from layout.workshop import schema
from layout.workshop.backups import Backups, copy
from layout.workshop.gate import alone, passing
from layout.workshop.looking import code_of, number_of
from layout.workshop.statements import STATEMENTS

NAME = "workshop.db"
BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
WAIT = 2.0  # seconds for another window to finish its change
MENDING = 30.0  # seconds for another window to mend the file


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

    @contextlib.contextmanager
    def part(self) -> Iterator[None]:
        """Open a part of the transaction: where it fails, nothing of it is done, and the rest may go on."""
        noted = len(self.noted)
        self._base.execute("SAVEPOINT part")
        try:
            yield
        except BaseException:
            self._base.execute("ROLLBACK TO part")
            del self.noted[noted:]
            raise
        finally:
            self._base.execute("RELEASE part")


class Base:
    """The open file. `notices`: sentences for the person about what was found and mended."""

    def __init__(self, folder: Path, wait: float = WAIT, *, only_look: bool = False) -> None:
        self.folder, self.path, self._only_look = folder, folder / NAME, only_look
        self._wait = self._patience = wait
        self.backups = Backups(folder)
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
            with self._on_the_file():
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

    @contextlib.contextmanager
    def _on_the_file(self) -> Iterator[None]:
        """While this lasts, the open file is the one at its place: perhaps one put there for a damaged one."""
        while True:
            with passing(self.folder, self._patience):
                now = self._which()
                if now is None:
                    raise WorkshopError(
                        f"the workshop was moved out of {self.folder}; close this window and open it anew"
                    )
                if now == self._file:
                    yield
                    return
            self._connection.close()
            self._connection = self._opened()

    def _which(self) -> tuple[int, int] | None:
        """Return what tells the file from one put in its place, None where there is none."""
        try:
            found = self.path.stat()
        except FileNotFoundError:
            return None
        return found.st_dev, found.st_ino

    @contextlib.contextmanager
    def in_haste(self) -> Iterator[None]:
        """While this lasts, do not wait for another window to finish its change."""
        self._patience = 0.0
        self._connection.execute("PRAGMA busy_timeout = 0")
        try:
            yield
        finally:
            self._patience = self._wait
            self._connection.execute(f"PRAGMA busy_timeout = {int(self._wait * 1000)}")

    def _seal(self, work: Writing) -> None:
        """Number the change and note it in our own journal, before it is committed."""
        number = number_of(self._connection) + 1
        work.do("set", "number", str(number))
        self.backups.note(number, work.noted)

    def told(self, error: Exception) -> WorkshopError:
        """Say in a sentence what went wrong with the file."""
        words, code = str(error), code_of(error)
        if code in BUSY:
            why = "is being changed by another window or program; wait a moment and try again"
        elif code == sqlite3.SQLITE_FULL or getattr(error, "errno", None) == errno.ENOSPC:
            why = "cannot be changed because the disk is full; make room and try again, nothing was lost"
        elif code == sqlite3.SQLITE_READONLY or isinstance(error, PermissionError):
            why = "can only be read; ask for the right to write there or choose another folder"
        elif isinstance(error, OSError) or code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_IOERR):
            why = f"cannot be opened ({getattr(error, 'strerror', None) or words}); check the folder or choose another"
        else:
            (self.folder / "workshop.seal").unlink(missing_ok=True)
            why = f"is damaged ({one_line(words)[:200]}); close and open the program, the last backup is then restored"
        return WorkshopError(f"the workshop {self.path} {why}")

    def close(self) -> None:
        """Close the file, noting how it was left."""
        with contextlib.suppress(sqlite3.Error):
            self._connection.close()
        if not self.read_only:
            with contextlib.suppress(OSError):  # also where it was moved elsewhere meanwhile
                self._note_whole()

    # ---- opening -------------------------------------------------------------------------------------------------

    def _opened(self) -> sqlite3.Connection:
        if self._only_look:
            self.read_only = True
            return self._looked_into()
        with contextlib.suppress(OSError):  # told below, by what cannot be opened
            self.folder.mkdir(parents=True, exist_ok=True)
        self.read_only = not (_may_write(self.folder) and (not self.path.exists() or _may_write(self.path)))
        if self.read_only:
            self.notices.append(f"The workshop in {self.folder} can only be read; changes will not be kept there.")
            if self._is_broken():
                raise WorkshopError(
                    f"the workshop {self.path} is damaged and can only be read; make it writable to mend it"
                )
            return self._joined()
        with passing(self.folder, MENDING):
            if self._is_as_left():
                return self._joined()
        with alone(self.folder, MENDING):  # nobody comes in while it is looked at, or finds nothing in its place
            mended = self._is_broken() and self._mend()
            base = self._joined()
            if mended:
                self._back_up(base)
            return base

    def _joined(self) -> sqlite3.Connection:
        base = self._connect()
        self._make_ready(base)
        self._file = self._which()
        return base

    def _looked_into(self) -> sqlite3.Connection:
        base = self._connect()
        if self.path.exists():
            self._make_ready(base)
        else:
            schema.create(base)  # in memory: there is nothing yet
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
        if not self.read_only and (0 < version < schema.VERSION or self.backups.wanted()):
            self._back_up(base)

    def _bring_up(self, base: sqlite3.Connection) -> None:
        base.execute("BEGIN IMMEDIATE")
        try:
            version = schema.version_of(base)  # another window may have been quicker
            if version == 0:
                schema.create(base)
            elif version < schema.VERSION:
                moment = datetime.now(UTC).strftime("%Y%m%d-%H%M%S")
                copy(self.path, self.backups.folder / f"before-version-{schema.VERSION}-{moment}.db")
                schema.migrate(base)
            base.execute("COMMIT")
        except BaseException:
            base.rollback()
            raise

    # ---- damage --------------------------------------------------------------------------------------------------

    def _is_broken(self) -> bool:
        if not self.path.exists() or self.path.stat().st_size == 0:
            return self.backups.any()
        if self._is_as_left():
            return False
        from layout.workshop.mending import is_broken  # seldom needed

        try:
            with contextlib.closing(self._connect()) as base:
                return is_broken(base, self.backups, compare=not self.read_only)
        except sqlite3.OperationalError as error:
            if code_of(error) in BUSY:
                raise
            return code_of(error) not in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_FULL)
        except (sqlite3.DatabaseError, UnicodeDecodeError, ValueError):
            return True

    def _mend(self) -> bool:
        """Set a damaged file aside and make it anew; returns whether a backup is wanted then."""
        from layout.workshop.mending import mend

        mended = mend(self.path, self.backups)
        self.notices.append(mended.notice)
        return mended.wants_backup

    # ---- backups -------------------------------------------------------------------------------------------------

    def _back_up(self, base: sqlite3.Connection) -> None:
        try:
            self.backups.make(base, self.path)
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


def _may_write(path: Path) -> bool:
    return os.access(path, os.W_OK, effective_ids=os.access in os.supports_effective_ids)
