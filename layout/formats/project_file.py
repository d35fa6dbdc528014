"""Project files of the contract: in with every fault named by its place, out exactly."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from layout.formats import reading, writing
from layout.formats.done_part import done_object, read_done
from layout.formats.fields import Fields, read_outline
from layout.formats.values import (
    MOST_LENGTH,
    MOST_TURN,
    FieldError,
    a_list,
    a_number,
    a_point,
    check_known,
    check_unique,
    quoted,
)
from layout.model.project import (
    Clearances,
    Die,
    Done,
    Image,
    Machine,
    Panel,
    Paper,
    Project,
    Punch,
    Scrap,
    Turn,
    Wanted,
)


def read_project(path: Path) -> Project:
    """Read a project file; raises FileError."""
    return parse_project(reading.read_bytes(path), str(path))


def parse_project(data: bytes, name: str) -> Project:
    """Read a project from a file's bytes; `name` is what a message calls the file. Raises FileError."""
    return reading.parse(data, name, "project", _project)


def write_project(project: Project, path: Path) -> None:
    """Write a project in one step; raises FileError and leaves the old file whole."""
    writing.write_bytes(project_bytes(project), path)


def project_bytes(project: Project) -> bytes:
    """Return the bytes of a project's file."""
    return writing.to_bytes(_project_object(project))


def project_in_parts(project: Project) -> Iterator[bytes]:
    """Give the same part by part, each of little work."""
    yield b""
    yield from writing.to_parts(_project_object(project))


# ---- in ---------------------------------------------------------------------------------------------------------


def _project(fields: Fields) -> Project:
    done = read_done(fields, read_scrap)
    project = Project(
        name=fields.text("name", ""),
        machine=read_machine(Fields(fields.take("machine"), fields.at("machine"))),
        clearances=_clearances(fields.child_or_empty("clearances")),
        dies=fields.each("dies", read_die),
        punches=fields.each("punches", read_punch),
        papers=fields.each("papers", read_paper),
        scraps=fields.each("scraps", read_scrap),
        panels=fields.each("panels", read_panel),
        wanted=fields.each("wanted", _wanted),
        kits=fields.whole("kits", 1, least=1),
        spares=_spares(fields, done),
        done=done,
        known_passes=fields.whole_or_none("known_passes", least=0),
        extra=fields.extra(),
    )
    _check_names(project)
    return project


def read_machine(fields: Fields) -> Machine:
    """Read a machine; raises FieldError."""
    return Machine(
        name=fields.text("name", ""),
        bed_margin=fields.number("bed_margin", 0.0, least=0.0),
        overhang_across=fields.number("overhang_across", 0.0, least=0.0),
        overhang_along=fields.number("overhang_along", math.inf, least=0.0),
        **fields.inner("bed", lambda bed: {"bed_width": bed.size("width"), "bed_length": bed.size("length")}),
        extra=fields.extra(),
    )


def _clearances(fields: Fields) -> Clearances:
    usual = Clearances()
    return Clearances(
        body_gap=fields.number("body_gap", usual.body_gap, least=0.0),
        paper_edge=fields.number("paper_edge", usual.paper_edge, least=0.0),
        web=fields.number("web", usual.web, least=0.0),
        image_tolerance=fields.number("image_tolerance", usual.image_tolerance, least=0.0),
        extra=fields.extra(),
    )


def read_die(fields: Fields) -> Die:
    """Read a die; raises FieldError."""
    name = fields.name()
    return Die(
        id=name,
        name=fields.text("name", name),
        body=fields.outline("body"),
        cut=fields.outline("cut"),
        copies=fields.whole("copies", 1, least=0),
        extra=fields.extra(),
    )


def read_punch(fields: Fields) -> Punch:
    """Read a punch; raises FieldError."""
    name = fields.name()
    return Punch(
        id=name,
        name=fields.text("name", name),
        cut=fields.outline("cut"),
        reach=fields.number("reach", least=-MOST_LENGTH),
        mouth=fields.number("mouth", math.inf, least=0.0),
        extra=fields.extra(),
    )


def read_paper(fields: Fields) -> Paper:
    """Read a paper; raises FieldError."""
    name = fields.name()
    return Paper(
        id=name,
        name=fields.text("name", name),
        grammage=fields.number("grammage", 0.0, least=0.0),
        caliper=fields.number("caliper", 0.0, least=0.0),
        layers=fields.whole("layers", 1, least=1),
        extra=fields.extra(),
    )


