"""A session at work in a process of its own, to be killed at any moment: it marks, takes back, edits and keeps.

`python -m tests.support.marking_session FOLDER SEED PROJECT` prints a line after each gesture that is over:
the marks that stand by then, so that whoever kills it knows what may not be missing.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Callable
from pathlib import Path

from layout.formats.project_file import read_project, write_project
from layout.geometry.value import replace
from layout.model.errors import WorkshopError
from layout.model.plan import Plan
from layout.model.project import Project
from layout.workshop import Workshop, open_workshop
from tests.support.simple_plans import simple_plan, simple_project


def begin(folder: Path, name: str) -> Path:
    """Write a project that a session works on, its sheets in the workshop; returns its path."""
    path = folder / f"{name}.json"
    with open_workshop(folder) as shop:
        project = simple_project(name=name, kits=1000)
        scraps = tuple(replace(s, count=1000) for s in project.scraps)
        write_project(shop.take_over(replace(project, scraps=scraps)), path)
    return path


def fresh_plan(project: Project) -> Plan:
    """Return a plan of one pass from the first whole sheet."""
    return simple_plan(punched=()) if any(s.id == "s" for s in project.scraps) else Plan()


def gesture(shop: Workshop, project: Project, path: Path, dice: random.Random) -> Project:
    """Do one thing that a person does, and keep it."""
    does = dice.random()
    if does < 0.5:
        project = shop.mark_done(project, fresh_plan(project), "A", 0, path).project
    elif does < 0.7 and project.done.runs:
        project = shop.mark_undone(project, Plan(), dice.choice(project.done.runs).id, path).project
    elif does < 0.85:
        project = replace(project, extra={**project.extra, "edits": int(project.extra.get("edits", 0)) + 1})
    else:
        shop.put(simple_project().dies[0])
    write_project(project, path)
    return project


def state(shop: Workshop, project: Project) -> str:
    """Return what stands now, on one line."""
    marks = ",".join(sorted(run.id for run in project.done.runs))
    return f"{project.extra.get('edits', 0)} {len(shop.things('die', limit=-1))} {marks}"


def work(
    folder: Path, seed: int, path: Path, say: Callable[[str], None], most: int = 10**6, first: str = "opened"
) -> None:
    """Open workshop and project, and do gestures, each told when it is over."""
    dice = random.Random(seed)
    with open_workshop(folder) as shop:
        project = shop.agree(read_project(path), Plan(), path).project
        if first:
            say(f"{first} {state(shop, project)}")
        for _ in range(most):
            try:
                project = gesture(shop, project, path, dice)
            except WorkshopError as error:
                say(f"told {error}")
                continue
            say(f"over {state(shop, project)}")


def sheets(shop: Workshop, name: str) -> int:
    """Return how many sheets of that name the drawer holds."""
    return sum(t.count for t in shop.things("scrap", limit=-1) if t.name == name)


def main() -> None:
    """Work until killed, or so many gestures."""
    folder, seed, path, *most = sys.argv[1:]
    work(Path(folder), int(seed), Path(path), lambda line: print(line, flush=True), int(*most or ["1000000"]), "")


if __name__ == "__main__":
    main()
