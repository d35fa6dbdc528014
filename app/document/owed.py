"""What the workshop has not heard of yet of the passes done and the pieces taken from the tin."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from layout.geometry.value import Value, replace
from layout.model.done import DoneRun
from layout.model.project import Project

FROM_TIN = "from_tin"  # where a project notes what it took ready out of the tin


class Owed(Value, frozen=True):
    """From what the workshop knows to what the project says: passes that came and went; the tin as it was."""

    project: str
    came: tuple[str, ...]
    gone: tuple[DoneRun, ...]
    tin: Mapping[str, Any] | None = None

    def before(self, after: Project) -> Project:
        """Return a project as the workshop knows it, as far as passes and tin go."""
        stayed = tuple(run for run in after.done.runs if run.id not in self.came)
        done = replace(after.done, project=self.project, runs=(*stayed, *self.gone))
        extra = {key: value for key, value in after.extra.items() if key != FROM_TIN}
        return replace(after, done=done, extra=extra if self.tin is None else {**extra, FROM_TIN: self.tin})


def owed_between(heard: Project, now: Project) -> Owed:
    """Return what lies between what the workshop heard of last and the present project."""
    old, new = ({run.id for run in project.done.runs} for project in (heard, now))
    return Owed(
        heard.done.project,
        tuple(run.id for run in now.done.runs if run.id not in old),
        tuple(run for run in heard.done.runs if run.id not in new),
        heard.extra.get(FROM_TIN),
    )
