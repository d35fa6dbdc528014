"""The fields of one object in a file, taken one by one; what nobody takes is kept as `extra`."""

from __future__ import annotations

import math
from collections.abc import Callable, Generator
from typing import Any, TypeVar

from layout.formats.values import (
    MOST_COUNT,
    MOST_LENGTH,
    MOST_TURN,
    FieldError,
    a_list,
    a_number,
    a_ring,
    a_text,
    a_whole,
    kind,
    refuse_unwritable,
    shown,
)
from layout.geometry.outline import Outline, OutlineError
from layout.geometry.pose import Pose
from layout.model.noted import NOTHING, Extra

T = TypeVar("T")

Steps = Generator[None, None, T]
"""Work done a little at every step, which returns its outcome."""


class Fields:
    """One JSON object at a `path` inside the file. Every getter raises FieldError naming the path of its field.

    The fields of nested objects that carry no `extra` of their own (a pose, an outline, the bed) are kept
    under their key in the `extra` of the object that holds them; `writing.with_extra` puts them back.
    """

    def __init__(self, value: Any, path: str = "") -> None:
        if not isinstance(value, dict):
            raise FieldError(path, f"an object {{…}} is needed here, not {kind(value)}")
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
            raise FieldError(self.at(key), f"true or false is needed here, not {kind(value)}")
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
            raise FieldError(self.at(key), f"{shown(value)} is too small; it must be above 0 mm")
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

    def each_in_steps(self, key: str, read: Callable[[Fields], Steps[T]]) -> Steps[tuple[T, ...]]:
        """Take the same, each read by a `read` that does a little at every step."""
        made: list[T] = []
        for value, path in self.items(key):
            made.append((yield from read(Fields(value, path))))
        return tuple(made)

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


def done(steps: Steps[T]) -> T:
    """Return the outcome of work, all its steps done at once."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            outcome: T = end.value
            return outcome
