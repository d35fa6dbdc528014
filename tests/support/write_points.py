"""Every point at which the program writes to the disk, met one after the other: to look at it there, or to fail there.

Patched is what Python offers for writing: opening a file to write, writing, cutting off, putting in place, dropping and
asking the disk, and each statement of a database. Within a commit it is the database's own promise that holds.
"""

from __future__ import annotations

import builtins
import contextlib
import io
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator
from typing import Any
from unittest import mock

WRITES = ("write", "fsync", "replace", "rename", "unlink", "remove", "ftruncate", "mkdir")
READING = ("SELECT", "PRAGMA", "EXPLAIN")

Meet = Callable[[str], None]  # what is done at a point, called with its name just before the write


@contextlib.contextmanager
def met(meet: Meet) -> Iterator[None]:
    """While this lasts, call `meet` before each write, and once after a file was opened to write.

    What another thread does meanwhile is asking the disk alone, which changes no file.
    """
    mine = threading.current_thread()

    def meet_mine(where: str) -> None:
        if threading.current_thread() is mine:
            meet(where)

    with contextlib.ExitStack() as stack:
        for name in WRITES:
            stack.enter_context(mock.patch.object(os, name, _before(meet_mine, name, getattr(os, name))))
        opened = _opening(meet_mine, io.open)
        for home in (builtins, io):
            stack.enter_context(mock.patch.object(home, "open", opened))
        stack.enter_context(mock.patch.object(sqlite3, "connect", _connecting(meet_mine, sqlite3.connect)))
        yield


def _before(meet: Meet, name: str, write: Callable[..., Any]) -> Callable[..., Any]:
    def written(*args: Any, **more: Any) -> Any:
        meet(name)
        return write(*args, **more)

    return written


def _opening(meet: Meet, plain: Callable[..., Any]) -> Callable[..., Any]:
    def opened(file: Any, mode: str = "r", *args: Any, **more: Any) -> Any:
        if not set(mode) & set("wax+"):
            return plain(file, mode, *args, **more)
        meet("open")
        made = plain(file, mode, *args, **more)
        try:
            meet("opened")
        except BaseException:
            made.close()
            raise
        return made

    return opened


def _connecting(meet: Meet, plain: Callable[..., Any]) -> Callable[..., Any]:
    class Met(sqlite3.Connection):
        def execute(self, statement: str, *args: Any) -> sqlite3.Cursor:
            if not statement.lstrip().upper().startswith(READING):
                meet(statement.split(maxsplit=1)[0])
            return super().execute(statement, *args)

    return lambda *args, **more: plain(*args, **more, factory=Met)
