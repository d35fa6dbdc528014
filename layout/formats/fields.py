"""The fields of one object in a file, taken one by one; what nobody takes is kept as `extra`."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Collection
from difflib import get_close_matches
from typing import Any, TypeVar

from layout.geometry.outline import Outline, OutlineError, Point, Ring
from layout.geometry.pose import Pose
from layout.model.project import NOTHING, Extra

MOST_LENGTH = 50_000.0  # mm: fifty metres, beyond any sheet; larger numbers are slips or another unit
MOST_TURN = 1e6  # degrees
MOST_COUNT = 100_000
MOST_DEPTH = 50  # of fields nobody knows
PATH_END = 40  # signs of a long path that are shown at either end

_PLAIN_NUMBERS = (float, int)

T = TypeVar("T")


class FieldError(Exception):
    """What is wrong at one place of a file; becomes a FileError once the file's name is known."""

    def __init__(self, path: str, what: str) -> None:
        super().__init__(f"{_short(path.lstrip('.'))}: {what}" if path else what)


class Fields:
    """One JSON object at a `path` inside the file. Every getter raises FieldError naming the path of its field.

    The fields of nested objects that carry no `extra` of their own (a pose, an outline, the bed) are kept
    under their key in the `extra` of the object that holds them; `writing.with_extra` puts them back.
    """

    def __init__(self, value: Any, path: str = "") -> None:
        if not isinstance(value, dict):
            raise FieldError(path, f"an object {{…}} is needed here, not {_kind(value)}")
        self.path = path
        self._left: dict[str, Any] = dict(value)
        self._inner: dict[str, Any] = {}

    def at(self, key: str) -> str:
        """Return the path of one field."""
        return f"{self.path}.{key}" if self.path else key

    def names(self) -> list[str]:
        """Return the names of the fields not taken yet."""
        return list(self._left)

    def take(self, key: str) -> Any:
        """Take a field's raw value; raises FieldError where it is missing."""
        if key not in self._left:
            raise FieldError(self.at(key), "this field is missing")
        return self._left.pop(key)

    def take_or_none(self, key: str) -> Any:
        """Take a field's raw value, None where it is missing or null."""
        return self._left.pop(key, None)

    def extra(self) -> Extra:
        """Return what was not taken, for keeping; raises FieldError where it could not be written again."""
        for key, value in self._left.items():
            refuse_unwritable({key: value}, self.path)
        kept = {**self._left, **self._inner}
        return kept or NOTHING

    def text(self, key: str, default: str | None = None) -> str:
        """Take a text."""
        if default is not None and key not in self._left:
            return default
        return a_text(self.take(key), self.at(key))

    def text_or_none(self, key: str) -> str | None:
        """Take a text that may be missing or null."""
        value = self.take_or_none(key)
        return None if value is None else a_text(value, self.at(key))

    def name(self, key: str = "id") -> str:
        """Take a text that something else goes by; it may not be empty."""
        value = self.text(key)
        if not value:
            raise FieldError(self.at(key), "this name is empty; give it one")
        return value

    def truth(self, key: str, default: bool) -> bool:
        """Take true or false."""
        value = self._left.pop(key, default)
        if not isinstance(value, bool):
            raise FieldError(self.at(key), f"true or false is needed here, not {_kind(value)}")
        return value

    def number(self, key: str, default: float | None = None, *, least: float, most: float = MOST_LENGTH) -> float:
        """Take a finite number from `least` to `most`."""
        if default is not None and key not in self._left:
            return default
        return a_number(self.take(key), self.at(key), least, most)

    def size(self, key: str) -> float:
        """Take a length above 0 mm."""
        value = self.number(key, least=-math.inf)
        if value <= 0.0:
            raise FieldError(self.at(key), f"{_shown(value)} is too small; it must be above 0 mm")
        return value

    def whole(self, key: str, default: int | None = None, *, least: int, most: int = MOST_COUNT) -> int:
        """Take a whole number from `least` to `most`."""
        if default is not None and key not in self._left:
            return default
        return a_whole(self.take(key), self.at(key), least, most)

    def number_or_none(self, key: str, *, least: float, most: float = MOST_LENGTH) -> float | None:
        """Take a number that may be missing or null."""
        value = self.take_or_none(key)
        return None if value is None else a_number(value, self.at(key), least, most)

    def whole_or_none(self, key: str, *, least: int, most: int = MOST_COUNT) -> int | None:
        """Take a whole number that may be missing or null."""
        value = self.take_or_none(key)
        return None if value is None else a_whole(value, self.at(key), least, most)

    def items(self, key: str) -> list[tuple[Any, str]]:
        """Take a list (empty where it is missing) as pairs of value and path."""
        value = self._left.pop(key, [])
        return a_list(value, self.at(key))

    def each(self, key: str, read: Callable[[Fields], T]) -> tuple[T, ...]:
        """Take a list of objects (empty where it is missing), each read by `read`."""
        return tuple(read(Fields(value, path)) for value, path in self.items(key))

    def child_or_empty(self, key: str) -> Fields:
        """Take an object that may be missing or null."""
        value = self.take_or_none(key)
        return Fields({} if value is None else value, self.at(key))

    def inner(self, key: str, read: Callable[[Fields], T]) -> T:
        """Take an object that has no `extra` of its own; its unknown fields are kept in this one's."""
        fields = Fields(self.take(key), self.at(key))
        made = read(fields)
        if left := fields.extra():
            self._inner[key] = left
        return made

    def inner_each(self, key: str, read: Callable[[Fields], T]) -> tuple[T, ...]:
        """Take a list of objects that have no `extra` of their own; unknown fields are kept in this one's."""
        all_fields = [Fields(value, path) for value, path in self.items(key)]
        made = tuple(read(fields) for fields in all_fields)
        left = [fields.extra() for fields in all_fields]
        if any(left):
            self._inner[key] = left
        return made

    def outline(self, key: str) -> Outline:
        """Take an outline."""
        return self.inner(key, read_outline)

    def outline_or_none(self, key: str) -> Outline | None:
        """Take an outline that may be missing or null."""
        if self._left.get(key) is not None:
            return self.outline(key)
        self._left.pop(key, None)
        return None

    def pose(self, key: str) -> Pose:
        """Take a pose."""
        return self.inner(key, read_pose)


