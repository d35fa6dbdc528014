"""What can still be read of a damaged workshop's file, put into one made anew, row by row.

Only where backups and notes do not tell all. A row is taken where it looks as it was written: a thing by its check
sum, everything else by the kinds of its values.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from layout.model.errors import WorkshopError
from layout.workshop import schema
from layout.workshop.looking import number_of
from layout.workshop.statements import STATEMENTS
from layout.workshop.things import KINDS, from_body, kind_by, mark_of, row_of

HEAD, PAGE = 100, 4096  # bytes
MOST_ROWS = 10**6
Row = tuple[Any, ...]
# In this order: what others speak of first. Kinds of values: t text, n whole number, r number, b bytes, ? may lack.
_SHAPES = {
    "things": "tttntttrrtt",
    "bodies": "ttn",
    "tags": "tt",
    "pictures": "tb",
    "sets": "tt",
    "projects": "ttttnnn",
    "runs": "ttnnt",
    "history": "nttttt??n",
    "settings": "tt",
}


def number_in(path: Path) -> int | None:
    """Return the number of the last change in a damaged file, None where that cannot be read."""
    with contextlib.suppress(sqlite3.Error, UnicodeDecodeError, ValueError, TypeError), _reading(path) as base:
        return number_of(base)
    return None


def salvaged(damaged: Path, into: Path) -> int:
    """Put what can be read of a damaged file into a whole one; returns how many rows were taken."""
    taken = 0
    with contextlib.closing(sqlite3.connect(into, isolation_level=None)) as base:
        base.execute("PRAGMA foreign_keys = ON")
        base.execute("BEGIN")
        with _readable(damaged) as copy:
            for table in _SHAPES:
                # `OR REPLACE` would take a thing's tags along with the row it replaces.
                for row in list(_rows(copy, table)):
                    if table == "bodies":
                        _put_row_for(base, row)
                    taken += _put(base, table, row)
        base.execute("DELETE FROM things WHERE id NOT IN (SELECT thing FROM bodies)")  # a name of nothing
        base.execute("COMMIT")
    return taken


def _put_row_for(base: sqlite3.Connection, body: Row) -> None:
    """Make the row of a thing of which only the outline and all that is cut by it is left; it lost note and source."""
    if base.execute("SELECT 1 FROM things WHERE id = ?", body[:1]).fetchone():
        return
    with contextlib.suppress(WorkshopError, ValueError, TypeError):
        model = from_body(kind_by(json.loads(body[1])), body[1], body[2], body[0])
        base.execute(STATEMENTS["put"], row_of(model, body[0], "", "", datetime.now(UTC).isoformat(timespec="seconds")))


def _put(base: sqlite3.Connection, table: str, row: Row) -> bool:
    key = _KEYS[table]
    columns = [c[1] for c in base.execute(f"PRAGMA table_info({table})")]
    rest = [c for c in columns if c not in key]
    other = f"UPDATE SET {', '.join(f'{c} = excluded.{c}' for c in rest)}" if rest else "NOTHING"
    places = ", ".join("?" * len(columns))
    with contextlib.suppress(sqlite3.IntegrityError):
        base.execute(f"INSERT INTO {table} VALUES ({places}) ON CONFLICT ({', '.join(key)}) DO {other}", row)
        return True
    return False


_KEYS = {
    "things": ("id",),
    "bodies": ("thing",),
    "tags": ("thing", "tag"),
    "pictures": ("thing",),
    "sets": ("name", "thing"),
    "projects": ("id",),
    "runs": ("id",),
    "history": ("number",),
    "settings": ("name",),
}


@contextlib.contextmanager
def _reading(path: Path) -> Iterator[sqlite3.Connection]:
    with contextlib.closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro&immutable=1", uri=True)) as base:
        yield base


@contextlib.contextmanager
def _readable(path: Path) -> Iterator[sqlite3.Connection]:
    """Open a copy of a damaged file, with the head or the first page of an empty one where its own is no use."""
    copy = path.with_suffix(".reading")
    try:
        shutil.copyfile(path, copy)
        for size in (HEAD, PAGE):
            if not _names_all_tables(copy):
                _lend_head(copy, size)
        with _reading(copy) as base:
            base.text_factory = bytes
            yield base
    finally:
        copy.unlink(missing_ok=True)


def _names_all_tables(path: Path) -> bool:
    with contextlib.suppress(sqlite3.Error, UnicodeDecodeError), _reading(path) as base:
        found = {row[0] for row in base.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        return found.issuperset(_SHAPES)
    return False


def _lend_head(path: Path, size: int) -> None:
    """Write the first bytes of an empty file of ours over a damaged one's: tables begin at the same pages in both."""
    fresh = path.with_suffix(".head")
    fresh.unlink(missing_ok=True)
    with contextlib.closing(sqlite3.connect(fresh, isolation_level=None)) as base:
        base.execute("BEGIN")
        schema.create(base)
        base.execute("COMMIT")
    head, least = bytearray(fresh.read_bytes()[:size]), fresh.stat().st_size
    fresh.unlink()
    # Two counts of changes that differ make the file's size count, not the number of pages noted; no page is free.
    head[24:28], head[32:40], head[92:96] = b"\0\0\0\1", bytes(8), bytes(4)
    with path.open("r+b") as file:
        file.write(head)
        there = file.seek(0, os.SEEK_END)
        file.write(bytes(max(-there % PAGE, least - there)))  # what is cut off are pages that cannot be read, no more


