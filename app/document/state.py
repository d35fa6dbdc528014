"""One frozen moment of the work: what is asked and what is answered."""

from __future__ import annotations

from dataclasses import dataclass, field

from layout.model.plan import Plan
from layout.model.project import Project


@dataclass(frozen=True, slots=True)
class State:
    """A project and its plan; never changed, only replaced."""

    project: Project = field(default_factory=Project)
    plan: Plan = field(default_factory=Plan)
