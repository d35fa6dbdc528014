"""The workshop: what is owned and what is left of it, found in a moment, changed in whole transactions."""

from __future__ import annotations

import base64
import uuid
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Literal, Self

from layout.geometry.outline import Outline
from layout.model.errors import WorkshopError
from layout.workshop.base import WAIT, Base, Writing
from layout.workshop.things import (
    KINDS,
    Kind,
    Kit,
    Model,
    Thing,
    from_body,
    is_picture,
    mark_of,
    outline_of,
    row_of,
    to_body,
    with_count,
    without_reference,
)

ROW = "id, kind, name, count, paper, note, source, wide, long, changed"
FEW = 500  # below so many rows their tags are asked for alone
WORTH_KEEPING = 25.0  # mm


@dataclass(frozen=True, slots=True)
class Because:
    """Why a thing comes into the drawer, as the history tells it: by hand, or because of a pass of a project."""

    what: Literal["put", "left", "spare"]
    project: str = ""
    record: str = ""


BY_HAND = Because("put")


class Drawer:
    """The things of the workshop: put in, found, changed, taken out."""

    def __init__(self, folder: Path, wait: float = WAIT, *, only_look: bool = False) -> None:
        self.base = Base(folder, wait, only_look=only_look)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the file."""
        self.base.close()

    def in_haste(self) -> AbstractContextManager[None]:
        """While this lasts, do not wait for another window to finish its change."""
        return self.base.in_haste()

    @property
    def notices(self) -> tuple[str, ...]:
        """Sentences to show once: what was found damaged and mended, what can only be read."""
        return tuple(self.base.notices)

    @property
    def read_only(self) -> bool:
        """Whether nothing can be changed here."""
        return self.base.read_only

    # ---- finding -------------------------------------------------------------------------------------------------

    def things(
        self,
        kind: Kind | None = None,
        search: str = "",
        tag: str | None = None,
        in_set: str | None = None,
        limit: int = 200,
    ) -> list[Thing]:
        """Return things whose words hold every word searched for, by name; what is used up is left out."""
        where, values = ["count > 0"], list[object]()
        if kind is not None:
            where, values = [*where, "kind = ?"], [*values, kind]
        for word in search.casefold().split():
            where, values = [*where, "instr(words, ?)"], [*values, word]
        if tag is not None:
            where, values = [*where, "id IN (SELECT thing FROM tags WHERE tag = ?)"], [*values, tag]
        if in_set is not None:
            where, values = [*where, "id IN (SELECT thing FROM sets WHERE name = ?)"], [*values, in_set]
        rows = self.base.ask(
            f"SELECT {ROW} FROM things WHERE {' AND '.join(where)} ORDER BY name, id LIMIT ?", *values, limit
        )
        return self._with_tags(rows)

    def thing(self, name: str) -> Thing:
        """Return one thing by its id; raises WorkshopError where it is not there."""
        rows = self.base.ask(f"SELECT {ROW} FROM things WHERE id = ?", name)
        if not rows:
            raise WorkshopError("this thing is not in the workshop any more; look at the drawer again")
        return self._with_tags(rows)[0]

    def load(self, name: str) -> Model:
        """Return a thing as the model knows it, with as many of it as there are; raises WorkshopError."""
        rows = self.base.ask(
            "SELECT kind, body, mark, name, count FROM things JOIN bodies ON thing = id WHERE id = ?", name
        )
        if not rows:
            raise WorkshopError("this thing is not in the workshop any more; look at the drawer again")
        kind, body, mark, called, count = rows[0]
        return with_count(from_body(kind, body, mark, called), count)

    def outline(self, name: str) -> Outline | None:
        """Return the outline that a small picture of a thing is drawn from, None where it has none."""
        return outline_of(self.load(name))

    def picture(self, name: str) -> bytes | None:
        """Return a thing's picture as PNG, None where it has none: then its outline is drawn."""
        rows = self.base.ask("SELECT png FROM pictures WHERE thing = ?", name)
        return base64.b64decode(rows[0][0]) if rows else None

    def tags(self) -> list[str]:
        """Return every tag in use."""
        return [row[0] for row in self.base.ask("SELECT DISTINCT tag FROM tags ORDER BY tag")]

    def sets(self) -> list[Kit]:
        """Return every set with the ids of its things."""
        found: dict[str, list[str]] = {}
        for name, thing in self.base.ask("SELECT name, thing FROM sets ORDER BY name, thing"):
            found.setdefault(name, []).append(thing)
        return [Kit(name, tuple(things)) for name, things in found.items()]

    def _with_tags(self, rows: Sequence[tuple[Any, ...]]) -> list[Thing]:
        tags: dict[object, list[str]] = {}
        only = f"WHERE thing IN ({', '.join('?' * len(rows))})" if len(rows) < FEW else ""
        some = [row[0] for row in rows] if only else []
        for thing, tag in self.base.ask(f"SELECT thing, tag FROM tags {only} ORDER BY tag", *some):
            tags.setdefault(thing, []).append(tag)
        return [_thing(row, tuple(tags.get(row[0], ()))) for row in rows]

    # ---- changing ------------------------------------------------------------------------------------------------

    def put(
        self, model: Model, *, name: str | None = None, tags: Iterable[str] = (), note: str = "", source: str = ""
    ) -> Thing:
        """Put a thing into the drawer, or in the place of the one of id `name`. Raises WorkshopError."""
        with self.base.writing() as work:
            made = self.put_in(work, model, name or uuid.uuid4().hex, note, source)
            _tag(work, made, tags)
        return self.thing(made)

    def put_in(
        self, work: Writing, model: Model, name: str, note: str = "", source: str = "", because: Because = BY_HAND
    ) -> str:
        """Do the same as a part of a transaction; returns the id."""
        before = work.ask("SELECT body FROM bodies WHERE thing = ?", name)
        bare = without_reference(model)
        body = to_body(bare)
        moment = now()
        work.do("put", *row_of(bare, name, note, source, moment))
        work.do("body", name, body, mark_of(body))
        told = (because.what, because.project, because.record, name)
        work.do("history", moment, *told, before[0][0] if before else None, body)
        return name

    def tag(self, name: str, tags: Iterable[str]) -> None:
        """Give a thing these tags and no others."""
        with self.base.writing() as work:
            _tag(work, name, tags)

    def set_picture(self, name: str, png: bytes | None) -> None:
        """Give a thing a picture of its own (PNG of at most 2 MB), or none. Raises WorkshopError."""
        if png is not None and not is_picture(png):
            raise WorkshopError("this is no PNG picture of at most 2 MB; choose another or make it smaller")
        with self.base.writing() as work:
            if png is None:
                work.do("no picture", name)
            else:
                work.do("picture", name, base64.b64encode(png).decode())

    def remove(self, name: str) -> None:
        """Take a thing out of the drawer for good; its history stays, so that it can be walked back."""
        with self.base.writing() as work:
            before = work.ask("SELECT body FROM bodies WHERE thing = ?", name)
            work.do("history", now(), "removed", "", "", name, before[0][0] if before else None, None)
            work.do("remove", name)

    def put_set(self, name: str, things: Iterable[str]) -> None:
        """Make a set of these things, in place of one of the same name; an empty one goes."""
        with self.base.writing() as work:
            work.do("clear set", name)
            for thing in things:
                work.do("add to set", name, thing)

    def rename_set(self, old: str, new: str) -> None:
        """Call a set otherwise; where there is one of that name, they become one."""
        if old == new:
            return
        with self.base.writing() as work:
            for (thing,) in work.ask("SELECT thing FROM sets WHERE name = ?", old):
                work.do("add to set", new, thing)
            work.do("clear set", old)

    def remove_set(self, name: str) -> None:
        """Take a set apart; its things stay."""
        self.put_set(name, ())

    def rename_tag(self, old: str, new: str) -> None:
        """Write a tag otherwise on everything that has it; an empty name takes it off."""
        with self.base.writing() as work:
            for (thing,) in work.ask("SELECT thing FROM tags WHERE tag = ?", old):
                if new:
                    work.do("tag", thing, new)
                work.do("one tag off", thing, old)

    @property
    def worth_keeping(self) -> float:
        """The circle (mm) that must go on what remains of a sheet for it to be kept."""
        rows = self.base.ask("SELECT value FROM settings WHERE name = 'worth keeping'")
        return float(rows[0][0]) if rows else WORTH_KEEPING

    @worth_keeping.setter
    def worth_keeping(self, size: float) -> None:
        with self.base.writing() as work:
            work.do("set", "worth keeping", repr(float(size)))


def _tag(work: Writing, name: str, tags: Iterable[str]) -> None:
    work.do("untag", name)
    for tag in dict.fromkeys(word.strip() for word in tags):
        if tag:
            work.do("tag", name, tag)


def _thing(row: tuple[Any, ...], tags: tuple[str, ...]) -> Thing:
    if row[1] not in KINDS:
        raise WorkshopError(f"the workshop holds a thing of a kind unknown here ({row[1]}); update Plateful")
    name, kind, called, count, paper, note, source, wide, long, changed = row
    return Thing(name, kind, called, count, paper, note, source, (wide, long), changed, tags)


def now() -> str:
    """Return the present moment as it is written down."""
    return datetime.now(UTC).isoformat(timespec="seconds")
