"""One frozen moment of the work: what is asked and what is answered."""

from __future__ import annotations

from layout.geometry.value import Value
from layout.model.plan import Plan
from layout.model.project import Project


class State(Value, frozen=True):
    """A project and its plan; never changed, only replaced."""

    project: Project = Project()
    plan: Plan = Plan()
