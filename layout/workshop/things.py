"""What the workshop keeps, as rows and as things of the model."""

from __future__ import annotations

import json
import uuid
import zlib
from dataclasses import dataclass
from typing import Any, Literal, get_args

from layout.formats import done_part, project_file, reading
from layout.formats.fields import Fields
from layout.formats.values import FieldError
from layout.geometry.outline import Outline
from layout.geometry.value import replace
from layout.model.done import Spare
from layout.model.errors import WorkshopError
from layout.model.noted import NOTHING
from layout.model.project import Die, Machine, Panel, Paper, Project, Punch, Scrap

Kind = Literal["die", "punch", "panel", "machine", "paper", "scrap", "spare"]
KINDS: tuple[Kind, ...] = get_args(Kind)
Model = Die | Punch | Panel | Machine | Paper | Scrap | Spare
REFERENCE = "workshop"  # the field by which a thing of a project names the one of the workshop it was taken from


LARGEST_PICTURE = 2 * 2**20  # bytes


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing of the drawer as a list shows it: no outline is read for it. `size` in mm, across and along."""

    id: str
    kind: Kind
    name: str
    count: int
    paper: str
    note: str
    source: str
    size: tuple[float, float]
    changed: str
    tags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Kit:
    """A set of things that are used together, such as 'evening class kit'."""

    name: str
    things: tuple[str, ...]


def is_picture(png: bytes) -> bool:
    """Whether this is a PNG picture that may be kept."""
    return len(png) <= LARGEST_PICTURE and png.startswith(b"\x89PNG\r\n")


def kind_of(model: Model) -> Kind:
    """Say what kind of thing this is."""
    kinds: dict[type, Kind] = {Die: "die", Punch: "punch", Panel: "panel", Machine: "machine", Paper: "paper"}
    return kinds.get(type(model)) or ("scrap" if isinstance(model, Scrap) else "spare")


def outline_of(model: Model) -> Outline | None:
    """Return the outline that a small picture of the thing is drawn from."""
    if isinstance(model, Die | Punch | Spare):
        return model.cut
    return model.outline if isinstance(model, Panel | Scrap) else None


def count_of(model: Model) -> int:
    """Return how many there are."""
    if isinstance(model, Die):
        return model.copies
    return model.count if isinstance(model, Scrap | Spare) else 1


def with_count(model: Model, count: int) -> Model:
    """Return the thing with so many of it."""
    if isinstance(model, Die):
        return replace(model, copies=count)
    return replace(model, count=count) if isinstance(model, Scrap | Spare) else model


def name_of(model: Model) -> str:
    """Return what a person calls the thing; a scrap without a name goes by its id."""
    return str(model.extra.get("name") or model.id) if isinstance(model, Scrap) else model.name


def without_reference(model: Model) -> Model:
    """Return the thing as the drawer keeps it: knowing of no project."""
    rest = {key: value for key, value in model.extra.items() if key != REFERENCE}
    bare = replace(model, extra=rest or NOTHING)
    return replace(bare, uncut=None) if isinstance(bare, Scrap) else bare


def with_reference(model: Model, name: str) -> Model:
    """Return the thing as a project keeps it, naming the one of the workshop."""
    return replace(model, extra={**model.extra, REFERENCE: name})


def named(project: Project, name: str = "") -> Project:
    """Return a project with a lasting id, by which its passes are told from those of any other; a new one is `name`."""
    if project.done.project:
        return project
    return replace(project, done=replace(project.done, project=name or uuid.uuid4().hex))


def reference(thing: Model) -> str:
    """Return the workshop's id of a thing of a project, empty where it was not taken from there."""
    found = thing.extra.get(REFERENCE)
    return found if isinstance(found, str) else ""


def to_object(model: Model) -> dict[str, Any]:
    """Return a thing's JSON object, as a project file holds it."""
    writers: dict[type, Any] = {
        Die: project_file.die_object,
        Punch: project_file.punch_object,
        Panel: project_file.panel_object,
        Machine: project_file.machine_object,
        Paper: project_file.paper_object,
        Scrap: project_file.scrap_object,
        Spare: done_part.spare_object,
    }
    made: dict[str, Any] = writers[type(model)](model)
    return {key: value for key, value in made.items() if value is not None}


def kind_by(tree: Any) -> Kind:
    """Tell the kind of a thing by the fields that only it has."""
    signs: dict[str, Kind] = {
        "body": "die",
        "reach": "punch",
        "bed": "machine",
        "layers": "paper",
        "scores": "panel",
        "up": "scrap",
    }
    return next((kind for sign, kind in signs.items() if sign in tree), "spare")


def row_of(model: Model, name: str, note: str, source: str, moment: str) -> tuple[Any, ...]:
    """Return the row by which a thing is found: kind, name, count, sides in mm, and the words searched for."""
    outline, paper = outline_of(model), getattr(model, "paper", "")
    x0, y0, x1, y1 = outline.bounds if outline is not None else (0.0, 0.0, 0.0, 0.0)
    called = name_of(model)
    words = " ".join((called, paper, note, source)).casefold()
    size = round(x1 - x0, 3), round(y1 - y0, 3)
    return name, kind_of(model), called, count_of(model), paper, note, source, *size, moment, words


def from_object(kind: Kind, tree: Any, path: str = "") -> Model:
    """Read a thing from its JSON object; raises FieldError."""
    fields = Fields(tree, path)
    readers: dict[Kind, Any] = {
        "die": project_file.read_die,
        "punch": project_file.read_punch,
        "panel": project_file.read_panel,
        "machine": project_file.read_machine,
        "paper": project_file.read_paper,
        "scrap": project_file.read_scrap,
        "spare": done_part.read_spare,
    }
    made: Model = readers[kind](fields)
    return made


def to_body(model: Model) -> str:
    """Return the text that a row keeps of a thing."""
    return json.dumps(to_object(model), ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def from_body(kind: Kind, body: str, mark: int, name: str) -> Model:
    """Read a row's text; raises WorkshopError where it is not what was written."""
    if mark_of(body) != mark:
        raise WorkshopError(f"what the workshop keeps of {name} is damaged; close and open the workshop to mend it")
    try:
        return from_object(kind, json.loads(body))
    except (ValueError, FieldError) as error:
        raise WorkshopError(reading.one_line(f"what the workshop keeps of {name} cannot be read: {error}")) from error


def mark_of(body: str) -> int:
    """Return a check sum by which damage of a row is noticed."""
    return zlib.crc32(body.encode())
