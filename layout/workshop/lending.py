"""Things of the workshop copied into a project, which stays whole in itself; a project's things named after them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from layout.geometry.value import replace
from layout.model.done import Spare
from layout.model.errors import WorkshopError
from layout.model.project import Die, Machine, Panel, Paper, Project, Punch, Scrap
from layout.workshop.things import Kind, Model, reference, with_reference

PaperCalled = Callable[[str], tuple[str, Paper] | None]
_LISTS: dict[type, tuple[str, Kind]] = {
    Die: ("dies", "die"),
    Punch: ("punches", "punch"),
    Panel: ("panels", "panel"),
    Paper: ("papers", "paper"),
    Scrap: ("scraps", "scrap"),
}


def lent(project: Project, name: str, model: Model, paper_called: PaperCalled) -> Project:
    """Return the project with a copy of a thing that names it; one that is there already stays as it is."""
    marked = with_reference(model, name)
    if isinstance(marked, Machine):
        return replace(project, machine=marked)
    if isinstance(marked, Spare):
        raise WorkshopError("ready pieces are taken out of the tin one wanted piece at a time")
    key, _ = _LISTS[type(marked)]
    present: tuple[Any, ...] = getattr(project, key)
    if any(reference(thing) == name for thing in present):
        return project
    if isinstance(marked, Scrap):
        project, paper = _with_paper(project, marked.paper, paper_called)
        marked = replace(marked, paper=paper)
    made = replace(marked, id=_free_id(project, marked))
    changes: dict[str, Any] = {key: (*present, made)}
    return replace(project, **changes)


def _with_paper(project: Project, called: str, paper_called: PaperCalled) -> tuple[Project, str]:
    """Return the project with a paper of that name, and the paper's id there."""
    there = next((p for p in project.papers if called in (p.name, p.id)), None)
    if there is not None:
        return project, there.id
    found = paper_called(called)
    paper = with_reference(found[1], found[0]) if found else Paper(called, called)
    assert isinstance(paper, Paper)
    paper = replace(paper, id=_free_id(project, paper))
    return replace(project, papers=(*project.papers, paper)), paper.id


def _free_id(project: Project, model: Die | Punch | Panel | Paper | Scrap) -> str:
    if isinstance(model, Paper | Scrap):
        used = {t.id for t in (project.papers if isinstance(model, Paper) else project.scraps)}
    else:
        used = {t.id for group in (project.dies, project.punches, project.panels) for t in group}
    used |= {taken.scrap.id for run in project.done.runs for taken in run.taken}
    if model.id not in used:
        return model.id
    return next(name for k in range(2, len(used) + 3) if (name := f"{model.id} {k}") not in used)


def each_of(project: Project) -> Iterator[tuple[Kind, Model]]:
    """Give everything of a project that a workshop keeps; a scrap goes by its paper's name there."""
    if project.machine.name:
        yield "machine", project.machine
    papers = {p.id: p.name for p in project.papers}
    for key, kind in _LISTS.values():
        for thing in getattr(project, key):
            yield kind, replace(thing, paper=papers.get(thing.paper, thing.paper)) if kind == "scrap" else thing


def with_references(project: Project, found: Mapping[tuple[str, str], str]) -> Project:
    """Return the project with the workshop's ids (by kind and own id) noted at its things."""
    changes: dict[str, Any] = {
        key: tuple(with_reference(t, found[kind, t.id]) for t in getattr(project, key)) for key, kind in _LISTS.values()
    }
    if ("machine", "") in found:
        changes["machine"] = with_reference(project.machine, found["machine", ""])
    return replace(project, **changes)
