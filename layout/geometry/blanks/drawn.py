"""Blanks drawn freely: a rectangle, scores at distances from its edges, corners and strips snipped off. Lengths mm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Any

from shapely import set_precision, unary_union
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge

from layout.geometry.blanks.faces import Blank, BlankError, Face, Meeting, Segment, rectangle
from layout.geometry.outline import Ring

KIND = "drawn"
_LEAST = 0.5  # mm: fields that touch along less than this do not hang together
_GRID = 1e-6


@dataclass(frozen=True, slots=True)
class Drawn:
    """A sheet of paper, where it is scored from its left and its lower edge, and the parts snipped off it."""

    width: float = 100.0
    length: float = 120.0
    across: tuple[float, ...] = ()
    along: tuple[float, ...] = ()
    snips: tuple[Ring, ...] = ()

    @property
    def kind(self) -> str:
        """The name of its kind in a file."""
        return KIND

    def blank(self) -> Blank:
        """Draw it, every score folded back to a right angle; raises BlankError where that is no single piece."""
        self._refuse_bad_numbers()
        fields = list(self._fields())
        joints = list(_joints(fields))
        return _hung(fields, joints)

    def cells(self) -> tuple[Ring, ...]:
        """Return the fields of the grid that its scores draw, row by row from the lower left."""
        self._refuse_bad_numbers()
        xs, ys = [0.0, *sorted(self.across), self.width], [0.0, *sorted(self.along), self.length]
        return tuple(rectangle(a, c, b - a, d - c) for c, d in pairwise(ys) for a, b in pairwise(xs))

    def kept(self) -> dict[str, Any]:
        """Return it as a file keeps it."""
        snips = [[list(p) for p in ring] for ring in self.snips]
        numbers = {"width": self.width, "length": self.length}
        return {"kind": KIND, **numbers, "across": list(self.across), "along": list(self.along), "snips": snips}

    @classmethod
    def read(cls, kept: object) -> Drawn | None:
        """Return what a file kept; None where that is none of ours."""
        if not isinstance(kept, Mapping) or kept.get("kind") != KIND:
            return None
        try:
            sides = float(kept["width"]), float(kept["length"])
            across, along = (tuple(float(at) for at in kept.get(key, ())) for key in ("across", "along"))
            snips = tuple(tuple((float(x), float(y)) for x, y in ring) for ring in kept.get("snips", ()))
            return cls(*sides, across, along, snips)
        except (KeyError, TypeError, ValueError):
            return None

    def _refuse_bad_numbers(self) -> None:
        for name, side, lines in (("width", self.width, self.across), ("height", self.length, self.along)):
            if not side > 0.0:
                raise BlankError(f"the {name} must be more than nothing, it is {side:g} mm")
            for at in lines:
                if not 0.0 < at < side:
                    raise BlankError(f"a score at {at:g} mm does not lie on a sheet of {side:g} mm")
            if any(b - a < _LEAST for a, b in pairwise(sorted(lines))):
                raise BlankError(f"two scores lie less than {_LEAST:g} mm apart")

    def _fields(self) -> Iterator[Polygon]:
        """Give what the snips leave of every field."""
        away = unary_union([Polygon(ring) for ring in self.snips])
        left = set_precision(Polygon(rectangle(0.0, 0.0, self.width, self.length)).difference(away), _GRID)
        if not isinstance(left, Polygon) or left.is_empty:
            raise BlankError("what is snipped leaves the blank in pieces, or nothing of it")
        if left.interiors:
            raise BlankError("what is snipped must reach the edge: scissors begin there")
        for ring in self.cells():
            yield from _polygons(set_precision(Polygon(ring).intersection(left), _GRID))


def corners(drawn: Drawn, wide: float, high: float, *, aslant: bool = False) -> tuple[Ring, ...]:
    """Return what to snip off all four corners, as squares or by a slanting cut."""
    w, h = drawn.width, drawn.length
    found: list[Ring] = []
    for x, y, dx, dy in ((0.0, 0.0, wide, high), (w, 0.0, -wide, high), (w, h, -wide, -high), (0.0, h, wide, -high)):
        found.append(
            ((x, y), (x + dx, y), (x, y + dy)) if aslant else ((x, y), (x + dx, y), (x + dx, y + dy), (x, y + dy))
        )
    return tuple(found)


def _polygons(shape: BaseGeometry) -> Iterator[Polygon]:
    parts = getattr(shape, "geoms", [shape])
    yield from (p for p in parts if isinstance(p, Polygon) and p.area > _LEAST * _LEAST)


Joint = tuple[int, int, Segment]


def _joints(fields: Sequence[Polygon]) -> Iterator[Joint]:
    """Give every two fields that hang together along a score, and the line between them."""
    for (i, a), (j, b) in combinations(enumerate(fields), 2):
        for line in _lines(a.intersection(b)):
            if line.length >= _LEAST:
                (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
                yield i, j, ((ax, ay), (bx, by))


def _lines(shared: BaseGeometry) -> Iterator[LineString]:
    parts = [p for p in getattr(shared, "geoms", [shared]) if isinstance(p, LineString)]
    merged = linemerge(MultiLineString(parts)) if len(parts) > 1 else (parts[0] if parts else LineString())
    yield from (p for p in getattr(merged, "geoms", [merged]) if isinstance(p, LineString) and not p.is_empty)


def _hung(fields: Sequence[Polygon], joints: Sequence[Joint]) -> Blank:
    """Hang every field on the largest, the nearest first; joints that are left over must meet when folded."""
    if not fields:
        raise BlankError("what is snipped leaves nothing of the blank")
    root = max(range(len(fields)), key=lambda k: (fields[k].area, -k))
    faces, used, left = {root: _face(root, fields[root])}, set[int](), list(range(len(joints)))
    reached = [root]
    for here in reached:
        for number in left:
            i, j, line = joints[number]
            there = j if i == here else i if j == here else None
            if there is not None and there not in faces:
                faces[there] = _face(there, fields[there], _name(here), line)
                used.add(number)
                reached.append(there)
    if len(faces) < len(fields):
        raise BlankError("what is snipped leaves fields that hang on nothing")
    loose = [joints[k] for k in left if k not in used]
    meetings = tuple(Meeting(_name(i), line, _name(j), line) for i, j, line in loose)
    return Blank(tuple(faces.values()), meetings, more_scores=tuple(line for _, _, line in loose))


def _face(number: int, shape: Polygon, parent: str | None = None, hinge: Segment | None = None) -> Face:
    ring = tuple((x, y) for x, y in shape.exterior.coords[:-1])
    return Face(_name(number), ring, parent, hinge, 90.0 if parent else 0.0)


def _name(number: int) -> str:
    return f"field {number + 1}"
