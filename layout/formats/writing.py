"""From JSON values to bytes and onto the disk: compact enough to read, exact in every number, whole or not at all."""

from __future__ import annotations

import contextlib
import math
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import msgspec

from layout.formats.reading import MOST_BYTES, one_line
from layout.geometry.outline import Outline, Point
from layout.geometry.pose import Pose
from layout.model.errors import FileError
from layout.model.noted import Extra

if TYPE_CHECKING:
    import json

LINE = 118  # signs: what is shorter stays on one line
NO_NAME = frozenset('<>:"/\\|?*')  # no file may have these in its name on some system: Microsoft, "Naming Files"
EXACT = 2**53  # up to here every whole number is a float of its own


@cache
def _encoder() -> json.JSONEncoder:
    import json  # here, because the window's first picture only reads

    return json.JSONEncoder(ensure_ascii=False, allow_nan=False)


def with_extra(known: dict[str, Any], extra: Extra) -> dict[str, Any]:
    """Return an object's known fields (None: leave out) first, then the fields that were kept for the file."""
    made = {key: _merged(value, extra.get(key)) for key, value in known.items() if value is not None}
    return made | {key: value for key, value in extra.items() if key not in known}


def number(value: float) -> float | int:
    """Return the shortest JSON form of a number that reads back as the same one."""
    value = float(value)
    return int(value) if value.is_integer() and abs(value) < EXACT else value


def finite(value: float) -> float | int | None:
    """Return a number's JSON form; None (leave it out) where it is infinite."""
    return None if math.isinf(value) else number(value)


class Points(list[Any]):
    """The JSON list of a ring's or a line's points, known to hold nothing else."""


def points(line: Iterable[Point]) -> Points:
    """Return the JSON list of a ring's or a line's points."""
    return Points([number(x), number(y)] for x, y in line)


def outline(shape: Outline) -> dict[str, Any]:
    """Return an outline's JSON object."""
    holes = [points(h) for h in shape.holes]
    return {"outer": points(shape.outer)} | ({"holes": holes} if holes else {})


def pose(at: Pose) -> dict[str, Any]:
    """Return a pose's JSON object."""
    return {"x": number(at.x), "y": number(at.y), "turn": number(at.turn)}


def to_bytes(tree: dict[str, Any]) -> bytes:
    """Return a file's bytes: one line for what fits into one, UTF-8, a line break at the end."""
    return b"".join(to_parts(tree))


def to_parts(tree: dict[str, Any]) -> Iterator[bytes]:
    """Give the same part by part, each of little work, for a window that has other things to do in between."""
    for part in _parts(tree, ""):
        yield part.encode()
    yield b"\n"


def write_bytes(data: bytes, path: Path) -> None:
    """Replace a file in one step, so that a fault or a crash leaves the old one whole; raises FileError."""
    try:
        if len(data) > MOST_BYTES:
            raise ValueError(f"it would be larger than {MOST_BYTES // 2**20} MB and could not be read again")
        target = path.resolve()  # a link stays a link: what it points to is replaced
        _replace(data, target)
    except (OSError, ValueError, RuntimeError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise FileError(one_line(f"{path}: not saved ({why}); choose another folder or name")) from error


def file_stem(words: str) -> str:
    """Return words as a file may be named on every system, without an ending; commas and brackets stay."""
    plain = "".join("-" if c in NO_NAME or not c.isprintable() else c for c in words)
    return plain.strip(" .") or "untitled"


def _replace(data: bytes, target: Path) -> None:
    import tempfile  # only writing needs it, and every start would wait for it

    handle, temporary = tempfile.mkstemp(prefix=f".{target.name[:40]}.", dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(temporary, _mode(target))
        os.replace(temporary, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(temporary)
        raise
    _settle(target.parent)


def _mode(target: Path) -> int:
    """Return the rights the file had, or what a new one gets: a temporary file is for its owner only."""
    try:
        return target.stat().st_mode & 0o7777
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _settle(folder: Path) -> None:
    """Make the renaming itself outlast a power cut, on systems where a folder can be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _merged(value: Any, kept: Any) -> Any:
    """Put the unknown fields of a nested object, or of each object of an unchanged list, back into it."""
    if isinstance(value, dict) and isinstance(kept, Mapping):
        return with_extra(value, kept)
    if isinstance(value, list) and isinstance(kept, Sequence) and len(kept) == len(value):
        return [_merged(v, k) for v, k in zip(value, kept, strict=True)]
    return value


def _parts(value: Any, indent: str, key: str = "") -> Iterator[str]:
    can_be_parted = isinstance(value, list | dict)
    if not can_be_parted or not _surely_long(value):
        flat = key + _encoder().encode(value)
        if len(flat) + len(indent) <= LINE or not value or not can_be_parted:
            yield flat
            return
    deeper = indent + " "
    if isinstance(value, dict):
        yield from _block(f"{key}{{", ((f"{_encoder().encode(k)}: ", v) for k, v in value.items()), "}", indent)
    elif isinstance(value, Points) or all(_is_point(v) for v in value):
        corners = _flat_points(value)[2:-2].split("], [")
        lines = f",\n{deeper}".join(_filled([f"[{corner}]" for corner in corners]))
        yield f"{key}[\n{deeper}{lines}\n{indent}]"
    else:
        yield from _block(f"{key}[", (("", v) for v in value), "]", indent)


def _block(start: str, held: Iterable[tuple[str, Any]], end: str, indent: str) -> Iterator[str]:
    """Give a list or an object whose values stand on lines of their own."""
    deeper = indent + " "
    before = f"{start}\n{deeper}"
    for key, value in held:
        yield before
        yield from _parts(value, deeper, key)
        before = f",\n{deeper}"
    yield f"\n{indent}{end}"


def _surely_long(value: Any) -> bool:
    """Whether a value cannot fit into one line: writing much of it out, again and again, only to see that, is slow."""
    return _room_left(value, LINE) < 0


def _room_left(value: Any, room: int) -> int:
    """Return how many signs of a line are left at most beside a value; below zero, it has not all been looked at."""
    if isinstance(value, dict):
        for key, held in value.items():
            room = _room_left(held, room - len(key) - 6)
            if room < 0:
                return room
        return room
    if isinstance(value, list):
        for held in value:
            room = _room_left(held, room - 2)
            if room < 0:
                return room
        return room
    return room - (len(value) + 2 if isinstance(value, str) else 1)


def _flat_points(value: list[Any]) -> str:
    """Return points on one line; a library written for it turns numbers into signs many times as fast."""
    flat = msgspec.json.encode(value).decode().replace(",", ", ")
    return _encoder().encode(value) if "null" in flat else flat  # a number that is none: refused as ever


def _is_point(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(isinstance(v, int | float) for v in value)


def _filled(words: list[str]) -> list[str]:
    """Join the corners of a ring into lines."""
    lines: list[str] = [words[0]]
    for word in words[1:]:
        if len(lines[-1]) + len(word) + 2 <= LINE:
            lines[-1] += f", {word}"
        else:
            lines.append(word)
    return lines
