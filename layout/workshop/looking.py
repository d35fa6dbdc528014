"""Whether a workshop's file is whole, and whether two hold the same."""

from __future__ import annotations

import contextlib
import sqlite3
from itertools import zip_longest
from pathlib import Path

from layout.workshop import schema
from layout.workshop.things import mark_of


def number_of(base: sqlite3.Connection) -> int:
    """Return the number of the last change."""
    row = base.execute("SELECT value FROM settings WHERE name = 'number'").fetchone()
    return int(row[0]) if row else 0


def is_whole(base: sqlite3.Connection) -> bool:
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
    if version == schema.VERSION and not schema.is_ours(base):
        return False
    for table in tables:
        for _ in base.execute(f'SELECT * FROM "{table}"'):  # a turned bit may leave no text, and that is told here
            pass
    where = "bodies" if version >= 2 else "things"
    return all(mark_of(body) == mark for body, mark in base.execute(f"SELECT body, mark FROM {where}"))


def file_is_whole(path: Path) -> bool:
    """Whether a file that nobody has open is whole."""
    try:
        with contextlib.closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as base:
            return is_whole(base)
    except (sqlite3.Error, UnicodeDecodeError, ValueError):
        return False


def code_of(error: BaseException) -> int:
    """Return the database's code for what went wrong, 0 where it was another; its words may quote texts of ours."""
    code: int = getattr(error, "sqlite_errorcode", 0) & 0xFF
    return code


def hold_the_same(one: sqlite3.Connection, other: sqlite3.Connection) -> bool:
    """Whether two files hold the same rows."""
    one.text_factory = other.text_factory = bytes  # a turned bit may leave no text at all
    tables = one.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite%'").fetchall()
    return all(_same(one, other, f"SELECT * FROM {name.decode()}") for (name,) in tables)


def _same(one: sqlite3.Connection, other: sqlite3.Connection, question: str) -> bool:
    return all(a == b for a, b in zip_longest(one.execute(question), other.execute(question)))
