"""The workshop's tables, and the way from an older version of them to this one."""

from __future__ import annotations

import functools
import sqlite3
from collections.abc import Callable

APPLICATION = 0x506C7466  # "Pltf": tells our file from any other database
VERSION = 2

_TABLES = """
CREATE TABLE things (
  id TEXT PRIMARY KEY, kind TEXT NOT NULL, name TEXT NOT NULL, count INTEGER NOT NULL CHECK (count >= 0),
  paper TEXT NOT NULL DEFAULT '', note TEXT NOT NULL DEFAULT '', source TEXT NOT NULL DEFAULT '',
  wide REAL NOT NULL DEFAULT 0, long REAL NOT NULL DEFAULT 0, changed TEXT NOT NULL, words TEXT NOT NULL);
CREATE TABLE bodies (
  thing TEXT PRIMARY KEY REFERENCES things (id) ON DELETE CASCADE, body TEXT NOT NULL, mark INTEGER NOT NULL);
CREATE INDEX things_by_kind ON things (kind, name);
CREATE TABLE tags (
  thing TEXT NOT NULL REFERENCES things (id) ON DELETE CASCADE, tag TEXT NOT NULL, PRIMARY KEY (thing, tag));
CREATE INDEX tags_by_tag ON tags (tag);
CREATE TABLE pictures (thing TEXT PRIMARY KEY REFERENCES things (id) ON DELETE CASCADE, png BLOB NOT NULL);
CREATE TABLE sets (
  name TEXT NOT NULL, thing TEXT NOT NULL REFERENCES things (id) ON DELETE CASCADE, PRIMARY KEY (name, thing));
CREATE TABLE projects (
  id TEXT PRIMARY KEY, name TEXT NOT NULL, path TEXT NOT NULL, opened TEXT NOT NULL,
  kits INTEGER NOT NULL, due INTEGER NOT NULL, done INTEGER NOT NULL);
CREATE INDEX projects_by_path ON projects (path);
CREATE TABLE runs (
  id TEXT PRIMARY KEY, project TEXT NOT NULL, number INTEGER NOT NULL, undone INTEGER NOT NULL DEFAULT 0,
  body TEXT NOT NULL);
CREATE INDEX runs_by_project ON runs (project, number);
CREATE TABLE history (
  number INTEGER PRIMARY KEY AUTOINCREMENT, time TEXT NOT NULL, what TEXT NOT NULL, project TEXT NOT NULL,
  record TEXT NOT NULL DEFAULT '', thing TEXT NOT NULL DEFAULT '', before TEXT, after TEXT,
  undone INTEGER NOT NULL DEFAULT 0);
CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL);
"""


def create(base: sqlite3.Connection) -> None:
    """Make the tables of this version in an empty file, as part of the open transaction."""
    _run(base, _TABLES)
    base.execute(f"PRAGMA application_id = {APPLICATION}")
    _note_version(base)


def is_ours(base: sqlite3.Connection) -> bool:
    """Whether a file of this version has our columns: their definitions lie in it as texts, which a bit may turn."""
    return _columns(base) == _our_columns()


@functools.cache
def _our_columns() -> frozenset[tuple[object, ...]]:
    base = sqlite3.connect(":memory:", isolation_level=None)
    try:
        create(base)
        return _columns(base)
    finally:
        base.close()


def _columns(base: sqlite3.Connection) -> frozenset[tuple[object, ...]]:
    """Return every column and reference of every table, without their order: older files had columns added."""
    asked = (
        'SELECT t.name, c.name, c.type, c."notnull", c.pk FROM sqlite_master t, pragma_table_info(t.name) c',
        'SELECT t.name, r."from", r."table", r."to", r.on_delete FROM sqlite_master t,'
        " pragma_foreign_key_list(t.name) r",
    )
    tables = " WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite%'"
    return frozenset(row for question in asked for row in base.execute(question + tables))


def version_of(base: sqlite3.Connection) -> int:
    """Return the version of a file's tables, 0 where it is empty."""
    return int(base.execute("PRAGMA user_version").fetchone()[0])


def migrate(base: sqlite3.Connection) -> None:
    """Bring older tables to this version, as part of the open transaction."""
    for version in range(version_of(base), VERSION):
        _STEPS[version](base)
    _note_version(base)


def _note_version(base: sqlite3.Connection) -> None:
    base.execute(f"PRAGMA user_version = {VERSION}")
    noted = "INSERT INTO settings VALUES ('version', ?) ON CONFLICT (name) DO UPDATE SET value = excluded.value"
    base.execute(noted, (str(VERSION),))


def _from_1(base: sqlite3.Connection) -> None:
    """Version 1 kept tags and outline in the row of a thing, knew no note, and no way back in its history."""
    base.execute("ALTER TABLE things ADD COLUMN note TEXT NOT NULL DEFAULT ''")
    base.execute("ALTER TABLE things ADD COLUMN words TEXT NOT NULL DEFAULT ''")
    base.execute(
        "CREATE TABLE bodies (thing TEXT PRIMARY KEY REFERENCES things (id) ON DELETE CASCADE,"
        " body TEXT NOT NULL, mark INTEGER NOT NULL)"
    )
    base.execute("INSERT INTO bodies SELECT id, body, mark FROM things")
    base.execute(
        "CREATE TABLE tags (thing TEXT NOT NULL REFERENCES things (id) ON DELETE CASCADE, tag TEXT NOT NULL,"
        " PRIMARY KEY (thing, tag))"
    )
    base.execute("CREATE INDEX tags_by_tag ON tags (tag)")
    for thing, words in base.execute("SELECT id, tags FROM things").fetchall():
        rows = [(thing, word.strip()) for word in dict.fromkeys(words.split(",")) if word.strip()]
        base.executemany("INSERT OR IGNORE INTO tags VALUES (?, ?)", rows)
    for thing, *texts in base.execute("SELECT id, name, paper, tags FROM things").fetchall():
        base.execute("UPDATE things SET words = ? WHERE id = ?", (" ".join(texts).casefold(), thing))
    for column in ("tags", "body", "mark"):
        base.execute(f"ALTER TABLE things DROP COLUMN {column}")
    for column in ("thing TEXT NOT NULL DEFAULT ''", "before TEXT", "after TEXT", "undone INTEGER NOT NULL DEFAULT 0"):
        base.execute(f"ALTER TABLE history ADD COLUMN {column}")


_STEPS: dict[int, Callable[[sqlite3.Connection], None]] = {1: _from_1}


def _run(base: sqlite3.Connection, statements: str) -> None:
    # executescript would commit the open transaction first.
    for statement in statements.split(";"):
        if statement.strip():
            base.execute(statement)
