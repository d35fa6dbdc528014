"""Who may use the workshop's file: many at a time, and nobody else while one looks whether it is whole and mends it.

A small file beside it is locked by the database's own means: shared or alone. The end of a process frees it.
"""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator
from pathlib import Path

NAME = "workshop.lock"


@contextlib.contextmanager
def alone(folder: Path, wait: float) -> Iterator[None]:
    """While this lasts, nobody else uses the file. Raises sqlite3.Error when others do for so many seconds."""
    with _lock(folder, wait) as lock:
        lock.execute("BEGIN EXCLUSIVE")
        yield


@contextlib.contextmanager
def passing(folder: Path, wait: float) -> Iterator[None]:
    """While this lasts, nobody puts another file in its place. Raises sqlite3.Error when one does all that time."""
    with _lock(folder, wait) as lock:
        lock.execute("BEGIN")
        lock.execute("SELECT count(*) FROM sqlite_master").fetchone()  # it is reading that takes the shared lock
        yield


def _lock(folder: Path, wait: float) -> contextlib.closing[sqlite3.Connection]:
    return contextlib.closing(sqlite3.connect(folder / NAME, timeout=wait, isolation_level=None))
