"""The unit in which the person measures a project; the file keeps it in its field `units`."""

from __future__ import annotations

from layout.geometry.units import MM_PER, Unit
from layout.geometry.value import replace
from layout.model.project import Project


def with_unit(project: Project, unit: Unit) -> Project:
    """Return the project measured in another unit; nothing in it changes size."""
    return replace(project, extra={**project.extra, "units": unit})


def unit_of(project: Project) -> Unit:
    """Return the unit in which the person measures a project; mm where none is noted."""
    said = project.extra.get("units")
    return said if said in MM_PER else "mm"
