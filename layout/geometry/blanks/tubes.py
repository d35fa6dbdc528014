"""Blanks of four walls in a row and a glue tab: sleeves, straight boxes, tuck ends, pinched, clipped and gable tops.

Sizes are inner sizes; each fold takes the paper's thickness, so that walls are drawn along the middle of the paper.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from layout.geometry.blanks.faces import Blank, BlankError, Drawing, Segment, rectangle, tapered
from layout.geometry.outline import Point

End = Literal["open", "flaps", "tuck", "pinched", "clipped", "gable"]


@dataclass(frozen=True, slots=True)
class Tube:
    """A box of four walls: inner width, depth and height in mm, its ends, and the details that may be left as they are.

    `tab`: width of the glue tab; `taper`: how far tabs and flaps are drawn in at their sides; `tuck`: length of tucked
    flaps; `seam`: height of the strip above a pinched, clipped or gable top; `rise`: how high a gable stands.
    """

    width: float
    depth: float
    height: float
    top: End = "flaps"
    bottom: End = "flaps"
    thickness: float = 0.0
    tab: float = 12.7
    taper: float = 1.5
    tuck: float = 12.7
    seam: float = 12.7
    rise: float = 20.0

    def blank(self) -> Blank:
        """Draw the blank; raises BlankError for sizes that cannot be folded."""
        self._refuse_bad_sizes()
        drawing = Drawing()
        walls = _Walls(self, drawing)
        walls.draw()
        for end in ("bottom", "top"):
            _ENDS[getattr(self, end)](walls, end == "top")
        return drawing.blank(("front", "right", "back", "left"))

    def _refuse_bad_sizes(self) -> None:
        for name in ("width", "depth", "height", "tab"):
            if not getattr(self, name) > 0.0:
                raise BlankError(f"the {name} must be more than nothing, it is {getattr(self, name):g} mm")
        if self.thickness < 0.0:
            raise BlankError("paper cannot be thinner than nothing")
        if self.depth > self.width and {self.top, self.bottom} & {"pinched", "gable"}:
            raise BlankError("a box deeper than it is wide has no room for the folded sides of a pinched or gable top")
        if self.tab > self.depth + self.thickness:
            raise BlankError(f"the glue tab of {self.tab:g} mm is wider than the box is deep ({self.depth:g} mm)")


class _Walls:
    """The four walls in a row, the glue tab left of them, and where their ends lie."""

    names = ("front", "right", "back", "left")

    def __init__(self, tube: Tube, drawing: Drawing) -> None:
        self.tube, self.drawing = tube, drawing
        self.w, self.d = tube.width + tube.thickness, tube.depth + tube.thickness
        self.h = tube.height + tube.thickness
        self.x = [tube.tab, tube.tab + self.w, tube.tab + self.w + self.d, tube.tab + 2 * self.w + self.d]
        self.sides = [self.w, self.d, self.w, self.d]
        self.low = self._end_length(tube.bottom)

    def _end_length(self, end: End) -> float:
        """Return how far an end sticks out below (or above) the walls."""
        if end == "open":
            return 0.0
        if end in ("pinched", "clipped", "gable"):
            return self.slope(end) + self.tube.seam
        return self.d + (self.tube.tuck if end == "tuck" else 0.0)

    def slope(self, end: End) -> float:
        """Return the length of a roof from wall to ridge."""
        return math.hypot(self.d / 2, self.tube.rise if end == "gable" else 0.0)

    def draw(self) -> None:
        """Draw walls and glue tab."""
        y, top = self.low, self.low + self.h
        for k, name in enumerate(self.names):
            hinge = ((self.x[k], y), (self.x[k], top)) if k else None
            ring = rectangle(self.x[k], y, self.sides[k], self.h)
            self.drawing.add(name, ring, self.names[k - 1] if k else None, hinge)
        right = self.x[3] + self.d
        self.drawing.meet("left", ((right, y), (right, top)), "front", ((self.x[0], y), (self.x[0], top)))
        base = ((self.x[0], y), (self.x[0], top))
        self.drawing.add("glue tab", tapered(base, self.tube.tab, self.tube.tab), "front", base)
        self.drawing.glued.append(("glue tab", "left"))

    def edge(self, wall: int, top: bool) -> Segment:
        """Return a wall's upper or lower edge, so that what is drawn on its left lies outside."""
        y = self.low + self.h if top else self.low
        a, b = (self.x[wall], y), (self.x[wall] + self.sides[wall], y)
        return (b, a) if not top else (a, b)

    def flap(self, wall: int, top: bool, length: float, suffix: str) -> tuple[str, Segment]:
        """Draw a flap on a wall's end; return its name and its tip."""
        base = self.edge(wall, top)
        ring = tapered(base, length, self.tube.taper)
        end = "top" if top else "bottom"
        name = self.drawing.add(f"{self.names[wall]} {end} {suffix}", ring, self.names[wall], base)
        return name, (ring[2], ring[3])


