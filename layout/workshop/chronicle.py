"""What the workshop remembers of projects and of its own changes, which one can walk back."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from layout.model.errors import WorkshopError
from layout.model.project import Project
from layout.workshop.base import Writing
from layout.workshop.store import Drawer, now
from layout.workshop.things import from_object, kind_by


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the history: what was done when, in which project or to which thing."""

    number: int
    when: str
    what: str
    project: str
    record: str
    thing: str
    undone: bool


@dataclass(frozen=True, slots=True)
class Happening:
    """An entry of the history as a person reads it: `name` of the thing or of the sheets, and how many pieces.

    `source`: where the thing came from, as the drawer knows it now.
    """

    entry: Entry
    name: str
    source: str
    pieces: int
    layout: str
    newer: bool  # the thing was changed again since


@dataclass(frozen=True, slots=True)
class KnownProject:
    """A project that the workshop knows: where it was last, and how far it is."""

    id: str
    name: str
    path: str
    opened: str
    kits: int
    due: int
    done: int


_BODY = "iif(json_valid(runs.body), runs.body, '{}')"
_SHEETS = (
    "SELECT group_concat(coalesce(json_extract(value, '$.scrap.name'), json_extract(value, '$.scrap.id')), '; ')"
    f" FROM json_each({_BODY}, '$.taken')"
)
_NAME = (
    f"CASE WHEN what IN ('done', 'undone') THEN coalesce(({_SHEETS}), '') ELSE coalesce(things.name,"
    " json_extract(after, '$.name'), json_extract(before, '$.name'), json_extract(before, '$.id'), '') END"
)
_PIECES = (
    f"coalesce((SELECT sum(value) FROM json_each({_BODY}, '$.made')), 0)"
    f" + coalesce((SELECT sum(json_extract(value, '$.count')) FROM json_each({_BODY}, '$.spares')), 0)"
)
_HAPPENED = (
    "SELECT history.number, time, what, history.project, record, history.thing, history.undone,"
    f" {_NAME} AS called, coalesce(things.source, ''), {_PIECES}, coalesce(json_extract({_BODY}, '$.layout.id'), ''),"
    " bodies.body IS NOT after FROM history LEFT JOIN runs ON runs.id = record AND record <> ''"
    " LEFT JOIN things ON things.id = history.thing LEFT JOIN bodies ON bodies.thing = history.thing"
)


_WORDS = (
    "CASE what WHEN 'done' THEN 'cut pass' WHEN 'undone' THEN 'cut taken back' WHEN 'left' THEN things.source"
    " WHEN 'spare' THEN 'spare into the tin' ELSE what END"
)


class Chronicle(Drawer):
    """The drawer with its history and the projects it knows."""

    def projects(self, search: str = "", limit: int = 200) -> list[KnownProject]:
        """Return the projects known, last opened first."""
        words = search.split()
        where = " AND ".join(["1", *(["instr(lower(name || ' ' || path), lower(?))"] * len(words))])
        rows = self.base.ask(f"SELECT * FROM projects WHERE {where} ORDER BY opened DESC LIMIT ?", *words, limit)
        return [KnownProject(*row) for row in rows]

    def know(self, project: Project, path: Path) -> None:
        """Note where a project is and how far it is. Raises WorkshopError."""
        with self.base.writing() as work:
            self._know(work, project, path)

    def forget(self, path: Path) -> None:
        """Drop a project from those known; what it cut stays cut."""
        with self.base.writing() as work:
            work.do("forget", str(path.resolve()))

    def _know(self, work: Writing, project: Project, path: Path | None) -> None:
        if path is None and not project.done.project:
            return
        where = str(path.resolve()) if path else ""
        name = project.done.project or where
        if where:
            work.do("forget", where)
        due = sum(project.due(w) for w in project.wanted)
        made = sum(project.made(w.id) for w in project.wanted)
        called = project.name or (path.stem if path else "")
        work.do("know", name, called, where, now(), project.kits, due, made)

    def _ids_at(self, path: Path | None) -> list[str]:
        if path is None:
            return []
        where = str(path.resolve())
        return [row[0] for row in self.base.ask("SELECT id FROM projects WHERE path = ? AND id <> path", where)]

    def history(self, limit: int = 200) -> list[Entry]:
        """Return what was done, the newest first."""
        question = "SELECT number, time, what, project, record, thing, undone FROM history ORDER BY number DESC LIMIT ?"
        rows = self.base.ask(question, limit)
        return [
            Entry(n, when, what, project, run, thing, bool(gone)) for n, when, what, project, run, thing, gone in rows
        ]

    def happened(self, search: str = "", limit: int = 500) -> list[Happening]:
        """Return what was done, the newest first, whose words hold every word searched for."""
        words = search.casefold().split()
        told = f"lower(history.project || ' ' || time || ' ' || coalesce({_WORDS}, '') || ' ' || called)"
        where = " AND ".join(["1", *([f"instr({told}, ?)"] * len(words))])
        rows = self.base.ask(f"{_HAPPENED} WHERE {where} ORDER BY history.number DESC LIMIT ?", *words, limit)
        return [
            Happening(Entry(n, when, what, project, run, thing, bool(gone)), name, source, pieces, layout, bool(newer))
            for n, when, what, project, run, thing, gone, name, source, pieces, layout, newer in rows
        ]

    def walk_back(self, number: int) -> None:
        """Take one change of the drawer back, where nothing came after it. Raises WorkshopError."""
        with self.base.writing() as work:
            rows = work.ask("SELECT what, thing, before, after, undone FROM history WHERE number = ?", number)
            if not rows or rows[0][0] not in ("put", "removed") or rows[0][4]:
                raise WorkshopError("this step cannot be walked back here; a pass is taken back in its project")
            _, thing, before, after, _ = rows[0]
            present = work.ask("SELECT body, kind FROM bodies JOIN things ON id = thing WHERE thing = ?", thing)
            if (present[0][0] if present else None) != after:
                raise WorkshopError("this thing was changed again since; walk that change back first")
            if before is None:
                work.do("remove", thing)
            else:
                tree = json.loads(before)
                kind = present[0][1] if present else kind_by(tree)
                self.put_in(work, from_object(kind, tree), thing)
            work.do("walked back", number)
