"""What a pass that is done takes out of the drawer and puts in, and the same backwards, row by row."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from typing import Any

from layout.geometry.value import replace
from layout.model.done import DoneRun, Spare
from layout.model.errors import DrawerError
from layout.model.project import Project, Scrap
from layout.workshop.base import Writing
from layout.workshop.store import Because, Drawer, now
from layout.workshop.things import mark_of, name_of, reference, to_body, without_reference

LEFT_OVER = "left over from "  # before the sheet's name: where a scrap comes from


def put_through(drawer: Drawer, work: Writing, record: DoneRun, project: Project) -> None:
    """Take a pass's sheets out of the drawer, put what is left and the surplus in. Raises DrawerError."""
    for taken in record.taken:
        if name := reference(taken.scrap):
            _spend(work, name, taken.scrap, len(taken.copies))
    because = Because("left", project.name, record.id)
    for left in record.left:
        if name := reference(left.scrap):
            source = LEFT_OVER + name_of(record.taken[left.of].scrap)
            drawer.put_in(work, kept_as(project, left.scrap), name, source=source, because=because)
    for spare in record.spares:
        name = spare_id(spare)
        there = work.ask("SELECT count FROM things WHERE id = ?", name)
        if there:
            work.do("count", spare.count, name)
            work.do("history", now(), "spare", project.name, record.id, name, None, None)
        else:
            kept = replace(spare, wanted="")
            drawer.put_in(work, kept, name, source=project.name, because=Because("spare", project.name, record.id))


def kept_as(project: Project, scrap: Scrap) -> Scrap:
    """Return a scrap as the workshop keeps it: papers go by their names there."""
    return replace(scrap, paper=next((p.name for p in project.papers if p.id == scrap.paper), scrap.paper))


def spare_id(spare: Spare) -> str:
    """Return the tin's id of such pieces: the same for all that are alike."""
    alike = to_body(replace(spare, wanted="", count=1))
    return "spare-" + hashlib.sha256(alike.encode()).hexdigest()[:20]


def is_of_this_drawer(work: Writing, record: DoneRun) -> bool:
    """Whether the drawer knows the sheets of a pass, or some went in that no drawer knows."""
    names = [reference(taken.scrap) for taken in record.taken]
    return not all(names) or bool(_there(work, names))


def _there(work: Writing, names: Sequence[str]) -> list[tuple[Any, ...]]:
    return work.ask("SELECT id FROM things WHERE id IN (SELECT value FROM json_each(?))", json.dumps(list(names)))


def _spend(work: Writing, name: str, scrap: Scrap, count: int) -> None:
    there = work.ask("SELECT count FROM things WHERE id = ?", name)
    held = int(there[0][0]) if there else 0
    if held < count:
        left = f"{held} of its sheets are left" if held else "none of its sheets is left"
        raise DrawerError(f"scrap {scrap.id} was cut elsewhere meanwhile: {left}; take others and plan again")
    work.do("count", -count, name)


def carry_back(work: Writing, record: DoneRun, project: Project) -> None:
    """Undo a pass here: its sheets whole again, what it left and its surplus out. Raises DrawerError."""
    if is_of_this_drawer(work, record):
        _take_back_through(work, record, project)
    work.do("run undone", record.id)
    work.do("record undone", record.id)
    work.do("history", now(), "undone", project.name, record.id, "", None, None)


def _take_back_through(work: Writing, record: DoneRun, project: Project) -> None:
    for left in record.left:
        if name := reference(left.scrap):
            there = work.ask("SELECT count, mark FROM things JOIN bodies ON thing = id WHERE id = ?", name)
            whole = (left.scrap.count, mark_of(to_body(without_reference(kept_as(project, left.scrap)))))
            if not there or tuple(there[0]) != whole:
                raise DrawerError(f"scrap {left.scrap.id} was cut or changed since in the workshop; undo that first")
            work.do("count", -left.scrap.count, name)
    for taken in record.taken:
        if name := reference(taken.scrap):
            work.do("count", len(taken.copies), name)
    for spare in record.spares:
        rows = work.ask("SELECT count FROM things WHERE id = ?", spare_id(spare))
        if not rows or rows[0][0] < spare.count:
            raise DrawerError(f"the spare {spare.name} that this pass made was used meanwhile; put it back first")
        work.do("count", -spare.count, spare_id(spare))
