"""Numbers for a scoring board: distances from the edge, side by side, and the box that such numbers make."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from layout.geometry.blanks.faces import Blank, BlankError, Segment
from layout.geometry.blanks.tubes import Tube
from layout.geometry.outline import Point

_SAME = 0.05


@dataclass(frozen=True, slots=True)
class ScoreTable:
    """Sides of the sheet (mm) and the distances at which it is scored: along its first side, then a quarter turn on.

    Lines aslant are scored by hand from corner to corner and counted in `aslant`; curved ones, kept as short
    straight pieces, come here as arcs.
    """

    width: float
    length: float
    across: tuple[float, ...]
    along: tuple[float, ...]
    aslant: int
    arcs: tuple[Arc, ...] = ()


@dataclass(frozen=True, slots=True)
class Arc:
    """A curved score line: its ends from the lower left corner of the sheet, its radius and its depth (mm)."""

    start: Point
    end: Point
    radius: float
    deep: float


@dataclass(frozen=True, slots=True)
class Mat:
    """A piece of patterned paper for a wall, a border smaller all round."""

    wall: str
    width: float
    length: float


def score_table(blank: Blank) -> ScoreTable:
    """Return the distances from the left and the lower edge at which a blank is scored, each once, in order."""
    return table_of(blank.outline.bounds, blank.scores)


def table_of(bounds: tuple[float, float, float, float], scores: Sequence[Segment]) -> ScoreTable:
    """Return the same for any sheet with score lines, by its bounds (mm)."""
    x0, y0, x1, y1 = bounds
    upright = [s for s in scores if _same(s[0][0], s[1][0])]
    level = [s for s in scores if _same(s[0][1], s[1][1])]
    across = _distinct(s[0][0] - x0 for s in upright)
    along = _distinct(s[0][1] - y0 for s in level)
    arcs, aslant = _arcs([s for s in scores if s not in upright and s not in level])
    return ScoreTable(x1 - x0, y1 - y0, across, along, aslant, tuple(_arc(chain, (x0, y0)) for chain in arcs))


_ARC = 4  # pieces: fewer make no curve
_BENT = 25.0  # degrees: more between two pieces is a corner


def _arcs(aslant: Sequence[Segment]) -> tuple[list[list[Point]], int]:
    """Join pieces that bend evenly one way to curves; return their points, and how many lines are left over."""
    chains: list[list[Point]] = []
    left = sorted(sorted(s) for s in aslant)
    straight = 0
    while left:
        chain = list(left.pop(0))
        while (after := next((s for s in left if _bends_on(chain, s)), None)) is not None:
            left.remove(after)
            chain.append(after[1])
        if len(chain) > _ARC:
            chains.append(chain)
        else:
            straight += len(chain) - 1
    return chains, straight


def _bends_on(chain: Sequence[Point], after: Sequence[Point]) -> bool:
    if math.dist(chain[-1], after[0]) > 1e-4:
        return False
    turn = _turn(chain[-2], chain[-1], after[1])
    before = _turn(*chain[-3:]) if len(chain) > 2 else turn
    return 0.0 < abs(turn) < _BENT and turn * before > 0.0


def _turn(a: Point, b: Point, c: Point) -> float:
    """Return by how many degrees a path turns at its middle point."""
    angle = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
    return math.degrees((angle + math.pi) % (2 * math.pi) - math.pi)


def _arc(chain: Sequence[Point], corner: Point) -> Arc:
    (ax, ay), (bx, by), middle = chain[0], chain[-1], chain[len(chain) // 2]
    half = math.dist(chain[0], chain[-1]) / 2
    deep = abs((bx - ax) * (middle[1] - ay) - (by - ay) * (middle[0] - ax)) / (2 * half)
    start, end = (ax - corner[0], ay - corner[1]), (bx - corner[0], by - corner[1])
    return Arc(start, end, (half * half + deep * deep) / (2 * deep), deep)


def tube_from_scores(width: float, length: float, across: Sequence[float], along: Sequence[float]) -> Tube:
    """Return the box with flaps below and a pinched top that a sheet scored like this makes; raises BlankError.

    The inverse of drawing it: tab, front, side, back, side; from below the flaps, the wall, half the depth, a seam.
    """
    if len(across) != 4 or len(along) != 3:
        raise BlankError("a box with a pinched top is scored four times on one side and three times on the other")
    tab, front, side, back, last = _steps([0.0, *across, width])
    flaps, height, roof, seam = _steps([0.0, *along, length])
    pairs = (
        ("front and back", front, back),
        ("the two sides", side, last),
        ("roof and half the depth", roof, side / 2),
    )
    for what, one, other in pairs:
        if abs(one - other) > _SAME:
            raise BlankError(f"{what} differ by {abs(one - other):.1f} mm, so this sheet does not fold to a box")
    if abs(flaps - side) > _SAME:
        raise BlankError(
            f"the flaps are {flaps:.1f} mm long, they have to be as long as the box is deep ({side:.1f} mm)"
        )
    return Tube(front, side, height, top="pinched", bottom="flaps", tab=tab, seam=seam)


def mats(blank: Blank, border: float, walls: Sequence[str] | None = None) -> list[Mat]:
    """Return a mat for each wall that shows (or those named), smaller by the border (mm) at every side."""
    found = []
    for name in walls if walls is not None else blank.shown:
        xs, ys = zip(*blank.face(name).ring, strict=True)
        width, length = max(xs) - min(xs) - 2 * border, max(ys) - min(ys) - 2 * border
        if width <= 0.0 or length <= 0.0:
            raise BlankError(f"a border of {border:g} mm leaves nothing of the {name}")
        found.append(Mat(name, width, length))
    return found


def _steps(places: Sequence[float]) -> list[float]:
    return [b - a for a, b in pairwise(places)]


def _same(a: float, b: float) -> bool:
    return abs(a - b) < 2e-3


def _distinct(distances: Iterable[float]) -> tuple[float, ...]:
    found: list[float] = []
    for d in sorted(distances):
        if not found or d - found[-1] > _SAME:
            found.append(float(d))
    return tuple(found)
