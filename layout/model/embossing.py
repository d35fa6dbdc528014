"""Embossing: folders with their usable area, which pieces are wanted embossed, and the turns of the crank it takes.

All of it lies in fields beside the contract's: folders in the project's `embossing_folders`, the wish in a wanted
piece's `emboss`, the turns in the plan's `embossing`. What is written there and cannot be read is passed over.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, TypeVar

from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.model.plan import Plan
from layout.model.project import Project, Wanted

FOLDERS, WISH, TURNS = "embossing_folders", "emboss", "embossing"

T = TypeVar("T")


class Folder(Value, frozen=True):
    """An embossing folder: its usable area is `width` along the hinge and `length` away from it (mm).

    Its frame has y = `length` at the hinge, which goes into the rollers first, as the plate's far end does.
    """

    id: str
    name: str
    width: float
    length: float


class Embossed(Value, frozen=True):
    """A piece in a folder: the pose of its shape in the folder's frame."""

    wanted: str
    pose: Pose


class Turn(Value, frozen=True):
    """One turn through the rollers with a folder."""

    folder: str
    pieces: tuple[Embossed, ...]


def folders(project: Project) -> tuple[Folder, ...]:
    """Return the project's embossing folders."""
    return tuple(_read(project.extra.get(FOLDERS), _folder))


def with_folders(project: Project, kept: Iterable[Folder]) -> Project:
    """Return the project with these folders and no others."""
    listed = [{"id": f.id, "name": f.name, "width": f.width, "length": f.length} for f in kept]
    return replace(project, extra=_with(project.extra, FOLDERS, listed))


def folder_of(wanted: Wanted) -> str | None:
    """Return the folder in which a wanted piece is embossed."""
    found = wanted.extra.get(WISH)
    return found if isinstance(found, str) and found else None


def with_folder(wanted: Wanted, folder: str | None) -> Wanted:
    """Return the wanted piece, embossed in a folder or not at all."""
    return replace(wanted, extra=_with(wanted.extra, WISH, folder))


def turns(plan: Plan) -> tuple[Turn, ...]:
    """Return the embossing turns that a plan holds."""
    return tuple(_read(plan.extra.get(TURNS), _turn))


def with_turns(plan: Plan, made: Iterable[Turn]) -> Plan:
    """Return the plan with these embossing turns and no others."""
    listed = [{"folder": turn.folder, "pieces": [_written(piece) for piece in turn.pieces]} for turn in made]
    return replace(plan, extra=_with(plan.extra, TURNS, listed))


def _with(extra: Mapping[str, Any], name: str, value: Any) -> Mapping[str, Any]:
    rest = {key: kept for key, kept in extra.items() if key != name}
    return {**rest, name: value} if value else rest


def _written(piece: Embossed) -> dict[str, Any]:
    pose = piece.pose
    return {"wanted": piece.wanted, "pose": {"x": pose.x, "y": pose.y, "turn": pose.turn}}


def _read(listed: Any, one: Callable[[Any], T]) -> Iterator[T]:
    for entry in listed if isinstance(listed, list | tuple) else ():
        try:
            yield one(entry)
        except (TypeError, KeyError, ValueError, AttributeError):
            continue


def _folder(entry: Any) -> Folder:
    width, length = float(entry["width"]), float(entry["length"])
    if not (0.0 < width < math.inf and 0.0 < length < math.inf):
        raise ValueError
    return Folder(str(entry["id"]), str(entry.get("name") or entry["id"]), width, length)


def _turn(entry: Any) -> Turn:
    return Turn(str(entry["folder"]), tuple(_piece(piece) for piece in entry["pieces"]))


def _piece(entry: Any) -> Embossed:
    pose = entry["pose"]
    return Embossed(str(entry["wanted"]), Pose(float(pose["x"]), float(pose["y"]), float(pose["turn"])))
