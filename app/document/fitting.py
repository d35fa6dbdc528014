"""Whether a plan speaks of this project at all: its dies, scraps and wanted pieces."""

from __future__ import annotations

from collections.abc import Iterator

from layout.model.errors import FileError
from layout.model.plan import Layout, Plan
from layout.model.project import Project


def refuse_foreign(project: Project, plan: Plan, name: str) -> None:
    """Raise FileError where the plan names what the project does not have."""
    for where, what in _foreign(project, plan):
        raise FileError(f"{name}: {where}: {what}; open the project that this plan was made for first")


def _foreign(project: Project, plan: Plan) -> Iterator[tuple[str, str]]:
    dies = {d.id for d in project.dies}
    scraps = {s.id for s in project.scraps}
    wanted = {w.id for w in project.wanted}
    for i, layout in enumerate(plan.layouts):
        yield from _foreign_in_layout(f"layouts[{i}]", layout, dies, scraps, wanted)
    for i, punched in enumerate(plan.punched):
        if punched.punch not in {p.id for p in project.punches}:
            yield f"punched[{i}].punch", f'the project has no punch called "{punched.punch}"'
        if punched.scrap not in scraps:
            yield f"punched[{i}].scrap", f'the project has no scrap called "{punched.scrap}"'
        if punched.wanted not in wanted:
            yield f"punched[{i}].wanted", f'the project wants no piece called "{punched.wanted}"'
    for i, panel in enumerate(plan.panels):
        if panel.scrap not in scraps:
            yield f"panels[{i}].scrap", f'the project has no scrap called "{panel.scrap}"'
    for i, unplaced in enumerate(plan.unplaced):
        if unplaced.wanted not in wanted:
            yield f"unplaced[{i}].wanted", f'the project wants no piece called "{unplaced.wanted}"'


def _foreign_in_layout(
    at: str, layout: Layout, dies: set[str], scraps: set[str], wanted: set[str]
) -> Iterator[tuple[str, str]]:
    for i, placed in enumerate(layout.dies):
        if placed.die not in dies:
            yield f"{at}.dies[{i}].die", f'the project has no die called "{placed.die}"'
    for r, run in enumerate(layout.runs):
        for i, laid in enumerate(run.scraps):
            if laid.scrap not in scraps:
                yield f"{at}.runs[{r}].scraps[{i}].scrap", f'the project has no scrap called "{laid.scrap}"'
        for i, cut in enumerate(run.cuts):
            if cut.wanted not in wanted:
                yield f"{at}.runs[{r}].cuts[{i}].wanted", f'the project wants no piece called "{cut.wanted}"'
            if not 0 <= cut.die < len(layout.dies):
                yield f"{at}.runs[{r}].cuts[{i}].die", f"the layout has no die number {cut.die}"
            if not 0 <= cut.scrap < len(run.scraps):
                yield f"{at}.runs[{r}].cuts[{i}].scrap", f"the run has no scrap number {cut.scrap}"