def _open(walls: _Walls, top: bool) -> None:
    """Leave an end open."""


def _flaps(walls: _Walls, top: bool) -> None:
    """Two flaps cover the end, the two between lie under them and reach no farther than to each other."""
    for wall in (1, 3):
        walls.flap(wall, top, min(walls.d, walls.w / 2), "flap")
    for wall, partner in ((0, 2), (2, 0)):
        name, tip = walls.flap(wall, top, walls.d, "flap")
        walls.drawing.meet(name, tip, walls.names[partner], walls.edge(partner, top))


def _tuck(walls: _Walls, top: bool) -> None:
    """A lid on the back wall, a flap on it that is tucked in behind the front wall, dust flaps at the sides."""
    for wall in (1, 3):
        walls.flap(wall, top, min(walls.d, walls.w / 2), "dust flap")
    (ax, ay), (bx, by) = walls.edge(2, top)
    out = walls.d if top else -walls.d
    far: Segment = ((ax, ay + out), (bx, by + out))
    end = "top" if top else "bottom"
    lid = walls.drawing.add(f"{end} lid", ((ax, ay), (bx, by), far[1], far[0]), "back", ((ax, ay), (bx, by)))
    walls.drawing.meet(lid, far, "front", walls.edge(0, top))
    tuck = tapered(far, min(walls.tube.tuck, walls.h * 0.8), max(walls.tube.taper, 1.0))
    flap = walls.drawing.add(f"{end} tuck flap", tuck, lid, far)
    walls.drawing.glued.append((flap, "front"))


def _roofed(walls: _Walls, top: bool) -> None:
    """Roofs on front and back that meet in the middle, a seam above; gussets between, unless they are clipped off."""
    kind = walls.tube.top if top else walls.tube.bottom
    roof = _Roof(walls, top, kind)
    for wall in (0, 2):
        roof.draw(wall)
    walls.drawing.meet(*roof.ridges[0], *roof.ridges[1])
    if kind != "clipped":
        for wall in (1, 3):
            roof.gusset(wall)


