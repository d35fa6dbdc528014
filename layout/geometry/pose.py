"""Where a thing lies: turned about its own origin, then moved."""

from __future__ import annotations

import math

from layout.geometry.outline import Outline, Point, Ring
from layout.geometry.value import Value


class Pose(Value, frozen=True):
    """A turn about the local origin (degrees, counter-clockwise), then a move (mm)."""

    x: float = 0.0
    y: float = 0.0
    turn: float = 0.0

    def __post_init__(self) -> None:
        if not (math.isfinite(self.x) and math.isfinite(self.y) and math.isfinite(self.turn)):
            raise ValueError("a pose needs three finite numbers")

    def point(self, at: Point) -> Point:
        """Carry one point (mm) from the local frame to the outer one."""
        c, s = cos_sin(self.turn)
        return (at[0] * c - at[1] * s + self.x, at[0] * s + at[1] * c + self.y)

    def ring(self, ring: Ring) -> Ring:
        """Carry a ring of points (mm) from the local frame to the outer one."""
        c, s = cos_sin(self.turn)
        return tuple((x * c - y * s + self.x, x * s + y * c + self.y) for x, y in ring)

    def outline(self, outline: Outline) -> Outline:
        """Carry an outline from the local frame to the outer one; it stays as valid as it was."""
        return Outline.trusted(self.ring(outline.outer), tuple(self.ring(h) for h in outline.holes))

    def inverse(self) -> Pose:
        """Return the pose that undoes this one."""
        c, s = cos_sin(-self.turn)
        return Pose(-(self.x * c - self.y * s), -(self.x * s + self.y * c), (-self.turn) % 360.0)

    def after(self, inner: Pose) -> Pose:
        """Return the pose of carrying by `inner` first and by this one afterwards."""
        x, y = self.point((inner.x, inner.y))
        return Pose(x, y, (inner.turn + self.turn) % 360.0)

    def seen_from(self, parent: Pose) -> Pose:
        """Return this pose as seen from `parent`'s frame, both given in one common frame."""
        return parent.inverse().after(self)


def cos_sin(turn: float) -> tuple[float, float]:
    """Return cosine and sine of an angle in degrees, exact at quarter turns."""
    quarter, rest = divmod(turn, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    a = math.radians(turn)
    return math.cos(a), math.sin(a)


def angle_between(a: float, b: float) -> float:
    """Return how far two directions are apart, in degrees from 0 to 180."""
    return abs((a - b + 180.0) % 360.0 - 180.0)
