"""Things of the workshop in and out of projects, out of the tin, and as one file to a friend and back."""

from __future__ import annotations

import base64
import json
import uuid
from collections.abc import Iterable, Mapping
from pathlib import Path

from layout.model.done import Spare
from layout.model.errors import DrawerError, WorkshopError
from layout.model.project import Machine, Paper, Project
from layout.workshop.base import Writing
from layout.workshop.chronicle import Chronicle
from layout.workshop.store import now
from layout.workshop.things import (
    Kind,
    Model,
    Thing,
    count_of,
    mark_of,
    named,
    reference,
    to_body,
    with_count,
    without_reference,
)

TIN = "tin "  # before a project's id: the setting that tells what it took


class Exchange(Chronicle):
    """The drawer, lending to projects and sharing with friends."""

    def into_project(self, project: Project, names: Iterable[str], counts: Mapping[str, int] | None = None) -> Project:
        """Return the project with copies of these things in it, `counts` of each (all where not said)."""
        from layout.workshop.lending import lent

        for name in names:
            model = self.load(name)
            count = min((counts or {}).get(name, count_of(model)), count_of(model))
            project = lent(project, name, with_count(model, count), self._paper_called)
        return project

    def take_over(self, project: Project) -> Project:
        """Put what the workshop does not have yet there; return the project naming what it took and put."""
        from layout.workshop.lending import each_of, with_references

        found: dict[tuple[str, str], str] = {}
        with self.base.writing() as work:
            for kind, model in each_of(project):
                name = reference(model) or self._alike(work, kind, model) or uuid.uuid4().hex
                if not work.ask("SELECT 1 FROM things WHERE id = ?", name):
                    self.put_in(work, model, name, source=project.name)
                found[kind, model.id if not isinstance(model, Machine | Spare) else ""] = name
        return with_references(project, found)

    def from_tin(self, project: Project, spare: str, wanted: str, count: int) -> Project:
        """Take so many ready pieces out of the spares tin for a project. Raises WorkshopError."""
        from layout.workshop.tin import with_more

        held = self.thing(spare).count
        if not 0 < count <= held:
            raise WorkshopError(f"the tin holds {held} of these, {count} cannot be taken; take fewer")
        after = with_more(named(project), spare, wanted, count)
        with self.base.writing() as work:
            self._follow_tin(work, project, after, after.done.project)
        return after

    def _follow_tin(self, work: Writing, before: Project, after: Project, name: str) -> None:
        """Take out of the tin, or put back, what a project has taken more or less. Raises DrawerError."""
        from layout.workshop.tin import fewer_or_more, taken

        changed, noted = fewer_or_more(before, after), json.dumps(taken(after))
        if not changed or work.ask("SELECT 1 FROM settings WHERE name = ? AND value = ?", TIN + name, noted):
            return  # it is done already, as before a crash
        for spare, count in changed.items():
            rows = work.ask("SELECT count FROM things WHERE id = ? AND kind = 'spare'", spare)
            held = rows[0][0] if rows else 0
            if count > held:
                raise DrawerError(f"the tin holds {held} of these, {count} cannot be taken; take fewer")
            work.do("count", -count, spare)
            what = "taken from the tin" if count > 0 else "put back into the tin"
            work.do("history", now(), what, after.name, "", spare, None, None)
        work.do("set", TIN + name, noted)

    def agree_tin(self, project: Project) -> tuple[Project, tuple[str, ...]]:
        """Return the project with what the tin says it has taken: a crash may have parted them."""
        from layout.workshop.tin import taken, with_taken

        rows = self.base.ask("SELECT value FROM settings WHERE name = ?", TIN + project.done.project)
        noted = json.loads(rows[0][0]) if rows and project.done.project else None
        if noted is None or noted == taken(project):
            return project, ()
        said = "what was taken out of the tin is not what this file says; what the tin says is taken over"
        return with_taken(project, noted), (said,)

    def export_drawer(self, path: Path, names: Iterable[str] | None = None) -> None:
        """Write things (all where not said) with tags, pictures and sets into one file. Raises FileError."""
        from layout.workshop.sharing import Shared, write_drawer

        every = [t.id for t in self.things(limit=-1)] if names is None else list(names)
        sets: dict[str, list[str]] = {}
        for kit in self.sets():
            for name in kit.things:
                sets.setdefault(name, []).append(kit.name)
        told = []
        for thing in (self.thing(name) for name in every):
            mine = tuple(sets.get(thing.id, ()))
            told.append(Shared(self.load(thing.id), thing.tags, thing.note, thing.source, mine, self.picture(thing.id)))
        write_drawer(path, told)

    def import_drawer(self, path: Path) -> list[Thing]:
        """Put the things of a friend's file into the drawer, all or none. Raises FileError, WorkshopError."""
        from layout.workshop.sharing import read_drawer

        shared = read_drawer(path)
        made: list[str] = []
        with self.base.writing() as work:
            for item in shared:
                made.append(self.put_in(work, item.model, uuid.uuid4().hex, item.note, item.source))
                for tag in item.tags:
                    work.do("tag", made[-1], tag)
                for name in item.sets:
                    work.do("add to set", name, made[-1])
                if item.picture is not None:
                    work.do("picture", made[-1], base64.b64encode(item.picture).decode())
        return [self.thing(name) for name in made]

    def _paper_called(self, name: str) -> tuple[str, Paper] | None:
        rows = self.base.ask("SELECT id FROM things WHERE kind = 'paper' AND name = ? LIMIT 1", name)
        if not rows:
            return None
        paper = self.load(rows[0][0])
        return (str(rows[0][0]), paper) if isinstance(paper, Paper) else None

    def _alike(self, work: Writing, kind: Kind, model: Model) -> str:
        """Return the thing that is the same as one of a project; a sheet of paper is always one of its own."""
        if kind == "scrap":
            return ""
        mark = mark_of(to_body(without_reference(model)))
        rows = work.ask("SELECT id FROM things JOIN bodies ON thing = id WHERE kind = ? AND mark = ?", kind, mark)
        return str(rows[0][0]) if rows else ""
