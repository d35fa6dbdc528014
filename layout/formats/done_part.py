"""The part of a project file that tells what was cut already; it stands beside the contract's fields."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from layout.formats import plan_file, writing
from layout.formats.fields import Fields
from layout.formats.values import MOST_COUNT, FieldError, a_whole, check_unique
from layout.model.done import DoneRun, Left, Spare, Taken
from layout.model.project import Done, Scrap

MOST_AREA = 1e12  # square mm
ROUNDING = 1e-6  # square mm

ReadScrap = Callable[[Fields], Scrap]
ScrapObject = Callable[[Scrap], dict[str, Any]]


def read_done(fields: Fields, read_scrap: ReadScrap) -> Done:
    """Take the field `done`, which may be missing; raises FieldError."""
    done = fields.child_or_empty("done")
    runs = done.each("runs", lambda run: read_run(run, read_scrap))
    check_unique([(f"done.runs[{i}].id", run.id) for i, run in enumerate(runs)])
    return Done(done.text("project", ""), runs, extra=done.extra())


def read_run(fields: Fields, read_scrap: ReadScrap) -> DoneRun:
    """Read one pass that is done; raises FieldError."""
    run = DoneRun(
        id=fields.name(),
        when=fields.text("when", ""),
        taken=fields.each("taken", lambda taken: _taken(taken, read_scrap)),
        left=fields.each("left", lambda left: _left(left, read_scrap)),
        made=_made(fields.child_or_empty("made")),
        spares=fields.each("spares", read_spare),
        cut_area=_area(fields, "cut_area"),
        trimmed=_area(fields, "trimmed"),
        layout=_one(fields, "layout", plan_file.read_layout),
        at=fields.whole("at", 0, least=0),
        run=fields.whole("run", 0, least=0),
        lower_bound=fields.whole("lower_bound", 0, least=0),
        punched=_one(fields, "punched", plan_file.read_punched),
        panel=_one(fields, "panel", plan_file.read_cut_panel),
        extra=fields.extra(),
    )
    _check(run, fields)
    return run


def run_object(run: DoneRun, scrap_object: ScrapObject) -> dict[str, Any]:
    """Return the JSON object of one pass that is done."""
    known = {
        "id": run.id,
        "when": run.when,
        "taken": [_taken_object(t, scrap_object) for t in run.taken],
        "left": [_left_object(k, scrap_object) for k in run.left],
        "made": dict(run.made),
        "spares": [spare_object(s) for s in run.spares],
        "cut_area": writing.number(run.cut_area),
        "trimmed": writing.number(run.trimmed),
        "layout": run.layout and plan_file.layout_object(run.layout),
        "at": run.at,
        "run": run.run,
        "lower_bound": run.lower_bound,
        "punched": run.punched and plan_file.punched_object(run.punched),
        "panel": run.panel and plan_file.cut_panel_object(run.panel),
    }
    return writing.with_extra(known, run.extra)


def done_object(done: Done, scrap_object: ScrapObject) -> dict[str, Any] | None:
    """Return the JSON object of all that is done; None where nothing is."""
    if done == Done():
        return None
    runs = [run_object(run, scrap_object) for run in done.runs]
    return writing.with_extra({"project": done.project, "runs": runs}, done.extra)


def read_spare(fields: Fields) -> Spare:
    """Read alike pieces of the spares tin; raises FieldError."""
    return Spare(
        wanted=fields.text("wanted", ""),
        name=fields.text("name", ""),
        cut=fields.outline("cut"),
        paper=fields.text("paper", ""),
        count=fields.whole("count", 1, least=0),
        image=fields.text_or_none("image"),
        extra=fields.extra(),
    )


def spare_object(spare: Spare) -> dict[str, Any]:
    """Return the JSON object of alike pieces of the spares tin."""
    known = {
        "wanted": spare.wanted,
        "name": spare.name,
        "cut": writing.outline(spare.cut),
        "paper": spare.paper,
        "count": spare.count,
        "image": spare.image,
    }
    return writing.with_extra(known, spare.extra)


def _area(fields: Fields, key: str) -> float:
    """Take an area; one written as a difference may have been rounded to a little below nothing."""
    return max(0.0, fields.number(key, 0.0, least=-ROUNDING, most=MOST_AREA))


def _check(run: DoneRun, fields: Fields) -> None:
    for k, left in enumerate(run.left):
        if left.of >= len(run.taken):
            raise FieldError(fields.at(f"left[{k}].of"), f"there are {len(run.taken)} sheets taken, counted from 0")
    for k, taken in enumerate(run.taken):
        if len(set(taken.copies)) != len(taken.copies) or max(taken.copies) >= taken.scrap.count:
            raise FieldError(fields.at(f"taken[{k}].copies"), f"these are not copies of {taken.scrap.count} sheets")
    if run.layout is not None and len(run.layout.runs) != 1:
        raise FieldError(fields.at("layout.runs"), f"one run is needed here, not {len(run.layout.runs)}")


def _one(fields: Fields, key: str, read: Callable[[Fields], Any]) -> Any:
    value = fields.take_or_none(key)
    return None if value is None else read(Fields(value, fields.at(key)))


def _made(fields: Fields) -> dict[str, int]:
    return {name: fields.whole(name, least=0) for name in fields.names()}


def _taken(fields: Fields, read_scrap: ReadScrap) -> Taken:
    copies = fields.items("copies")
    if not copies:
        raise FieldError(fields.at("copies"), "the list is empty; name at least one sheet")
    return Taken(
        scrap=read_scrap(Fields(fields.take("scrap"), fields.at("scrap"))),
        copies=tuple(a_whole(value, path, 0, MOST_COUNT) for value, path in copies),
        at=fields.whole("at", 0, least=0),
        cuts=fields.each("cuts", plan_file.read_straight_cut),
        extra=fields.extra(),
    )


def _taken_object(taken: Taken, scrap_object: ScrapObject) -> dict[str, Any]:
    known = {
        "scrap": scrap_object(taken.scrap),
        "copies": list(taken.copies),
        "at": taken.at,
        "cuts": [plan_file.straight_cut_object(c) for c in taken.cuts] or None,
    }
    return writing.with_extra(known, taken.extra)


def _left(fields: Fields, read_scrap: ReadScrap) -> Left:
    return Left(
        scrap=read_scrap(Fields(fields.take("scrap"), fields.at("scrap"))),
        of=fields.whole("of", 0, least=0),
        part=fields.whole_or_none("part", least=0),
        extra=fields.extra(),
    )


def _left_object(left: Left, scrap_object: ScrapObject) -> dict[str, Any]:
    return writing.with_extra({"scrap": scrap_object(left.scrap), "of": left.of, "part": left.part}, left.extra)
