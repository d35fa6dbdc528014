"""Opening and saving: a file becomes a state or an error sentence, never half of one."""

from __future__ import annotations

import contextlib
import os
import shutil
from pathlib import Path

from app.document.document import Document
from app.document.fitting import refuse_foreign
from app.document.state import State
from layout.model.errors import FileError
from layout.model.plan import Plan

PLAN_SUFFIX = ".plan.json"
PREVIOUS_SUFFIX = ".before"
PLAN_FORMAT = "plateful-plan"
PROJECT_FILES = "Plateful projects (*.json);;All files (*)"


def plan_path(project: Path) -> Path:
    """Return where the plan of a project file is kept: beside it."""
    return project.with_name(project.name.removesuffix(".json") + PLAN_SUFFIX)


def open_into(document: Document, path: Path) -> None:
    """Open a project file, or a plan file for the open project; raises FileError and then nothing has changed."""
    if _is_plan(path):
        _open_plan(document, path)
    else:
        document.start_with(read_state(path), path)


def read_state(path: Path) -> State:
    """Read a project and the plan that lies beside it; raises FileError. A plan that does not fit is left aside."""
    from layout.formats.project_file import read_project

    project = read_project(path)
    return State(project, _plan_beside(State(project), path))


def save(document: Document, path: Path) -> None:
    """Write the project, and the plan beside it; raises FileError and then the files are as they were."""
    from layout.formats.plan_file import write_plan
    from layout.formats.project_file import write_project

    _keep_previous(path)
    write_project(document.project, path)
    if document.plan != Plan() or plan_path(path).exists():
        write_plan(document.plan, plan_path(path))
    document.saved_as(path)


def previous_path(path: Path) -> Path:
    """Return where the version from before the last save is kept: beside the file."""
    return path.with_name(path.name + PREVIOUS_SUFFIX)


def read_previous(path: Path) -> State:
    """Read the version from before the last save; raises FileError. A plan that does not fit is left aside."""
    from layout.formats.plan_file import parse_plan
    from layout.formats.project_file import read_project

    project = read_project(previous_path(path))
    try:
        kept = previous_path(plan_path(path))
        plan = parse_plan(kept.read_bytes(), kept.name)
        refuse_foreign(project, plan, kept.name)
    except (OSError, FileError):
        return State(project)
    return State(project, plan)


def _keep_previous(path: Path) -> None:
    """Keep what the files hold now; where there is no room for that, saving matters more."""
    for file in (path, plan_path(path)):
        with contextlib.suppress(OSError):
            if file.is_file():
                made = previous_path(file).with_name(f".{previous_path(file).name}.part")
                shutil.copyfile(file, made)
                os.replace(made, previous_path(file))


def _open_plan(document: Document, path: Path) -> None:
    from layout.formats.plan_file import read_plan

    plan = read_plan(path)
    beside = path.with_name(path.name.removesuffix(PLAN_SUFFIX) + ".json")
    if path.name.endswith(PLAN_SUFFIX) and beside != document.path and beside.is_file():
        state = read_state(beside)
        refuse_foreign(state.project, plan, path.name)
        document.start_with(State(state.project, plan), beside)
        return
    refuse_foreign(document.project, plan, path.name)
    document.change_plan(f"Open plan {path.stem}", plan)


def _plan_beside(state: State, path: Path) -> Plan:
    from layout.formats.plan_file import read_plan

    if not plan_path(path).is_file():
        return Plan()
    try:
        plan = read_plan(plan_path(path))
        refuse_foreign(state.project, plan, plan_path(path).name)
    except FileError:
        return Plan()
    return plan


def _is_plan(path: Path) -> bool:
    """Look for the plan's mark; anything odd is left to the project reader, whose sentence is the better one."""
    try:
        if path.name.endswith(PLAN_SUFFIX) or not path.is_file():
            return path.name.endswith(PLAN_SUFFIX)
        with path.open("rb") as file:
            head = file.read(200)
    except OSError:
        return False
    return f'"{PLAN_FORMAT}"'.encode() in head
