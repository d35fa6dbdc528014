"""A blank as flat faces that hang on each other by score lines; lengths mm, angles degrees."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from shapely import set_precision, unary_union
from shapely.geometry import Polygon

from layout.geometry.outline import Outline, OutlineError, Point, Ring, from_polygon

Segment = tuple[Point, Point]
_GRID = 1e-7


class BlankError(ValueError):
    """Sizes that no blank can have; the message says why, for a person."""


@dataclass(frozen=True, slots=True)
class Face:
    """A flat face; `hinge` is the line to its parent, `fold` how far it folds back, the good side out.

    Where it is not `scored` the paper only bends there: the faces are pieces of one curved panel.
    """

    name: str
    ring: Ring
    parent: str | None = None
    hinge: Segment | None = None
    fold: float = 0.0
    scored: bool = True


@dataclass(frozen=True, slots=True)
class Meeting:
    """An edge of one face that lies along an edge of another when the blank is folded."""

    face: str
    edge: Segment
    partner: str
    partner_edge: Segment


@dataclass(frozen=True, slots=True)
class Blank:
    """All faces, root first; edges that meet; (tab, wall) pairs glued flat on each other; the walls that show.

    `more_scores`: lines to be scored on which no face hangs, since both faces hang elsewhere already.
    """

    faces: tuple[Face, ...]
    meetings: tuple[Meeting, ...] = ()
    glued: tuple[tuple[str, str], ...] = ()
    shown: tuple[str, ...] = ()
    more_scores: tuple[Segment, ...] = ()

    def face(self, name: str) -> Face:
        """Return a face by its name."""
        return next(f for f in self.faces if f.name == name)

    @property
    def outline(self) -> Outline:
        """The border to be cut; raises OutlineError where the faces do not hang together."""
        whole = unary_union([set_precision(Polygon(f.ring), _GRID) for f in self.faces])
        if not isinstance(whole, Polygon):
            raise OutlineError("the faces of this blank do not hang together")
        return from_polygon(whole)

    @property
    def scores(self) -> tuple[Segment, ...]:
        """The lines to be scored, those that run on joined to one."""
        hinges = [f.hinge for f in self.faces if f.hinge is not None and f.scored]
        return tuple(_joined([*hinges, *self.more_scores]))

    @property
    def area(self) -> float:
        """Sum of the faces' areas in square mm."""
        return float(sum(Polygon(f.ring).area for f in self.faces))


@dataclass(slots=True)
class Drawing:
    """A blank while it is drawn."""

    faces: list[Face] = field(default_factory=list)
    meetings: list[Meeting] = field(default_factory=list)
    glued: list[tuple[str, str]] = field(default_factory=list)

    def add(
        self,
        name: str,
        ring: Iterable[Point],
        parent: str | None = None,
        hinge: Segment | None = None,
        fold: float = 90.0,
        scored: bool = True,
    ) -> str:
        """Add a face and return its name."""
        self.faces.append(Face(name, tuple(ring), parent, hinge, fold if parent else 0.0, scored))
        return name

    def meet(self, face: str, edge: Segment, partner: str, partner_edge: Segment) -> None:
        """Say that an edge lies along a partner's edge when folded."""
        self.meetings.append(Meeting(face, edge, partner, partner_edge))

    def blank(self, shown: Sequence[str]) -> Blank:
        """Return the finished blank."""
        return Blank(tuple(self.faces), tuple(self.meetings), tuple(self.glued), tuple(shown))


def rectangle(x: float, y: float, width: float, length: float) -> Ring:
    """Return a rectangle's corners, counter-clockwise from the lower left."""
    return ((x, y), (x + width, y), (x + width, y + length), (x, y + length))


def tapered(base: Segment, length: float, taper: float) -> Ring:
    """Return a flap on the left of a base line, its sides drawn in by `taper` towards the tip."""
    (ax, ay), (bx, by) = base
    width = ((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5
    ux, uy = (bx - ax) / width, (by - ay) / width
    inset = min(taper, width / 4)
    tip_a = (ax + ux * inset - uy * length, ay + uy * inset + ux * length)
    tip_b = (bx - ux * inset - uy * length, by - uy * inset + ux * length)
    return (base[0], base[1], tip_b, tip_a)


def _joined(segments: Iterable[Segment]) -> list[Segment]:
    """Join segments on one line that touch end to end."""
    left = sorted({_ordered(s) for s in segments})
    joined: list[Segment] = []
    while left:
        line = left.pop(0)
        while (after := next((s for s in left if _runs_on(line, s)), None)) is not None:
            left.remove(after)
            line = (line[0], after[1])
        joined.append(line)
    return joined


def _ordered(segment: Segment) -> Segment:
    a, b = ((round(x, 6) + 0.0, round(y, 6) + 0.0) for x, y in segment)
    return (a, b) if a <= b else (b, a)


def _runs_on(line: Segment, after: Segment) -> bool:
    (ax, ay), (bx, by) = line
    (cx, cy), (dx, dy) = after
    cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    return abs(bx - cx) < 1e-6 and abs(by - cy) < 1e-6 and abs(cross) < 1e-6
