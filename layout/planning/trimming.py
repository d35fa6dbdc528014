"""Cut-downs as a trimmer is used: which part, laid against the stop with which edge, cut at what distance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.affinity import rotate, translate
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from layout.geometry.outline import Outline
from layout.model.parting import cut_apart
from layout.model.plan import StraightCut

_STRAIGHT = 0.05  # mm: an edge that strays less lies flush against a stop
_SAME = 0.05  # mm: stops that differ less are one
_LEAST_EDGE = 10.0  # mm of edge that hold a part square


@dataclass(frozen=True, slots=True)
class Trim:
    """One cut: the part it goes through, the parts it leaves, and the stop's distance (mm) from the cut.

    `stop` is None where no straight edge lies parallel to the cut: that line is marked and cut by eye. `against` is
    the part that lies between stop and blade, `length` how long the cut is.
    """

    part: int
    left: int
    right: int
    stop: float | None
    against: int
    length: float


def trims(sheet: Outline, cuts: Sequence[StraightCut]) -> tuple[Trim, ...]:
    """Return the cuts of one sheet in their order, the stop on the side that asks for the fewest settings."""
    known: list[float] = []
    found = []
    for k, cut in enumerate(cuts):
        parts = cut_apart(sheet.polygon, cuts[:k])
        after = cut_apart(sheet.polygon, cuts[: k + 1])
        trim = _trim(cut, parts[cut.part], after[cut.part], after[-1], len(after) - 1, known)
        if trim.stop is not None:
            known.append(trim.stop)
        found.append(trim)
    return tuple(found)


def settings(steps: Sequence[Trim]) -> tuple[float, ...]:
    """Return the different stops that these cuts need, the longest first: set once, all its cuts, then the next."""
    different: list[float] = []
    for stop in sorted((s.stop for s in steps if s.stop is not None), reverse=True):
        if not different or different[-1] - stop > _SAME:
            different.append(stop)
    return tuple(different)


def _trim(
    cut: StraightCut, part: BaseGeometry, left: BaseGeometry, right: BaseGeometry, new: int, known: Sequence[float]
) -> Trim:
    sides = [(d, number) for shape, number in ((left, cut.part), (right, new)) if (d := _stop(shape, cut)) is not None]
    length = float(_across(part, cut))
    if not sides:
        return Trim(cut.part, cut.part, new, None, cut.part, length)
    stop, against = min(sides, key=lambda s: (not any(abs(s[0] - k) <= _SAME for k in known), s[0]))
    return Trim(cut.part, cut.part, new, stop, against, length)


def _level(shape: BaseGeometry, cut: StraightCut) -> BaseGeometry:
    """Return a shape as seen with the cut along x, through the origin."""
    (ax, ay), (bx, by) = cut.line
    turned = rotate(shape, -math.degrees(math.atan2(by - ay, bx - ax)), origin=(ax, ay))
    return translate(turned, -ax, -ay)


def _stop(shape: BaseGeometry, cut: StraightCut) -> float | None:
    """Return how far the edge opposite to the cut lies from it, if enough of it is straight and parallel to it."""
    corners = np.asarray(_level(shape, cut).convex_hull.exterior.coords)
    far = float(corners[np.argmax(np.abs(corners[:, 1])), 1])
    flush = corners[np.abs(corners[:, 1] - far) <= _STRAIGHT]
    if len(flush) < 2 or float(np.ptp(flush[:, 0])) < min(_LEAST_EDGE, 0.5 * float(np.ptp(corners[:, 0]))):
        return None
    return abs(far)


def _across(part: BaseGeometry, cut: StraightCut) -> float:
    """Return how long the cut through a part is."""
    return float(_level(part, cut).intersection(LineString([(-1e5, 0.0), (1e5, 0.0)])).length)
