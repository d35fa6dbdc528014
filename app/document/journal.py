"""The file in which unsaved work is written down gesture by gesture: that outlasts a kill, and soon a power cut.

A window writes into a file that no other window writes into; who finds one without an owner may bring it back.
"""

from __future__ import annotations

import contextlib
import os
import threading
from pathlib import Path

from PySide6.QtCore import QLockFile

from app.document.moments import change_record, whole_record
from app.document.owed import Owed
from app.document.state import State

SUFFIX = ".moments"
LARGE = 4 * 2**20  # bytes of changes after which a journal begins anew with the whole
MOST_WINDOWS = 64  # with unsaved work on one project at once


class Journal:
    """One project's journal; every function may raise OSError, and then what was written before still stands."""

    def __init__(self, folder: Path, name: str) -> None:
        self._folder, self._name = folder, name
        self._told: State | None = None  # what the file tells
        self._owed: Owed | None = None
        self._path: Path | None = None
        self._lock: QLockFile | None = None
        self._file: int | None = None
        self._begun_with = self._size = 0

    def tell(self, state: State, owed: Owed | None = None) -> None:
        """Write down a state, and what the workshop has not heard of it.

        It is with the system when this returns, and a kill no longer touches it.
        """
        if state is self._told and owed == self._owed:
            return
        if self._told is None or self._file is None or self._size - self._begun_with > LARGE:
            self._begin(whole_record(state, owed))
        else:
            self._append(change_record(self._told, state, owed))
        self._told, self._owed = state, owed

    def settle(self, *, wait: bool = False) -> None:
        """Make what is written outlast a power cut as well; where not told to wait, the disk takes its time."""
        if self._file is None:
            return
        sync = threading.Thread(target=_sync, args=(os.dup(self._file),), daemon=True)
        sync.start()
        if wait:
            sync.join()

    def clear(self) -> None:
        """Nothing is unsaved any more: drop the file."""
        path = self._path
        self.leave()
        if path is not None:
            path.unlink(missing_ok=True)

    def leave(self) -> None:
        """Let go of the file; what is in it stays."""
        if self._file is not None:
            os.close(self._file)
        if self._lock is not None:
            self._lock.unlock()
        self._told = self._owed = self._file = self._lock = self._path = None

    def left_behind(self) -> list[Path]:
        """Return the files of windows that are no more, the oldest first."""
        there = [p for number in range(MOST_WINDOWS) if (p := self._numbered(number)).is_file()]
        free = [path for path in there if path != self._path and _is_free(path)]
        return sorted(filter(changed_at, free), key=changed_at)

    # ---- inside -------------------------------------------------------------------------------------------------

    def _begin(self, record: bytes) -> None:
        """Put a file that tells the whole in place of the one there was, in one step."""
        self._folder.mkdir(parents=True, exist_ok=True)
        path = self._path or self._owned()
        half = Path(f"{path}.half")
        try:
            half.write_bytes(record)
            if self._file is not None:
                os.close(self._file)
                self._file = None
            os.replace(half, path)
        except OSError:
            with contextlib.suppress(OSError):
                half.unlink()
            raise
        self._file = os.open(path, os.O_RDWR | getattr(os, "O_BINARY", 0))
        os.lseek(self._file, 0, os.SEEK_END)
        self._begun_with = self._size = len(record)

    def _append(self, record: bytes) -> None:
        assert self._file is not None
        try:
            _write(self._file, record)
        except OSError:
            # A full disk may have taken a part: what comes next must follow upon what is whole.
            os.ftruncate(self._file, self._size)
            os.lseek(self._file, self._size, os.SEEK_SET)
            raise
        self._size += len(record)

    def _owned(self) -> Path:
        """Return the first name that no other window has, from now on ours; what others left is not touched."""
        for path in (self._numbered(number) for number in range(MOST_WINDOWS)):
            if path.is_file():
                continue
            lock = QLockFile(f"{path}.lock")
            lock.setStaleLockTime(0)  # only the end of its owner frees it
            if lock.tryLock(0):
                self._path, self._lock = path, lock
                return path
            if lock.error() != QLockFile.LockError.LockFailedError:
                raise OSError(f"nothing can be written into {self._folder}")
        raise OSError(f"{MOST_WINDOWS} windows write into {self._folder} already")

    def _numbered(self, number: int) -> Path:
        return self._folder / f"{self._name}{f'-{number + 1}' if number else ''}{SUFFIX}"


def changed_at(path: Path) -> int:
    """Return when a file was last written (ns), 0 where another window has dropped it meanwhile."""
    try:
        return path.stat().st_mtime_ns
    except OSError:
        return 0


def _is_free(path: Path) -> bool:
    lock = QLockFile(f"{path}.lock")
    lock.setStaleLockTime(0)
    if not lock.tryLock(0):
        return lock.error() == QLockFile.LockError.PermissionError  # a folder that can only be read has no owner
    lock.unlock()
    return True


def _write(handle: int, data: bytes) -> None:
    left = memoryview(data)
    while left:
        left = left[os.write(handle, left) :]


def _sync(handle: int) -> None:
    with contextlib.suppress(OSError):
        os.fsync(handle)
    os.close(handle)