def read_scrap(fields: Fields) -> Scrap:
    """Read a scrap; raises FieldError."""
    return Scrap(
        id=fields.name(),
        paper=fields.text("paper"),
        outline=fields.outline("outline"),
        count=fields.whole("count", 1, least=0),
        up=fields.number("up", 90.0, least=-MOST_TURN, most=MOST_TURN),
        spoiled=fields.inner_each("spoiled", read_outline),
        images=fields.each("images", _image),
        uncut=fields.outline_or_none("uncut"),
        extra=fields.extra(),
    )


def _image(fields: Fields) -> Image:
    return Image(
        image=fields.name("image"),
        pose=fields.pose("pose"),
        outline=fields.outline_or_none("outline"),
        extra=fields.extra(),
    )


def read_panel(fields: Fields) -> Panel:
    """Read a panel; raises FieldError."""
    name = fields.name()
    return Panel(
        id=name,
        name=fields.text("name", name),
        outline=fields.outline("outline"),
        scores=tuple(_score(value, path) for value, path in fields.items("scores")),
        extra=fields.extra(),
    )


def _score(value: Any, path: str) -> tuple[tuple[float, float], tuple[float, float]]:
    ends = a_list(value, path)
    if len(ends) != 2:
        raise FieldError(path, f"a line [[x, y], [x, y]] is needed here, not a list of {len(ends)}")
    return a_point(*ends[0]), a_point(*ends[1])


def _wanted(fields: Fields) -> Wanted:
    return Wanted(
        id=fields.name(),
        shape=fields.text("shape"),
        count=fields.whole("count", 1, least=0),
        paper=fields.text_or_none("paper"),
        turn=_turn(fields.take_or_none("turn"), fields.at("turn")),
        turn_tolerance=fields.number_or_none("turn_tolerance", least=0.0, most=360.0),
        image=fields.text_or_none("image"),
        more_is_fine=fields.truth("more_is_fine", False),
        extra=fields.extra(),
    )


def _turn(value: Any, path: str) -> Turn:
    if value is None or value == "any":
        return "any"
    if value == "upright":
        return "upright"
    if isinstance(value, str):
        raise FieldError(path, f'{quoted(value)} is no turn; say "any", "upright" or a list of angles')
    if not a_list(value, path):
        raise FieldError(path, 'the list of angles is empty; name one or say "any"')
    return tuple(a_number(angle, at, -MOST_TURN, MOST_TURN) for angle, at in a_list(value, path))


def _spares(fields: Fields, done: Done) -> dict[str, int]:
    # A tin may hold pieces that this project no longer asks for, so its names are not checked.
    tin = fields.child_or_empty("spares")
    ready = {name: tin.whole(name, least=0) for name in tin.names()}
    # For the contract ready pieces are all alike; what our own passes made is told apart from the tin again.
    made = Project(done=done).made
    return {name: rest for name, count in ready.items() if (rest := max(0, count - made(name))) or not made(name)}


def _check_names(project: Project) -> None:
    # Dies, punches and panels share one set of names, for a wanted piece may ask for any of them.
    check_unique(_ids("dies", project.dies) + _ids("punches", project.punches) + _ids("panels", project.panels))
    check_unique(_ids("papers", project.papers))
    check_unique(_ids("scraps", project.scraps))
    check_unique(_ids("wanted", project.wanted))
    _check_references(project)


def _ids(key: str, things: Iterable[Die | Punch | Panel | Paper | Scrap | Wanted]) -> list[tuple[str, str]]:
    return [(f"{key}[{i}].id", thing.id) for i, thing in enumerate(things)]


def _check_references(project: Project) -> None:
    shapes = {name for all_of in (project.dies, project.punches, project.panels) for _, name in _ids("", all_of)}
    papers = {p.id for p in project.papers}
    for i, scrap in enumerate(project.scraps):
        check_known(f"scraps[{i}].paper", scrap.paper, papers, "paper")
    for i, wanted in enumerate(project.wanted):
        check_known(f"wanted[{i}].shape", wanted.shape, shapes, "die, punch or panel")
        if wanted.paper is not None:
            check_known(f"wanted[{i}].paper", wanted.paper, papers, "paper")


# ---- out --------------------------------------------------------------------------------------------------------


