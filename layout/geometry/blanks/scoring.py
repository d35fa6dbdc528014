"""Numbers for a scoring board: distances from the edge, side by side, and the box that such numbers make."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from layout.geometry.blanks.faces import Blank, BlankError, Segment
from layout.geometry.blanks.tubes import Tube

_SAME = 0.05


@dataclass(frozen=True, slots=True)
class ScoreTable:
    """Sides of the sheet (mm) and the distances at which it is scored: along its first side, then a quarter turn on.

    Lines aslant are scored by hand from corner to corner and counted in `aslant`.
    """

    width: float
    length: float
    across: tuple[float, ...]
    along: tuple[float, ...]
    aslant: int


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
    return ScoreTable(x1 - x0, y1 - y0, across, along, len(scores) - len(upright) - len(level))


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
