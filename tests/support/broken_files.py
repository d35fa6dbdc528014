"""Project files broken in every way a person may meet, written into a folder: each must give one clear line.

The reader, the headless command and the window are all held against the same files.
"""

from __future__ import annotations

import copy
import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HUGE = 100 * 2**20  # bytes
NOBODY = 65534  # the user without rights on POSIX systems

LAEF = 'wanted[0].shape: no die, punch or panel is called "laef"; did you mean "leaf"?'

Tree = dict[str, Any]


@dataclass(frozen=True)
class Broken:
    """A file that cannot be read: `says` is a part of the sentence it must give, naming place or fault.

    `guarded`: only its rights are wrong, so whoever may read everything must give up that right (`as_nobody`) first.
    """

    path: Path
    says: str
    guarded: bool = False

    @property
    def name(self) -> str:
        """What is wrong with it, in a few words."""
        return self.path.stem


def good_tree() -> Tree:
    """Return a small project that is right in everything, as JSON values."""
    return {
        "format": "plateful-project",
        "version": 1,
        "name": "two leaves",
        "machine": {"name": "small crank", "bed": {"width": 150, "length": 210}, "bed_margin": 3},
        "clearances": {"body_gap": 1.0, "paper_edge": 2.0, "web": 1.5, "image_tolerance": 0.5},
        "dies": [
            {"id": "leaf", "name": "fern leaf", "body": square(24), "cut": square(20)},
            {"id": "star", "name": "star", "body": square(34), "cut": square(30), "copies": 2},
        ],
        "punches": [{"id": "dot", "name": "dot", "cut": square(6), "reach": 20, "mouth": 40}],
        "papers": [{"id": "moss", "name": "moss", "grammage": 216, "caliper": 0.27, "layers": 2}],
        "scraps": [{"id": "s0", "paper": "moss", "outline": square(120), "count": 2, "spoiled": [square(5)]}],
        "wanted": [
            {"id": "w-leaf", "shape": "leaf", "count": 2, "paper": "moss", "turn": "upright"},
            {"id": "w-dot", "shape": "dot", "turn": [0, 90], "turn_tolerance": 5},
        ],
        "kits": 2,
        "spares": {"w-leaf": 1},
    }


def square(side: float) -> dict[str, list[list[float]]]:
    """Return the outline of a square about the origin."""
    h = side / 2
    return {"outer": [[-h, -h], [h, -h], [h, h], [-h, h]]}


def good_bytes() -> bytes:
    """Return the good project's file."""
    return json.dumps(good_tree(), indent=1).encode()


def broken_projects(folder: Path) -> list[Broken]:
    """Write all broken projects into a folder and return them."""
    folder.mkdir(parents=True, exist_ok=True)
    made = [_write(folder, name, data, says) for name, data, says in (*_BYTES, *_changed())]
    return [*made, *(make(folder) for make in _ON_DISK)]


def broken_names() -> list[str]:
    """Return the names of all broken projects, in the same order."""
    on_disk = [make.__name__.strip("_").replace("_", " ") for make in _ON_DISK]
    return [name for name, *_ in (*_BYTES, *_CHANGES)] + on_disk


