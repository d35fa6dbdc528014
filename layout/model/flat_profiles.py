"""The wish for flat roller profiles: an extra field of the machine, since it is that crank that goes hard."""

from __future__ import annotations

from layout.geometry.value import replace
from layout.model.project import Project

FLAT = "flat_profiles"
"""The machine's extra field: true where plans shall have flat profiles."""


def wants_flat(project: Project) -> bool:
    """Whether the person asked for flat profiles on this machine."""
    return project.machine.extra.get(FLAT) is True


def with_flat(project: Project, wanted: bool) -> Project:
    """Return the project with the wish for flat profiles set or taken away."""
    rest = {name: value for name, value in project.machine.extra.items() if name != FLAT}
    return replace(project, machine=replace(project.machine, extra={**rest, FLAT: True} if wanted else rest))