def read_outline(fields: Fields) -> Outline:
    """Read `{"outer", "holes"}`; rings closed by a repeated point are tolerated."""
    outer = a_ring(fields.take("outer"), fields.at("outer"))
    holes = tuple(a_ring(value, path) for value, path in fields.items("holes"))
    try:
        return Outline(outer, holes)
    except OutlineError as error:
        raise FieldError(fields.path, str(error)) from error


def read_pose(fields: Fields) -> Pose:
    """Read `{"x", "y", "turn"}`; a missing turn is 0."""
    x = fields.number("x", least=-2 * MOST_LENGTH, most=2 * MOST_LENGTH)
    y = fields.number("y", least=-2 * MOST_LENGTH, most=2 * MOST_LENGTH)
    return Pose(x, y, fields.number("turn", 0.0, least=-MOST_TURN, most=MOST_TURN))


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
    if type(value) is not list:
        return None
    corners: list[Point] = []
    for corner in value:
        if type(corner) is not list or len(corner) != 2:
            return None
        x, y = corner
        if type(x) not in _PLAIN_NUMBERS or type(y) not in _PLAIN_NUMBERS:
            return None
        if not (-MOST_LENGTH <= x <= MOST_LENGTH and -MOST_LENGTH <= y <= MOST_LENGTH):
            return None
        corners.append((float(x), float(y)))
    return corners


def a_point(value: Any, path: str) -> Point:
    """Check a pair of coordinates in mm."""
    if not isinstance(value, list) or len(value) != 2:
        raise FieldError(path, f"a point [x, y] is needed here, not {_kind(value)}")
    x, y = value
    return (
        a_number(x, f"{path}[0]", -MOST_LENGTH, MOST_LENGTH),
        a_number(y, f"{path}[1]", -MOST_LENGTH, MOST_LENGTH),
    )


def a_list(value: Any, path: str) -> list[tuple[Any, str]]:
    """Check a list and pair each item with its path."""
    if not isinstance(value, list):
        raise FieldError(path, f"a list […] is needed here, not {_kind(value)}")
    return [(item, f"{path}[{i}]") for i, item in enumerate(value)]


def a_text(value: Any, path: str) -> str:
    """Check a text that can be written again."""
    if not isinstance(value, str):
        raise FieldError(path, f"a text is needed here, not {_kind(value)}")
    _refuse_half_characters(value, path)
    return value


def a_number(value: Any, path: str, least: float, most: float) -> float:
    """Check a finite number from `least` to `most`; true and false are no numbers."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FieldError(path, f"a number is needed here, not {_kind(value)}")
    if not least <= value <= most:  # also where it is NaN
        raise FieldError(path, _out_of_range(value, least, most))
    return float(value)


def a_whole(value: Any, path: str, least: int, most: int) -> int:
    """Check a whole number from `least` to `most`."""
    number = a_number(value, path, least, most)
    if not number.is_integer():
        raise FieldError(path, f"a whole number is needed here, not {_shown(value)}")
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
        raise FieldError(path, f"{_shown(value)} is not a number that can be used here")


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


def _shown(value: float) -> str:
    if isinstance(value, float) and math.isnan(value):
        return "NaN"
    if isinstance(value, float) and math.isinf(value):
        return "an infinite number"
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return text if len(text) <= 24 else f"a number of {len(text)} digits"


def _kind(value: Any) -> str:
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"the number {_shown(value)}"
    if isinstance(value, str):
        return f"the text {quoted(value)}"
    return f"a list of {len(value)}" if isinstance(value, list) else "an object"


def _out_of_range(value: float, least: float, most: float) -> str:
    if value != value:
        return "NaN is not a number that can be used here"
    if value < least:
        return f"{_shown(value)} is too small; it must be at least {least:g}"
    return f"{_shown(value)} is too large; it may be at most {most:g}"