@contextmanager
def as_nobody() -> Iterator[None]:
    """Give up the right to read everything for a while, where it is held."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


def _write(folder: Path, name: str, data: bytes, says: str) -> Broken:
    path = folder / f"{name}.json"
    path.write_bytes(data)
    return Broken(path, says)


def _huge(folder: Path) -> Broken:
    path = folder / "huge.json"
    with path.open("wb") as file:
        file.write(good_bytes())
        file.truncate(HUGE)  # a hole: it takes no room on the disk
    return Broken(path, "larger than 16 MB")


def _folder(folder: Path) -> Broken:
    path = folder / "folder.json"
    path.mkdir(exist_ok=True)
    return Broken(path, "folder")


def _guarded(folder: Path) -> Broken:
    path = folder / "guarded.json"
    path.write_bytes(good_bytes())
    path.chmod(0)
    return Broken(path, "no permission", guarded=True)


def _missing(folder: Path) -> Broken:
    return Broken(folder / "missing.json", "no such file")


_ON_DISK: tuple[Callable[[Path], Broken], ...] = (_huge, _folder, _guarded, _missing)

_BYTES: list[tuple[str, bytes, str]] = [
    ("empty", b"", "empty"),
    ("blank", b" \n\n", "empty"),
    ("cut off", good_bytes()[: len(good_bytes()) // 2], "cut off"),
    ("cut off in a word", good_bytes()[: good_bytes().index(b"small crank") + 5], "cut off"),
    ("not JSON", b"dear diary,\nnothing was cut today\n", "line 1, column 1"),
    ("a comma too many", good_bytes().replace(b'"kits": 2,', b'"kits": 2,,'), "near"),
    ("a picture", b"\x89PNG\r\n\x1a\n" + bytes(range(256)), "not a text file"),
    ("two bytes a letter", good_bytes().decode().encode("utf-16"), "not a text file"),
    ("nested without end", b"[" * 200_000 + b"]" * 200_000, "nested too deeply"),
    ("a list", b"[1, 2, 3]", "an object"),
    ("just a number", b"42", "an object"),
    ("NaN", good_bytes().replace(b'"kits": 2', b'"kits": NaN'), "kits: NaN"),
    ("infinite", good_bytes().replace(b'"reach": 20', b'"reach": Infinity'), "punches[0].reach: an infinite number"),
    ("beyond all numbers", good_bytes().replace(b'"reach": 20', b'"reach": 1e999'), "punches[0].reach"),
    ("thousands of digits", good_bytes().replace(b'"reach": 20', b'"reach": ' + b"9" * 9000), "punches[0].reach"),
]

_CHANGES: list[tuple[str, Callable[[Tree], object], str]] = [
    ("other format", lambda t: t.update(format="plateful-plan"), "format: this is no project"),
    ("no format", lambda t: t.pop("format"), "format: this field is missing"),
    ("newer version", lambda t: t.update(version=2), "newer Plateful"),
    ("version as text", lambda t: t.update(version="1"), "version: a number is needed"),
    ("no machine", lambda t: t.pop("machine"), "machine: this field is missing"),
    ("negative bed", lambda t: t["machine"]["bed"].update(width=-150), "machine.bed.width: -150 is too small"),
    ("bed without width", lambda t: t["machine"]["bed"].update(width=0), "machine.bed.width: 0 is too small"),
    ("negative margin", lambda t: t["machine"].update(bed_margin=-1), "machine.bed_margin: -1 is too small"),
    ("kits as text", lambda t: t.update(kits="eight"), 'kits: a number is needed here, not the text "eight"'),
    ("kits as true", lambda t: t.update(kits=True), "kits: a number is needed here, not true"),
    ("half a kit", lambda t: t.update(kits=2.5), "kits: a whole number is needed here, not 2.5"),
    ("no kits at all", lambda t: t.update(kits=0), "kits: 0 is too small"),
    ("dies as text", lambda t: t.update(dies="leaf"), "dies: a list"),
    ("a die as number", lambda t: t["dies"].insert(1, 7), "dies[1]: an object"),
    ("die without body", lambda t: t["dies"][1].pop("body"), "dies[1].body: this field is missing"),
    ("name as list", lambda t: t["dies"][0].update(name=["fern"]), "dies[0].name: a text is needed"),
    ("empty id", lambda t: t["dies"][0].update(id=""), "dies[0].id: this name is empty"),
    ("crossing outline", lambda t: _cross(t["dies"][0]["body"]["outer"]), "dies[0].body: the outline crosses"),
    ("two corners", lambda t: t["dies"][0]["body"]["outer"].__delitem__(slice(2)), "dies[0].body: an outline needs"),
    ("flat outline", lambda t: t["dies"][0]["cut"].update(outer=[[0, 0], [1, 0], [2, 0]]), "dies[0].cut"),
    ("hole outside", lambda t: t["dies"][0]["cut"].update(holes=[[[90, 0], [99, 0], [90, 9]]]), "cut: an opening lies"),
    ("three coordinates", lambda t: t["dies"][0]["cut"]["outer"][2].append(1), "dies[0].cut.outer[2]: a point [x, y]"),
    ("true as coordinate", lambda t: _corner(t).__setitem__(0, True), "dies[0].cut.outer[1][0]: a number is needed"),
    ("null as coordinate", lambda t: _corner(t).__setitem__(1, None), "dies[0].cut.outer[1][1]: a number is needed"),
    ("a mile away", lambda t: _corner(t).__setitem__(1, 1_609_344), "dies[0].cut.outer[1][1]: 1609344 is too large"),
    ("negative count", lambda t: t["scraps"][0].update(count=-1), "scraps[0].count: -1 is too small"),
    ("no layers", lambda t: t["papers"][0].update(layers=0), "papers[0].layers: 0 is too small"),
    ("unknown shape", lambda t: t["wanted"][0].update(shape="laef"), LAEF),
    ("unknown paper", lambda t: t["wanted"][0].update(paper="cream"), 'wanted[0].paper: no paper is called "cream"'),
    ("scrap of no paper", lambda t: t["scraps"][0].update(paper="mos"), 'scraps[0].paper: no paper is called "mos"'),
    ("id twice", lambda t: t["scraps"].append(t["scraps"][0]), 'scraps[1].id: "s0" is already used at scraps[0].id'),
    ("die and punch alike", lambda t: t["punches"][0].update(id="leaf"), 'punches[0].id: "leaf" is already used'),
    ("unknown turn", lambda t: t["wanted"][0].update(turn="sideways"), 'wanted[0].turn: "sideways" is no turn'),
    ("no turns", lambda t: t["wanted"][1].update(turn=[]), "wanted[1].turn: the list of angles is empty"),
    ("spares as list", lambda t: t.update(spares=[1]), "spares: an object"),
    ("spares as text", lambda t: t.update(spares={"w-leaf": "1"}), "spares.w-leaf: a number is needed"),
    ("half a letter", lambda t: t.update(name="moth \ud83e"), "name: this text holds half a character"),
    ("deep note", lambda t: t.update(note=_deep(400)), "levels deep"),
]  # fmt: skip


def _changed() -> Iterator[tuple[str, bytes, str]]:
    for name, change, says in _CHANGES:
        tree = copy.deepcopy(good_tree())
        change(tree)
        yield name, json.dumps(tree).encode(), says


def _corner(tree: Tree) -> list[Any]:
    return tree["dies"][0]["cut"]["outer"][1]


def _cross(ring: list[list[float]]) -> None:
    ring[0], ring[1] = ring[1], ring[0]


def _deep(levels: int) -> list[Any]:
    return [] if levels == 0 else [_deep(levels - 1)]