class _Roof:
    """A pinched (flat) or gable (standing) closure: a roof from front and back, the sides folded in between.

    In space, from a corner of the box: `d/2` along the side wall and `rise` up lies the ridge's end; the gusset's tip
    comes to lie as far inward, at the ridge's height. All fold angles follow from these points.
    """

    def __init__(self, walls: _Walls, top: bool, kind: End) -> None:
        self.walls, self.top, self.end = walls, top, "top" if top else "bottom"
        self.rise = walls.tube.rise if kind == "gable" else 0.0
        self.slope, self.seam = walls.slope(kind), walls.tube.seam
        self.sign = 1.0 if top else -1.0
        self.tilt = math.degrees(math.atan2(walls.d / 2, self.rise))
        self.ridges: list[tuple[str, Segment]] = []

    def _up(self, at: Point, by: float) -> Point:
        return at[0], at[1] + self.sign * by

    def draw(self, wall: int) -> None:
        """Draw the roof and the seam on front or back."""
        drawing, name = self.walls.drawing, self.walls.names[wall]
        a, b = self.walls.edge(wall, self.top)
        c, d = self._up(b, self.slope), self._up(a, self.slope)
        roof = drawing.add(f"{name} {self.end} roof", (a, b, c, d), name, (a, b), self.tilt)
        self.ridges.append((roof, (d, c)))
        ring = (d, c, self._up(c, self.seam), self._up(d, self.seam))
        drawing.add(f"{name} {self.end} seam", ring, roof, (d, c), -self.tilt)

    def gusset(self, wall: int) -> None:
        """Draw the three triangles of a side and the two strips above them."""
        drawing, name = self.walls.drawing, self.walls.names[wall]
        a, b = sorted(self.walls.edge(wall, self.top))
        tip = self._up(((a[0] + b[0]) / 2, a[1]), self.slope)
        middle = drawing.add(f"{name} {self.end} gusset", (a, b, tip), name, (a, b), self.tilt)
        for side, corner in (("first", a), ("second", b)):
            self._wing(f"{name} {self.end} {side}", middle, corner, tip, wall)

    def _wing(self, name: str, middle: str, corner: Point, tip: Point, wall: int) -> None:
        drawing = self.walls.drawing
        upper = self._up(corner, self.slope)
        wing = drawing.add(f"{name} wing", (corner, tip, upper), middle, (corner, tip), -self._wing_fold())
        ring = (upper, tip, self._up(tip, self.seam), self._up(upper, self.seam))
        drawing.add(f"{name} strip", ring, wing, (upper, tip), self._strip_fold())
        first = corner[0] <= tip[0]
        partner = {1: ("front", "back"), 3: ("back", "front")}[wall][0 if first else 1]
        foot = (self.walls.x[0], corner[1]) if wall == 3 and not first else corner
        ridge = self._up(foot, self.slope)
        drawing.meet(f"{name} wing", (corner, upper), f"{partner} {self.end} roof", (foot, ridge))
        outer = (upper, self._up(upper, self.seam))
        drawing.meet(f"{name} strip", outer, f"{partner} {self.end} seam", (ridge, self._up(ridge, self.seam)))

    def _wing_fold(self) -> float:
        """Return the angle about corner-tip that brings the wing's upper corner to the ridge's end."""
        half, rise = self.walls.d / 2, self.rise
        return _angle_about((half, half, rise), (half, 0.0, rise), (0.0, half, rise))

    def _strip_fold(self) -> float:
        """Return the angle between a wing's plane, carried on over its upper edge, and the upright."""
        half, rise = self.walls.d / 2, self.rise
        # the wing holds the corner (0, 0, 0), the ridge's end (0, half, rise) and the tip (half, half, rise)
        onward = (0.0, half, rise)
        return math.degrees(math.acos(max(-1.0, min(1.0, onward[2] / math.hypot(half, rise)))))


def _angle_about(
    axis: tuple[float, float, float], start: tuple[float, float, float], end: tuple[float, float, float]
) -> float:
    """Return the angle (degrees, 0 to 180) about an axis through the origin from one point to another."""
    length = sum(v * v for v in axis)

    def across(p: tuple[float, float, float]) -> tuple[float, ...]:
        along = sum(x * v for x, v in zip(p, axis, strict=True)) / length
        return tuple(x - along * v for x, v in zip(p, axis, strict=True))

    a, b = across(start), across(end)
    cosine = sum(x * y for x, y in zip(a, b, strict=True)) / math.sqrt(sum(x * x for x in a) * sum(y * y for y in b))
    return math.degrees(math.acos(max(-1.0, min(1.0, cosine))))


_ENDS = {
    "open": _open,
    "flaps": _flaps,
    "tuck": _tuck,
    "pinched": _roofed,
    "clipped": _roofed,
    "gable": _roofed,
}


def sleeve(width: float, depth: float, height: float, thickness: float = 0.0, tab: float = 12.7) -> Blank:
    """Draw a tube without ends."""
    return Tube(width, depth, height, "open", "open", thickness, min(tab, depth)).blank()
