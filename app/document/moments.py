"""Moments of the work as bytes: one whole, and after it only what each gesture changed. Every record has a check sum.

Values share what did not change, so a change is found by looking at what is not the very same any more.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator, Mapping, Sequence
from itertools import takewhile
from typing import Any

import msgspec

from app.document.owed import Owed
from app.document.state import State
from layout.model.plan import Layout, Plan, Run
from layout.model.project import Done, Project

PARTED = (State, Project, Done, Plan, Layout, Run)  # of these only the fields that changed are written
HEAD = 8  # bytes before a record: its length, its check sum
WHOLE, CHANGE = "whole", "change"

Path = tuple[str | int, ...]
Step = tuple[Any, ...]  # (path, value) puts a value there; (path, start, stop, values) a part of a list


def whole_record(state: State, owed: Owed | None = None) -> bytes:
    """Return the record that a journal begins with, with what the workshop has not heard of the state."""
    return _record(WHOLE, state, owed)


def change_record(before: State, after: State, owed: Owed | None = None) -> bytes:
    """Return the record of what lies between two states, with what the workshop has not heard of the second."""
    return _record(CHANGE, list(_steps(before, after, ())), owed)


def told_in(data: bytes) -> tuple[State, Owed | None] | None:
    """Return the last state that a journal's bytes tell, up to the first record that is not whole; None where none.

    With it comes what the workshop had not heard of by then.
    """
    records = list(_records(data))
    while records:
        try:
            return _told_by(records), msgspec.convert(records[-1][2], Owed | None)
        except (msgspec.MsgspecError, LookupError, TypeError, ValueError):
            records.pop()  # a state that cannot be is less than the one before it
    return None


def _told_by(records: Sequence[tuple[str, Any, Any]]) -> State:
    kind, tree, _ = records[0]
    if kind != WHOLE:
        raise ValueError
    for _, steps, _ in records[1:]:
        for step in steps:
            _take(tree, step)
    return msgspec.convert(tree, _state_type())


# ---- what changed ---------------------------------------------------------------------------------------------------


def _steps(before: Any, after: Any, path: Path) -> Iterator[Step]:
    if before is after:
        return
    if isinstance(after, PARTED) and type(before) is type(after):
        for name in after.__struct_fields__:
            yield from _steps(getattr(before, name), getattr(after, name), (*path, name))
    elif isinstance(after, tuple) and isinstance(before, tuple):
        yield from _steps_in_list(before, after, path)
    elif before != after:
        yield path, after


def _steps_in_list(before: tuple[Any, ...], after: tuple[Any, ...], path: Path) -> Iterator[Step]:
    start = _alike(before, after)
    end = _alike(before[start:][::-1], after[start:][::-1])
    old, new = before[start : len(before) - end], after[start : len(after) - end]
    if len(old) == len(new) and all(isinstance(value, PARTED) for value in new):
        for at, (one, other) in enumerate(zip(old, new, strict=True), start):
            yield from _steps(one, other, (*path, at))
    elif old or new:
        yield path, start, start + len(old), new


def _alike(one: tuple[Any, ...], other: tuple[Any, ...]) -> int:
    return sum(1 for _ in takewhile(lambda pair: pair[0] is pair[1], zip(one, other, strict=False)))


def _take(tree: Any, step: Step) -> None:
    """Do one step in a tree of plain values."""
    *way, last = step[0]
    for key in way:
        tree = tree[key]
    if len(step) == 2:
        tree[last] = step[1]
    else:
        _, start, stop, values = step
        tree[last][start:stop] = values


# ---- bytes ----------------------------------------------------------------------------------------------------------


def _plain(value: Any) -> Any:
    """Return what the encoder does not know as something it does."""
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"{type(value).__name__} is nothing that a project can hold")


_ENCODER = msgspec.msgpack.Encoder(enc_hook=_plain)


def _record(kind: str, told: Any, owed: Owed | None) -> bytes:
    body = _ENCODER.encode((kind, told, owed))
    return len(body).to_bytes(4, "big") + zlib.crc32(body).to_bytes(4, "big") + body


def _records(data: bytes) -> Iterator[tuple[str, Any, Any]]:
    at = 0
    while at + HEAD <= len(data):
        length, mark = (int.from_bytes(data[k : k + 4], "big") for k in (at, at + 4))
        body = data[at + HEAD : at + HEAD + length]
        if len(body) != length or zlib.crc32(body) != mark:
            return
        yield msgspec.msgpack.decode(body)
        at += HEAD + length


def _state_type() -> type[State]:
    """Return the type to read, its parts known by name: the model's file names one of them for type checkers only."""
    from layout.model import done, project

    vars(project).setdefault("DoneRun", done.DoneRun)
    return State
