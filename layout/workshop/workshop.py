"""The workshop and its projects together: a pass marked done is one transaction over what is owned and the project."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from layout.formats.done_part import read_run, run_object
from layout.formats.fields import Fields
from layout.formats.project_file import read_scrap, scrap_object
from layout.formats.values import FieldError
from layout.geometry.value import replace
from layout.model.done import DoneRun
from layout.model.errors import BehindError, DrawerError, WorkshopError
from layout.model.plan import Plan
from layout.model.project import Project
from layout.workshop.base import Writing
from layout.workshop.drawing import carry_back, is_of_this_drawer, put_through
from layout.workshop.exchange import Exchange
from layout.workshop.store import now
from layout.workshop.things import (
    named,
)

if TYPE_CHECKING:
    from layout.workshop.marking import After


@dataclass(frozen=True, slots=True)
class Marked:
    """The project and the plan after a pass was marked, and the record of it."""

    project: Project
    plan: Plan
    record: DoneRun


@dataclass(frozen=True, slots=True)
class Agreed:
    """The project and the plan as the workshop knows them, and what was taken over, in sentences."""

    project: Project
    plan: Plan
    notices: tuple[str, ...] = ()


class Workshop(Exchange):
    """The drawer, the projects it serves and the passes made."""

    # ---- marking -------------------------------------------------------------------------------------------------

    def mark_done(self, project: Project, plan: Plan, layout: str, run: int, path: Path | None = None) -> Marked:
        """Mark a run (its number in the layout) done, here and in the project at once. Raises WorkshopError."""
        from layout.workshop.marking import mark_run_done

        with self.base.writing() as work:
            met = self._met(work, project, path)
            after = mark_run_done(met, plan, layout, run, self.worth_keeping)
            return self._kept(work, after, path)

    def mark_hand_done(
        self, project: Project, plan: Plan, kind: Literal["punched", "panels"], index: int, path: Path | None = None
    ) -> Marked:
        """Mark a punched piece or a panel done, here and in the project at once. Raises WorkshopError."""
        from layout.workshop.marking import mark_hand_done

        with self.base.writing() as work:
            met = self._met(work, project, path)
            after = mark_hand_done(met, plan, kind, index, self.worth_keeping)
            return self._kept(work, after, path)

    def mark_undone(self, project: Project, plan: Plan, record: str, path: Path | None = None) -> Marked:
        """Take a mark back, here and in the project at once. Raises WorkshopError."""
        from layout.workshop.marking import mark_undone

        with self.base.writing() as work:
            met = self._met(work, project, path)
            after = mark_undone(met, plan, record)
            carry_back(work, after.record, met)
            self._know(work, after.project, path)
            return Marked(after.project, after.plan, after.record)

    def follow(self, before: Project, after: Project, path: Path | None = None, *, late: bool = False) -> None:
        """Do here what marking, undoing or redoing did to a project's marks and to what it took from the tin.

        What was done here already, as before a crash or by another window, is not done twice. Raises DrawerError where
        the drawer does not allow it, WorkshopError where it cannot be written now; then nothing was done. A project
        that another window marked meanwhile is refused with BehindError, but not what comes `late`, as after a crash.
        """
        old, new = ({run.id: run for run in p.done.runs} for p in (before, after))
        met = named(after, before.done.project) if before.done.project else after
        with self.base.writing() as work:
            known = _known(work, before, met)
            if not late:
                _refuse_behind(work, known, (before, met), path)
            for run in reversed([run for name, run in old.items() if name not in new and not known.get(name, True)]):
                carry_back(work, run, met)
            for run in (run for name, run in new.items() if name not in old and known.get(name, True)):
                self._carry(work, run, met)
            self._follow_tin(work, before, met, met.done.project)
            self._know(work, met, path)

    def _kept(self, work: Writing, after: After, path: Path | None) -> Marked:
        self._carry(work, after.record, after.project)
        self._know(work, after.project, path)
        return Marked(after.project, after.plan, after.record)

    def _met(self, work: Writing, project: Project, path: Path | None) -> Project:
        """Return the project with its lasting id; refuse where another window marked it meanwhile."""
        met = named(project, _id_at(work, path))
        known = _known(work, met)
        mine = {run.id for run in project.done.runs}
        if any(undone == (run in mine) for run, undone in known.items()):
            called = project.name or (path.stem if path else "this project")
            raise WorkshopError(f"{called} was marked in another window meanwhile; open it again to take that over")
        for run in project.done.runs:
            if run.id not in known:
                self._carry(work, run, met)
        return met

    def _carry(self, work: Writing, record: DoneRun, project: Project) -> None:
        """Take sheets out of the drawer, put what is left and the surplus in; what was not cut here is only noted."""
        if is_of_this_drawer(work, record):
            put_through(self, work, record, project)
        number = work.ask("SELECT coalesce(max(number), 0) + 1 FROM runs WHERE project = ?", project.done.project)
        body = json.dumps(run_object(record, scrap_object), ensure_ascii=False)
        work.do("run", record.id, project.done.project, number[0][0], body)
        work.do("history", now(), "done", project.name, record.id, "", None, None)

    def passes_elsewhere(self, project: str, limit: int = 80) -> list[list[DoneRun]]:
        """Return the newest passes that stand in other projects, together what was made for one of them."""
        question = "SELECT id, project, body FROM runs WHERE undone = 0 AND project <> ? ORDER BY rowid DESC LIMIT ?"
        found: dict[str, list[DoneRun]] = {}
        for run, made_for, body in self.base.ask(question, project, limit):
            found.setdefault(made_for, []).append(_record(run, body))
        return list(found.values())

    # ---- one truth -----------------------------------------------------------------------------------------------

    def agree(self, project: Project, plan: Plan, path: Path | None = None) -> Agreed:
        """Bring a project just opened and the workshop to the same marks: a crash or another window parted them."""
        met, known = self._brought_up(project, plan, path)
        project, plan, notices = met.project, met.plan, list(met.notices)
        if not self.read_only:
            for record in reversed(self._teach(project, path, known, notices)):
                project, plan = _taken_back(project, plan, record, [])
        return Agreed(project, plan, tuple(notices))

    def brought_up(self, project: Project, path: Path | None = None) -> Project:
        """Return a project with the passes that the workshop knows to be done; nothing is changed here."""
        return self._brought_up(project, Plan(), path)[0].project

    def _brought_up(self, project: Project, plan: Plan, path: Path | None) -> tuple[Agreed, dict[str, bool]]:
        """Return what the workshop knows of a project, and which of all its passes stand or are undone here."""
        name = project.done.project or next(iter(self._ids_at(path)), "")
        project = named(project, name) if name or project.done.runs else project
        rows = self.base.ask(f"SELECT id, undone, body FROM runs WHERE {_MINE} ORDER BY number", *_mine(project))
        notices: list[str] = []
        known = {run: bool(undone) for run, undone, _ in rows}
        for record in reversed(project.done.runs):
            if known.get(record.id):
                project, plan = _taken_back(project, plan, record, notices)
        mine = {run.id for run in project.done.runs}
        for run, undone, body in rows:
            if not undone and run not in mine:
                project, plan = _taken_over(project, plan, _record(run, body), notices)
        project, said = self.agree_tin(project)
        return Agreed(project, plan, (*notices, *said)), known

    def _teach(
        self, project: Project, path: Path | None, known: Mapping[str, bool], notices: list[str]
    ) -> list[DoneRun]:
        """Carry out the passes that are not known here yet; returns those that the drawer does not allow."""
        refused: list[DoneRun] = []
        try:
            with self.base.writing() as work:
                for record in (run for run in project.done.runs if run.id not in known):
                    try:
                        with work.part():
                            self._carry(work, record, project)
                    except DrawerError as error:
                        refused.append(record)
                        notices.append(f"{error}; the tick on that pass is taken back")
                self._know(work, project, path)
        except WorkshopError as error:
            notices.append(str(error))
        return refused


def _id_at(work: Writing, path: Path | None) -> str:
    if path is None:
        return ""
    rows = work.ask("SELECT id FROM projects WHERE path = ? AND id <> path", str(path.resolve()))
    return str(rows[0][0]) if rows else ""


_MINE = "(project = ? AND project <> '') OR id IN (SELECT value FROM json_each(?))"


def _mine(project: Project) -> tuple[str, str]:
    """Return the values by which a project's passes are asked for: its own, and those its file tells of."""
    return project.done.project, json.dumps([run.id for run in project.done.runs])


