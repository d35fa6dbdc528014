"""Folds a blank in space and looks whether it closes: partner edges, glued tabs, no face through another."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np
import numpy.typing as npt
from shapely.geometry import Point as FlatPoint
from shapely.geometry import Polygon

from layout.geometry.blanks.faces import Blank, Face, Segment
from layout.geometry.outline import Point

Floats = npt.NDArray[np.float64]
CLOSE = 0.1
_DRAWN_IN = 0.3


@dataclass(frozen=True, slots=True)
class Place:
    """A rigid motion: turned by a 3 x 3 matrix, then moved (mm)."""

    turn: Floats
    move: Floats

    def at(self, point: Point) -> Floats:
        """Carry a point of the flat blank into space."""
        carried: Floats = self.turn @ np.array([point[0], point[1], 0.0]) + self.move
        return carried


@dataclass(frozen=True, slots=True)
class Fault:
    """What does not close, in words, and by how much (mm)."""

    what: str
    amount: float


def folded(blank: Blank, share: float = 1.0) -> dict[str, Place]:
    """Return where every face lies in space when all lines are folded by a share of it; the first face stays put."""
    places: dict[str, Place] = {}
    for face in blank.faces:
        if face.parent is None or face.hinge is None:
            places[face.name] = Place(np.eye(3), np.zeros(3))
        else:
            places[face.name] = _hung(places[face.parent], face, face.hinge, share)
    return places


def faults(blank: Blank) -> list[Fault]:
    """Return everything that keeps the folded blank from closing; empty where it folds shut."""
    places = folded(blank)
    return [*_gaps(blank, places), *_loose_tabs(blank, places), *_crossings(blank, places)]


# ---- folding -----------------------------------------------------------------------------------------------------


def _hung(parent: Place, face: Face, hinge: Segment, share: float) -> Place:
    """Turn a face about its hinge: away from the good side where the fold is positive."""
    (ax, ay), (bx, by) = hinge
    middle = Polygon(face.ring).centroid
    left = (bx - ax) * (middle.y - ay) - (by - ay) * (middle.x - ax) > 0
    fold = face.fold * share
    turn = _turn_about((bx - ax, by - ay), -fold if left else fold)
    foot = np.array([ax, ay, 0.0])
    return Place(parent.turn @ turn, parent.turn @ (foot - turn @ foot) + parent.move)


def _turn_about(axis: Point, degrees: float) -> Floats:
    """Return the turn about an axis in the plane (Rodrigues' formula)."""
    length = math.hypot(*axis)
    x, y = axis[0] / length, axis[1] / length
    cross = np.array([[0.0, 0.0, y], [0.0, 0.0, -x], [-y, x, 0.0]])
    a = math.radians(degrees)
    turn: Floats = np.eye(3) + math.sin(a) * cross + (1.0 - math.cos(a)) * cross @ cross
    return turn


# ---- does it close? ----------------------------------------------------------------------------------------------


def _gaps(blank: Blank, places: dict[str, Place]) -> list[Fault]:
    found = []
    for meeting in blank.meetings:
        partner = [places[meeting.partner].at(p) for p in meeting.partner_edge]
        gap = max(_distance(places[meeting.face].at(p), partner[0], partner[1]) for p in meeting.edge)
        if gap > CLOSE:
            found.append(Fault(f"{meeting.face} does not meet {meeting.partner}", gap))
    return found


def _distance(point: Floats, a: Floats, b: Floats) -> float:
    """Return the distance of a point from a line between two others."""
    along = float(np.clip((point - a) @ (b - a) / ((b - a) @ (b - a)), 0.0, 1.0))
    return float(np.linalg.norm(point - a - along * (b - a)))


def _loose_tabs(blank: Blank, places: dict[str, Place]) -> list[Fault]:
    """A glued tab lies in its wall's plane and within the wall."""
    found = []
    for tab, wall in blank.glued:
        back = places[wall]
        seen = [back.turn.T @ (places[tab].at(p) - back.move) for p in blank.face(tab).ring]
        off = max(abs(float(p[2])) for p in seen)
        area = Polygon(blank.face(wall).ring)
        out = max(area.distance(FlatPoint(float(p[0]), float(p[1]))) for p in seen)
        if max(off, out) > CLOSE:
            found.append(Fault(f"{tab} does not lie on {wall}", max(off, out)))
    return found


@dataclass(frozen=True, slots=True)
class _Standing:
    """A face in space, drawn in a little: its flat shape, its place, its corners, and the box about them."""

    name: str
    shape: Polygon
    place: Place
    corners: Floats
    low: Floats
    high: Floats


def _crossings(blank: Blank, places: dict[str, Place]) -> list[Fault]:
    standing = [s for f in blank.faces if (s := _standing(f, places[f.name])) is not None]
    near = ((a, b) for a, b in combinations(standing, 2) if np.all(a.low <= b.high) and np.all(b.low <= a.high))
    return [Fault(f"{a.name} goes through {b.name}", _DRAWN_IN) for a, b in near if _pierces(a, b) or _pierces(b, a)]


def _standing(face: Face, place: Place) -> _Standing | None:
    inner = Polygon(face.ring).buffer(-_DRAWN_IN, join_style="mitre")
    if inner.is_empty or not isinstance(inner, Polygon):
        return None
    flat = np.asarray(inner.exterior.coords)
    corners = flat @ place.turn[:, :2].T + place.move
    return _Standing(face.name, inner, place, corners, corners.min(axis=0), corners.max(axis=0))


def _pierces(a: _Standing, b: _Standing) -> bool:
    """Tell whether a border line of face a goes through face b."""
    seen = (a.corners - b.place.move) @ b.place.turn
    for p, q in pairwise(seen):
        if (p[2] > CLOSE and q[2] < -CLOSE) or (p[2] < -CLOSE and q[2] > CLOSE):
            cut = p + (q - p) * p[2] / (p[2] - q[2])
            if b.shape.contains(FlatPoint(float(cut[0]), float(cut[1]))):
                return True
    return False