def _rows(base: sqlite3.Connection, table: str) -> Iterator[Row]:
    """Give the rows of a table that look whole, each asked for alone: some lie on pages that cannot be read."""
    columns = ", ".join(f"c{number}" for number in range(len(_SHAPES[table])))  # the file's names may be no text
    asked = f"WITH raw ({columns}) AS (SELECT * FROM {table} WHERE rowid = ?) SELECT * FROM raw"
    for number in range(1, _last(base, table) + 1):
        with contextlib.suppress(sqlite3.Error, MemoryError):
            for raw in base.execute(asked, (number,)).fetchall():
                row = _plain(raw, _SHAPES[table])
                if row is not None and _is_sound(table, row):
                    yield row


def _last(base: sqlite3.Connection, table: str) -> int:
    """Return the last number of a row that can be found, from either end of the table and from its index."""
    last = 0
    for order in ("", "ORDER BY rowid DESC", f"ORDER BY {', '.join(_KEYS[table])}"):
        with contextlib.suppress(sqlite3.Error, MemoryError):
            for (number,) in base.execute(f"SELECT rowid FROM {table} {order}"):
                last = max(last, min(number, MOST_ROWS))
    return last


def _plain(raw: Row, shape: str) -> Row | None:
    """Return a row with its texts as texts, None where a value is not of its kind."""
    if len(raw) != len(shape):
        return None
    try:
        row = tuple(v.decode() if k in "t?" and isinstance(v, bytes) else v for v, k in zip(raw, shape, strict=True))
    except UnicodeDecodeError:
        return None
    return row if all(_fits(v, k) for v, k in zip(row, shape, strict=True)) else None


def _fits(value: Any, kind: str) -> bool:
    kinds: dict[str, tuple[type, ...]] = {
        "t": (str,),
        "n": (int,),
        "r": (int, float),
        "b": (bytes,),
        "?": (str, type(None)),
    }
    return isinstance(value, kinds[kind])


def _is_sound(table: str, row: Row) -> bool:
    if table == "things":
        return row[1] in KINDS and bool(row[3] >= 0)
    if table == "bodies":
        return bool(mark_of(row[1]) == row[2])
    if table == "runs":
        try:
            return isinstance(json.loads(row[4]), dict)
        except ValueError:
            return False
    return table != "settings" or row[0] not in ("number", "version")


def note_number(path: Path, number: int) -> None:
    """Write the number of the last change into a file."""
    with contextlib.closing(sqlite3.connect(path)) as base:
        base.execute(STATEMENTS["set"], ("number", str(number)))
        base.commit()
