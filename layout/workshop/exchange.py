"""Things of the workshop in and out of projects, out of the tin, and as one file to a friend and back."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from pathlib import Path

from layout.geometry.value import replace
from layout.model.done import Spare
from layout.model.errors import WorkshopError
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
    reference,
    to_body,
    with_count,
    without_reference,
)


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
        with self.base.writing() as work:
            rows = work.ask("SELECT count FROM things WHERE id = ? AND kind = 'spare'", spare)
            held = rows[0][0] if rows else 0
            if not 0 < count <= held:
                raise WorkshopError(f"the tin holds {held} of these, {count} cannot be taken; take fewer")
            work.do("count", -count, spare)
            work.do("history", now(), "taken from the tin", project.name, "", spare, None, None)
        return replace(project, spares={**project.spares, wanted: project.spares.get(wanted, 0) + count})

    def export_drawer(self, path: Path, names: Iterable[str] | None = None) -> None:
        """Write things (all where not said) into one file for a friend. Raises FileError."""
        from layout.workshop.sharing import write_drawer

        every = [t.id for t in self.things(limit=-1)] if names is None else list(names)
        write_drawer(path, [(self.thing(name), self.load(name)) for name in every])

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