def _refuse_behind(work: Writing, known: Mapping[str, bool], step: tuple[Project, Project], path: Path | None) -> None:
    """Refuse a step of a project where it tells of no mark or untick of another window."""
    old, new = ({run.id for run in project.done.runs} for project in step)
    ticked = any(not undone and run not in old | new for run, undone in known.items())
    unticked = any(undone and run in old & new for run, undone in known.items())
    twice = not step[0].done.project and _id_at(work, path) not in ("", step[1].done.project)
    if ticked or unticked or twice:
        called = step[1].name or (path.stem if path else "this project")
        raise BehindError(
            f"{called} was marked in another window meanwhile; that is taken over now, look before you go on"
        )


def _known(work: Writing, *projects: Project) -> dict[str, bool]:
    rows = [row for p in projects for row in work.ask(f"SELECT id, undone FROM runs WHERE {_MINE}", *_mine(p))]
    return {run: bool(undone) for run, undone in rows}


def _record(name: str, body: str) -> DoneRun:
    try:
        return read_run(Fields(json.loads(body)), read_scrap)
    except (ValueError, FieldError) as error:
        raise WorkshopError(f"what the workshop noted of pass {name} cannot be read; restore a backup") from error


def _taken_over(project: Project, plan: Plan, record: DoneRun, notices: list[str]) -> tuple[Project, Plan]:
    from layout.workshop.carrying import name_of
    from layout.workshop.marking import redo, without

    try:
        after = redo(project, plan, record)
    except WorkshopError:
        notices.append(f"{name_of(record)} was marked done elsewhere and its sheets are not in this file; look at them")
        done = replace(project.done, runs=(*project.done.runs, record))
        return replace(project, done=done), without(plan, record)
    notices.append(f"{name_of(record)} was marked done since this file was saved; that is taken over")
    return after.project, after.plan


def _taken_back(project: Project, plan: Plan, record: DoneRun, notices: list[str]) -> tuple[Project, Plan]:
    from layout.workshop.carrying import name_of
    from layout.workshop.marking import mark_undone

    try:
        after = mark_undone(project, plan, record.id)
    except WorkshopError as error:
        notices.append(str(error))
        return project, plan
    notices.append(f"the mark of {name_of(record)} was taken back since this file was saved; that is taken over")
    return after.project, after.plan
