"""A drawer as one file for a friend. What comes in is data: nothing in it is opened, run or trusted for its size."""

from __future__ import annotations

import base64
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from layout.formats import reading, writing
from layout.formats.fields import Fields
from layout.formats.values import FieldError, a_text, quoted
from layout.workshop.things import KINDS, Model, from_object, is_picture, kind_of, to_object, without_reference

MOST_THINGS = 20_000
MOST_TAGS = 50
LONGEST = 500  # signs of a note, a source or a tag


@dataclass(frozen=True, slots=True)
class Shared:
    """One thing of a friend's file."""

    model: Model
    tags: tuple[str, ...]
    note: str
    source: str
    sets: tuple[str, ...] = ()
    picture: bytes | None = None


def write_drawer(path: Path, things: Sequence[Shared]) -> None:
    """Write things into one file; raises FileError and leaves an old file whole."""
    items = [
        {
            "kind": kind_of(thing.model),
            "tags": list(thing.tags) or None,
            "sets": list(thing.sets) or None,
            "note": thing.note or None,
            "source": thing.source or None,
            "picture": base64.b64encode(thing.picture).decode() if thing.picture else None,
            "thing": to_object(without_reference(thing.model)),
        }
        for thing in things
    ]
    told = [{key: value for key, value in item.items() if value is not None} for item in items]
    tree = {"format": "plateful-drawer", "version": reading.VERSION, "things": told}
    writing.write_bytes(writing.to_bytes(tree), path)


def read_drawer(path: Path) -> tuple[Shared, ...]:
    """Read a friend's file; raises FileError."""
    return parse_drawer(reading.read_bytes(path), str(path))


def parse_drawer(data: bytes, name: str) -> tuple[Shared, ...]:
    """Read a friend's file from its bytes; raises FileError."""
    return reading.parse(data, name, "drawer", _drawer)


def _drawer(fields: Fields) -> tuple[Shared, ...]:
    things = fields.each("things", _shared)
    if len(things) > MOST_THINGS:
        raise FieldError("things", f"{len(things)} things are more than a drawer holds; share them in several files")
    return things


def _shared(fields: Fields) -> Shared:
    kind = fields.text("kind")
    if kind not in KINDS:
        raise FieldError(fields.at("kind"), f"{quoted(kind)} is no kind of thing; one of {', '.join(KINDS)} is needed")
    note = _short(fields.text("note", ""), fields.at("note"))
    source = _short(fields.text("source", ""), fields.at("source"))
    model = from_object(kind, fields.take("thing"), fields.at("thing"))
    tags, sets = _words(fields, "tags"), _words(fields, "sets")
    return Shared(without_reference(model), tags, note, source, sets, _picture(fields))


def _words(fields: Fields, key: str) -> tuple[str, ...]:
    words = [_short(a_text(value, at), at) for value, at in fields.items(key)]
    if len(words) > MOST_TAGS:
        raise FieldError(fields.at(key), f"{len(words)} {key} are too many; at most {MOST_TAGS} are kept")
    return tuple(words)


def _picture(fields: Fields) -> bytes | None:
    """Read a picture; it is never shown before its kind and size are known."""
    text = fields.text("picture", "")
    if not text:
        return None
    try:
        png = base64.b64decode(text, validate=True)
    except ValueError as error:
        raise FieldError(fields.at("picture"), "this is no picture; leave the field out") from error
    if not is_picture(png):
        raise FieldError(fields.at("picture"), "this is no PNG picture of at most 2 MB; leave the field out")
    return png


def _short(text: str, path: str) -> str:
    if len(text) > LONGEST:
        raise FieldError(path, f"a text of {len(text)} signs is too long; at most {LONGEST} are kept")
    return text
