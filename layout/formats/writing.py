"""From JSON values to bytes and onto the disk: compact enough to read, exact in every number, whole or not at all."""

from __future__ import annotations

import contextlib
import json
import math
import os
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

from layout.formats.reading import MOST_BYTES, one_line
from layout.geometry.outline import Outline, Point
from layout.geometry.pose import Pose
from layout.model.errors import FileError
from layout.model.noted import Extra

LINE = 118  # signs: what is shorter stays on one line
ENCODER = json.JSONEncoder(ensure_ascii=False, allow_nan=False)
EXACT = 2**53  # up to here every whole number is a float of its own


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


def points(line: Iterable[Point]) -> list[list[float | int]]:
    """Return the JSON list of a ring's or a line's points."""
    return [[number(x), number(y)] for x, y in line]


def outline(shape: Outline) -> dict[str, Any]:
    """Return an outline's JSON object."""
    holes = [points(h) for h in shape.holes]
    return {"outer": points(shape.outer)} | ({"holes": holes} if holes else {})


def pose(at: Pose) -> dict[str, Any]:
    """Return a pose's JSON object."""
    return {"x": number(at.x), "y": number(at.y), "turn": number(at.turn)}


def to_bytes(tree: dict[str, Any]) -> bytes:
    """Return a file's bytes: one line for what fits into one, UTF-8, a line break at the end."""
    return (_text(tree, "") + "\n").encode()


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


def _text(value: Any, indent: str, key: str = "") -> str:
    flat = key + ENCODER.encode(value)
    if len(flat) + len(indent) <= LINE or not value or not isinstance(value, list | dict):
        return flat
    deeper = indent + " "
    if isinstance(value, dict):
        lines = [_text(v, deeper, f"{ENCODER.encode(k)}: ") for k, v in value.items()]
        return _block(f"{key}{{", lines, "}", indent)
    if all(_is_point(v) for v in value):
        corners = flat[len(key) + 2 : -2].split("], [")
        return _block(f"{key}[", _filled([f"[{corner}]" for corner in corners]), "]", indent)
    return _block(f"{key}[", [_text(v, deeper) for v in value], "]", indent)


def _is_point(value: Any) -> bool:
    return isinstance(value, list) and len(value) == 2 and all(isinstance(v, int | float) for v in value)


def _block(start: str, lines: list[str], end: str, indent: str) -> str:
    between = f",\n{indent} "
    return f"{start}\n{indent} {between.join(lines)}\n{indent}{end}"


def _filled(words: list[str]) -> list[str]:
    """Join the corners of a ring into lines."""
    lines: list[str] = [words[0]]
    for word in words[1:]:
        if len(lines[-1]) + len(word) + 2 <= LINE:
            lines[-1] += f", {word}"
        else:
            lines.append(word)
    return lines