def _project_object(project: Project) -> dict[str, Any]:
    known = {
        "format": "plateful-project",
        "version": reading.VERSION,
        "name": project.name or None,
        "machine": machine_object(project.machine),
        "clearances": _clearances_object(project.clearances),
        "dies": [die_object(d) for d in project.dies],
        "punches": [punch_object(p) for p in project.punches],
        "papers": [paper_object(p) for p in project.papers],
        "scraps": [scrap_object(s) for s in project.scraps],
        "panels": [panel_object(p) for p in project.panels],
        "wanted": [_wanted_object(w) for w in project.wanted],
        "kits": project.kits,
        "spares": _ready(project),
        "known_passes": project.known_passes,
        "done": done_object(project.done, scrap_object),
    }
    return writing.with_extra(known, project.extra)


def _ready(project: Project) -> dict[str, int]:
    names = dict.fromkeys([*project.spares, *(name for run in project.done.runs for name in run.made)])
    return {name: project.spares.get(name, 0) + project.made(name) for name in names}


def machine_object(machine: Machine) -> dict[str, Any]:
    """Return a machine's JSON object."""
    known = {
        "name": machine.name,
        "bed": {"width": writing.number(machine.bed_width), "length": writing.number(machine.bed_length)},
        "bed_margin": writing.number(machine.bed_margin),
        "overhang_across": writing.number(machine.overhang_across),
        "overhang_along": writing.finite(machine.overhang_along),
    }
    return writing.with_extra(known, machine.extra)


def _clearances_object(gaps: Clearances) -> dict[str, Any]:
    names = ("body_gap", "paper_edge", "web", "image_tolerance")
    return writing.with_extra({name: writing.number(getattr(gaps, name)) for name in names}, gaps.extra)


def die_object(die: Die) -> dict[str, Any]:
    """Return a die's JSON object."""
    known = {
        "id": die.id,
        "name": die.name,
        "body": writing.outline(die.body),
        "cut": writing.outline(die.cut),
        "copies": die.copies,
    }
    return writing.with_extra(known, die.extra)


def punch_object(punch: Punch) -> dict[str, Any]:
    """Return a punch's JSON object."""
    known = {
        "id": punch.id,
        "name": punch.name,
        "cut": writing.outline(punch.cut),
        "reach": writing.number(punch.reach),
        "mouth": writing.finite(punch.mouth),
    }
    return writing.with_extra(known, punch.extra)


def paper_object(paper: Paper) -> dict[str, Any]:
    """Return a paper's JSON object."""
    known = {
        "id": paper.id,
        "name": paper.name,
        "grammage": writing.number(paper.grammage),
        "caliper": writing.number(paper.caliper),
        "layers": paper.layers,
    }
    return writing.with_extra(known, paper.extra)


def scrap_object(scrap: Scrap) -> dict[str, Any]:
    """Return a scrap's JSON object."""
    known = {
        "id": scrap.id,
        "paper": scrap.paper,
        "outline": writing.outline(scrap.outline),
        "count": scrap.count,
        "up": writing.number(scrap.up),
        "spoiled": [writing.outline(s) for s in scrap.spoiled] or None,
        "images": [_image_object(i) for i in scrap.images] or None,
        "uncut": None if scrap.uncut is None else writing.outline(scrap.uncut),
    }
    return writing.with_extra(known, scrap.extra)


def _image_object(image: Image) -> dict[str, Any]:
    ink = None if image.outline is None else writing.outline(image.outline)
    return writing.with_extra({"image": image.image, "pose": writing.pose(image.pose), "outline": ink}, image.extra)


def panel_object(panel: Panel) -> dict[str, Any]:
    """Return a panel's JSON object."""
    known = {
        "id": panel.id,
        "name": panel.name,
        "outline": writing.outline(panel.outline),
        "scores": [writing.points(line) for line in panel.scores],
    }
    return writing.with_extra(known, panel.extra)


def _wanted_object(wanted: Wanted) -> dict[str, Any]:
    known = {
        "id": wanted.id,
        "shape": wanted.shape,
        "count": wanted.count,
        "paper": wanted.paper,
        "turn": wanted.turn if isinstance(wanted.turn, str) else [writing.number(a) for a in wanted.turn],
        "turn_tolerance": None if wanted.turn_tolerance is None else writing.number(wanted.turn_tolerance),
        "image": wanted.image,
        "more_is_fine": wanted.more_is_fine or None,
    }
    return writing.with_extra(known, wanted.extra)
