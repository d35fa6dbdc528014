"""A closed border with openings, as drawn: the one form in which shapes travel through the engine."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from copy import copy
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from msgspec.structs import force_setattr

from layout.geometry.simple import plainly_simple
from layout.geometry.value import Value

if TYPE_CHECKING:
    from shapely.geometry import Polygon

Point = tuple[float, float]
Ring = tuple[Point, ...]


class OutlineError(ValueError):
    """An outline that no piece of metal or paper can have; the message says why, for a person."""


class Outline(Value, frozen=True, cache_hash=True):
    """Closed simple rings in mm; the first point is not repeated; holes lie inside `outer`."""

    outer: Ring
    holes: tuple[Ring, ...] = ()

    def __post_init__(self) -> None:
        for ring in (self.outer, *self.holes):
            _refuse_bad_ring(ring)
        # Loading shapely takes longer than opening a whole project, and most outlines do not need it.
        if not plainly_simple(self.outer, self.holes):
            _refuse_bad_shape(_polygon(self))

    @classmethod
    def of(cls, outer: Iterable[Sequence[float]], holes: Iterable[Iterable[Sequence[float]]] = ()) -> Outline:
        """Make an outline from any nested sequences of numbers; raises OutlineError."""
        return cls(_ring(outer), tuple(_ring(h) for h in holes))

    @classmethod
    def trusted(cls, outer: Ring, holes: tuple[Ring, ...] = ()) -> Outline:
        """Make an outline without checking it: only for rings that came from a checked one."""
        made = copy(_CHECKED)
        force_setattr(made, "outer", outer)
        force_setattr(made, "holes", holes)
        return made

    def __reduce__(self) -> tuple[Any, ...]:
        return Outline.trusted, (self.outer, self.holes)  # another process need not check it again

    @classmethod
    def rectangle(cls, width: float, length: float, *, x: float = 0.0, y: float = 0.0) -> Outline:
        """Make a rectangle with its lower left corner at (x, y), sides in mm."""
        return cls(((x, y), (x + width, y), (x + width, y + length), (x, y + length)))

    @property
    def polygon(self) -> Polygon:
        """The same border as a shapely polygon (kept, so asking again costs nothing)."""
        return _polygon(self)

    @property
    def solid(self) -> Outline:
        """The outer border alone, its openings filled."""
        return self if not self.holes else Outline.trusted(self.outer)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Least x, least y, greatest x, greatest y in mm."""
        xs = [p[0] for p in self.outer]
        ys = [p[1] for p in self.outer]
        return min(xs), min(ys), max(xs), max(ys)

    @property
    def area(self) -> float:
        """Area in square mm, openings taken off."""
        return float(self.polygon.area)

    @property
    def border_length(self) -> float:
        """Length of all borders in mm, openings included."""
        return float(self.polygon.length)


def from_polygon(shape: Polygon) -> Outline:
    """Make an outline from a shapely polygon; raises OutlineError where it is not one."""
    return Outline.of(shape.exterior.coords[:-1], [r.coords[:-1] for r in shape.interiors])


@lru_cache(maxsize=8192)
def _polygon(outline: Outline) -> Polygon:
    from shapely.geometry import Polygon

    return Polygon(outline.outer, outline.holes)


def _ring(points: Iterable[Sequence[float]]) -> Ring:
    return tuple((float(p[0]), float(p[1])) for p in points)


def _in_words(explained: str) -> str:
    """Say for a person what shapely explains, such as "Self-intersection[12.5 3]"."""
    found = re.search(r"\[(\S+) (\S+)\]", explained)
    place = f" near x {float(found[1]):.1f}, y {float(found[2]):.1f} mm" if found else ""
    if explained.startswith("Hole lies outside"):
        return f"an opening lies outside the outer border{place}"
    return f"the outline crosses or touches itself{place}"


def _refuse_bad_shape(shape: Polygon) -> None:
    from shapely.validation import explain_validity

    if not shape.is_valid:
        raise OutlineError(_in_words(explain_validity(shape)))
    if shape.area <= 0.0:
        raise OutlineError("the outline encloses nothing")


def _refuse_bad_ring(ring: Ring) -> None:
    if len(ring) < 3:
        raise OutlineError(f"an outline needs at least three corners, this one has {len(ring)}")
    # A sum is finite only where all of it is; one look instead of two at each corner of a large project.
    if not math.isfinite(sum(map(sum, ring))):
        raise OutlineError("an outline has a corner that is not a number")


_CHECKED = Outline.rectangle(1.0, 1.0)  # copied, because making one anew would check it anew
