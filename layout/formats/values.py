"""Single values of a file, checked: numbers, texts, points and rings, each fault with its place in the file."""

from __future__ import annotations

import json
import math
from collections.abc import Collection
from typing import Annotated, Any

import msgspec

from layout.geometry.outline import Point, Ring

MOST_LENGTH = 50_000.0  # mm: fifty metres, beyond any sheet; larger numbers are slips or another unit
MOST_TURN = 1e6  # degrees
MOST_COUNT = 100_000
MOST_DEPTH = 50  # of fields nobody knows
PATH_END = 40  # signs of a long path that are shown at either end

_Length = Annotated[float, msgspec.Meta(ge=-MOST_LENGTH, le=MOST_LENGTH)]
_Corners = list[tuple[_Length, _Length]]


class FieldError(Exception):
    """What is wrong at one place of a file; becomes a FileError once the file's name is known."""

    def __init__(self, path: str, what: str) -> None:
        super().__init__(f"{_short(path.lstrip('.'))}: {what}" if path else what)


def a_ring(value: Any, path: str) -> Ring:
    """Check a list of corners; a corner that repeats the one before it (or the first one, at the end) is left out."""
    corners = _faultless_corners(value)
    if corners is None:
        corners = [a_point(corner, at) for corner, at in a_list(value, path)]
    ring: list[Point] = []
    for point in corners:
        if not ring or point != ring[-1]:
            ring.append(point)
    while len(ring) > 1 and ring[0] == ring[-1]:
        ring.pop()
    return tuple(ring)


def _faultless_corners(value: Any) -> list[Point] | None:
    """The corners where all are plainly right; None otherwise, and the slow way then says what is wrong and where.

    Nearly all of a file is corners: naming the place of each before looking at it took half of the time to open one.
    """
    try:
        return msgspec.convert(value, _Corners)
    except msgspec.ValidationError:
        return None


def a_point(value: Any, path: str) -> Point:
    """Check a pair of coordinates in mm."""
    if not isinstance(value, list) or len(value) != 2:
        raise FieldError(path, f"a point [x, y] is needed here, not {kind(value)}")
    x, y = value
    return (
        a_number(x, f"{path}[0]", -MOST_LENGTH, MOST_LENGTH),
        a_number(y, f"{path}[1]", -MOST_LENGTH, MOST_LENGTH),
    )


def a_list(value: Any, path: str) -> list[tuple[Any, str]]:
    """Check a list and pair each item with its path."""
    if not isinstance(value, list):
        raise FieldError(path, f"a list […] is needed here, not {kind(value)}")
    return [(item, f"{path}[{i}]") for i, item in enumerate(value)]


def a_text(value: Any, path: str) -> str:
    """Check a text that can be written again."""
    if not isinstance(value, str):
        raise FieldError(path, f"a text is needed here, not {kind(value)}")
    _refuse_half_characters(value, path)
    return value


def a_number(value: Any, path: str, least: float, most: float) -> float:
    """Check a finite number from `least` to `most`; true and false are no numbers."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FieldError(path, f"a number is needed here, not {kind(value)}")
    if not least <= value <= most:  # also where it is NaN
        raise FieldError(path, _out_of_range(value, least, most))
    return float(value)


def a_whole(value: Any, path: str, least: int, most: int) -> int:
    """Check a whole number from `least` to `most`."""
    number = a_number(value, path, least, most)
    if not number.is_integer():
        raise FieldError(path, f"a whole number is needed here, not {shown(value)}")
    return int(number)


def refuse_unwritable(value: Any, path: str, depth: int = 0) -> None:
    """Refuse what JSON has no form for (NaN, infinities, halves of a surrogate pair) and bottomless nesting."""
    if _is_writable(value, MOST_DEPTH - depth):
        return
    if depth > MOST_DEPTH:
        raise FieldError(path, f"nested more than {MOST_DEPTH} levels deep; flatten or remove it")
    if isinstance(value, list):
        for item, at in a_list(value, path):
            refuse_unwritable(item, at, depth + 1)
    elif isinstance(value, dict):
        for key, item in value.items():
            _refuse_half_characters(key, path)
            refuse_unwritable(item, f"{path}.{key}", depth + 1)
    elif isinstance(value, str):
        _refuse_half_characters(value, path)
    else:
        raise FieldError(path, f"{shown(value)} is not a number that can be used here")


def _is_writable(value: Any, levels: int) -> bool:
    """Say the same without naming the place, which is what takes the time in a large file."""
    if levels < 0:
        return False
    if isinstance(value, list):
        return all(_is_writable(item, levels - 1) for item in value)
    if isinstance(value, dict):
        return all(_is_whole(k) and _is_writable(v, levels - 1) for k, v in value.items())
    if isinstance(value, str):
        return _is_whole(value)
    return not isinstance(value, float) or math.isfinite(value)


def _is_whole(text: str) -> bool:
    return text.isascii() or not any("\ud800" <= c <= "\udfff" for c in text)


def check_known(path: str, value: str, known: Collection[str], kinds: str) -> None:
    """Refuse a name that is none of the `known` ones, with the likeliest one as a hint."""
    if value in known:
        return
    from difflib import get_close_matches  # only a wrong file needs it, and every start would wait for it

    near = get_close_matches(value, list(known), n=1)
    hint = f"did you mean {quoted(near[0])}?" if near else f"add it or choose {_some(known)}"
    raise FieldError(path, f"no {kinds} is called {quoted(value)}; {hint}")


def check_unique(places: list[tuple[str, str]]) -> None:
    """Refuse a name that is given twice; `places` are pairs of path and name."""
    first: dict[str, str] = {}
    for path, name in places:
        if name in first:
            raise FieldError(path, f"{quoted(name)} is already used at {first[name]}; give it another name")
        first[name] = path


def quoted(text: str, most: int = 60) -> str:
    """Show a text from the file in quotes, on one line, cut where it is long."""
    return json.dumps(text if len(text) <= most else text[: most - 1] + "…", ensure_ascii=False)


def _refuse_half_characters(text: str, path: str) -> None:
    if not _is_whole(text):
        raise FieldError(path, "this text holds half a character; type it anew")


def _short(path: str) -> str:
    return path if len(path) <= 2 * PATH_END else f"{path[:PATH_END]}…{path[-PATH_END:]}"


def _some(known: Collection[str]) -> str:
    names = sorted(known)
    if not names:
        return "another, there is none yet"
    return "one of " + ", ".join(quoted(n) for n in names[:5]) + (" …" if len(names) > 5 else "")


def shown(value: float) -> str:
    """Show a number from the file."""
    if isinstance(value, float) and math.isnan(value):
        return "NaN"
    if isinstance(value, float) and math.isinf(value):
        return "an infinite number"
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return text if len(text) <= 24 else f"a number of {len(text)} digits"


def kind(value: Any) -> str:
    """Say what a value is instead of what it should be."""
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"the number {shown(value)}"
    if isinstance(value, str):
        return f"the text {quoted(value)}"
    return f"a list of {len(value)}" if isinstance(value, list) else "an object"


def _out_of_range(value: float, least: float, most: float) -> str:
    if value != value:
        return "NaN is not a number that can be used here"
    if value < least:
        return f"{shown(value)} is too small; it must be at least {least:g}"
    return f"{shown(value)} is too large; it may be at most {most:g}"
