"""Outlines by size: the plain shapes a person can name and measure, centred on the origin, sizes in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence

from layout.geometry.curve import Arc, Line, Segment, carry_segment, circle_arc, flatten_all, polyline, ring_of
from layout.geometry.outline import Outline, OutlineError, Point, Ring

GOLDEN_STAR = (3 - math.sqrt(5)) / 2
"""Inner over outer radius of a star whose edges run straight through (five points)."""


def rectangle(width: float, height: float) -> Outline:
    """Return a rectangle."""
    _refuse_no_size(width, height)
    return Outline.rectangle(width, height, x=-width / 2, y=-height / 2)


def rounded_rectangle(width: float, height: float, radius: float) -> Outline:
    """Return a rectangle with round corners; a radius of half the shorter side makes round ends."""
    _refuse_no_size(width, height)
    _refuse_outside(radius, 0.0, min(width, height) / 2, "corner radius")
    if radius == 0:
        return rectangle(width, height)
    x, y = width / 2 - radius, height / 2 - radius
    corners = ((x, -y, -90.0), (x, y, 0.0), (-x, y, 90.0), (-x, -y, 180.0))
    return _closed([circle_arc((cx, cy), radius, a, 90.0) for cx, cy, a in corners])


def oval(width: float, height: float) -> Outline:
    """Return an ellipse."""
    _refuse_no_size(width, height)
    return _closed([Arc((0.0, 0.0), (width / 2, 0.0), (0.0, height / 2), 0.0, 2 * math.pi)])


def circle(diameter: float) -> Outline:
    """Return a circle."""
    return oval(diameter, diameter)


def polygon(width: float, height: float | None = None, *, corners: int = 6) -> Outline:
    """Return a polygon of equal sides standing on one of them; without a height it stays regular."""
    if corners < 3:
        raise OutlineError(f"a polygon needs at least 3 corners, not {corners}")
    return fitted(_wheel(corners, -90.0 + 180.0 / corners, (1.0,)), width, height)


def star(width: float, height: float | None = None, *, points: int = 5, depth: float = GOLDEN_STAR) -> Outline:
    """Return a star, one point up; `depth` is the inner radius over the outer one."""
    if points < 3:
        raise OutlineError(f"a star needs at least 3 points, not {points}")
    _refuse_outside(depth, 0.05, 0.95, "depth of the star")
    return fitted(_wheel(points, 90.0, (1.0, depth)), width, height)


def heart(width: float, height: float | None = None) -> Outline:
    """Return a heart: a square on its corner with half a circle on each upper side."""
    r = math.sqrt(0.5)
    path: list[Segment] = [
        Line((0.0, -1.0), (1.0, 0.0)),
        circle_arc((0.5, 0.5), r, -45.0, 180.0),
        circle_arc((-0.5, 0.5), r, 45.0, 180.0),
        Line((-1.0, 0.0), (0.0, -1.0)),
    ]
    return drawn(path, width, height)


def scalloped(width: float, height: float | None = None, *, scallops: int = 12) -> Outline:
    """Return a round shape edged with half circles that meet on a circle."""
    if scallops < 3:
        raise OutlineError(f"a scalloped edge needs at least 3 scallops, not {scallops}")
    step = 360.0 / scallops
    reach, radius = math.cos(math.radians(step / 2)), math.sin(math.radians(step / 2))
    middles = [90.0 + step * k for k in range(scallops)]
    path = [circle_arc(_polar(reach, m), radius, m - 90.0, 180.0) for m in middles]
    return drawn(path, width, height)


def label(width: float, height: float, *, corner: float | None = None) -> Outline:
    """Return a rectangle whose corners are scooped out by quarter circles."""
    _refuse_no_size(width, height)
    r = min(width, height) / 6 if corner is None else corner
    _refuse_outside(r, 0.0, min(width, height) / 2, "corner radius", open_ended=True)
    x, y = width / 2, height / 2
    scoops = ((x, -y, 180.0), (x, y, 270.0), (-x, y, 0.0), (-x, -y, 90.0))
    return _closed(_joined([circle_arc((cx, cy), r, a, -90.0) for cx, cy, a in scoops]))


def tag(width: float, height: float, *, clip: float | None = None, hole: float = 5.0) -> Outline:
    """Return a tag: the upper corners clipped at 45 degrees, a hole (diameter in mm, 0: none) for the cord."""
    _refuse_no_size(width, height)
    c = width / 4 if clip is None else clip
    _refuse_outside(c, 0.0, min(width / 2, height), "clipped corner", open_ended=True)
    x, y = width / 2, height / 2
    border = ((-x, -y), (x, -y), (x, y - c), (x - c, y), (c - x, y), (-x, y - c))
    if hole == 0:
        return Outline(border)
    centre = (0.0, y - max(c * 0.75, hole))
    return Outline(border, (ring_of([circle_arc(centre, hole / 2, 0.0, 360.0)]),))


def leaf(width: float, height: float) -> Outline:
    """Return a leaf of two equal arcs that meet in points above and below."""
    _refuse_no_size(width, height)
    if width > height:
        raise OutlineError("a leaf is at most as wide as it is high; turn it instead")
    radius = (height * height + width * width) / (4 * width)
    half = math.degrees(math.asin(height / (2 * radius)))
    right = circle_arc((width / 2 - radius, 0.0), radius, -half, 2 * half)
    left = circle_arc((radius - width / 2, 0.0), radius, 180.0 - half, 2 * half)
    return fitted(ring_of([right, left]), width, height)


def banner(width: float, height: float, *, notch: float | None = None, ends: int = 1) -> Outline:
    """Return a banner with a notch cut into its right end, or into both."""
    _refuse_no_size(width, height)
    n = height / 2 if notch is None else notch
    if ends not in (1, 2):
        raise OutlineError(f"a banner has one notched end or two, not {ends}")
    _refuse_outside(n, 0.0, width / ends, "notch", open_ended=True)
    x, y = width / 2, height / 2
    left = ((-x, y), (n - x, 0.0)) if ends == 2 else ((-x, y),)
    return Outline(((-x, -y), (x, -y), (x - n, 0.0), (x, y), *left))


def arch(width: float, height: float) -> Outline:
    """Return an upright rectangle closed by half a circle (half an ellipse where it is too low for one)."""
    _refuse_no_size(width, height)
    rise = min(width / 2, height)
    spring = height / 2 - rise
    right = Arc((0.0, spring), (width / 2, 0.0), (0.0, rise), 0.0, math.pi / 2)  # in two, so that the top is a corner
    path: list[Segment] = [right, Arc(right.centre, right.u, right.v, math.pi / 2, math.pi / 2)]
    if rise < height:
        path += polyline([(-width / 2, spring), (-width / 2, -height / 2), (width / 2, -height / 2)])
    return _closed(path)


def crescent(width: float, height: float, *, thickness: float | None = None) -> Outline:
    """Return a crescent moon, its back to the left: a circle of diameter `height`, bitten by another circle.

    `width` reaches from the back to the tips of the horns, `thickness` (0.45 of it) is the moon at its fullest.
    """
    _refuse_no_size(width, height)
    _refuse_outside(width, height / 2, height, "width of the crescent", open_ended=True)
    t = 0.45 * width if thickness is None else thickness
    _refuse_outside(t, 0.0, width, "thickness", open_ended=True)
    r, horn = height / 2, math.acos(2 * width / height - 1)
    x = ((t - r) ** 2 - r * r) / (2 * (t - r - r * math.cos(horn)))  # the biting circle goes through three known points
    tip = (r * math.cos(horn) - x, r * math.sin(horn))
    turn = math.degrees(math.atan2(tip[1], tip[0]))
    outer = circle_arc((0.0, 0.0), r, math.degrees(horn), 360.0 - 2 * math.degrees(horn))
    bite = circle_arc((x, 0.0), math.hypot(*tip), -turn, -(360.0 - 2 * turn))
    return fitted(ring_of([outer, bite]), width, height)


def drawn(path: Sequence[Segment], width: float, height: float | None = None) -> Outline:
    """Return a drawn closed path stretched to a size; without a height it keeps its proportion."""
    _refuse_no_size(width, width if height is None else height)
    x0, y0, x1, y1 = _extent(flatten_all(path, _extent_error(path)))
    sx = width / (x1 - x0)
    sy = sx if height is None else height / (y1 - y0)
    to_size = (sx, 0.0, 0.0, sy, 0.0, 0.0)
    return fitted(ring_of([carry_segment(to_size, s) for s in path]), width, height)


def fitted(ring: Ring, width: float, height: float | None = None) -> Outline:
    """Return a ring stretched to exactly a width and height (in proportion without one), centred."""
    _refuse_no_size(width, width if height is None else height)
    x0, y0, x1, y1 = _extent(ring)
    sx = width / (x1 - x0)
    sy = sx if height is None else height / (y1 - y0)
    cx, cy = (x0 + x1) / 2, (y0 + y1) / 2
    return Outline(tuple(((x - cx) * sx, (y - cy) * sy) for x, y in ring))


def _closed(path: Sequence[Segment]) -> Outline:
    return Outline(ring_of(path))


def _joined(arcs: Sequence[Arc]) -> list[Segment]:
    """Join arcs by straight segments, round the ring."""
    path: list[Segment] = []
    for arc, following in zip(arcs, [*arcs[1:], arcs[0]], strict=True):
        path += [arc, Line(arc.end, following.start)]
    return path


def _polar(radius: float, angle: float) -> Point:
    return (radius * math.cos(math.radians(angle)), radius * math.sin(math.radians(angle)))


def _wheel(spokes: int, first: float, radii: Sequence[float]) -> Ring:
    """Return corners on evenly turned spokes, the radii taking turns."""
    n = spokes * len(radii)
    return tuple(_polar(radii[k % len(radii)], first + 360.0 * k / n) for k in range(n))


def _extent(points: Sequence[Point]) -> tuple[float, float, float, float]:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def _extent_error(path: Sequence[Segment]) -> float:
    x0, y0, x1, y1 = _extent([s.start for s in path])
    return max(x1 - x0, y1 - y0) / 1000


def _refuse_no_size(width: float, height: float) -> None:
    if not (0 < width < math.inf and 0 < height < math.inf):
        raise OutlineError(f"a shape of {width:g} × {height:g} mm has no size; give lengths above 0")


def _refuse_outside(value: float, least: float, most: float, what: str, *, open_ended: bool = False) -> None:
    fits = least < value < most if open_ended else least <= value <= most
    if not fits:
        raise OutlineError(f"the {what} must lie between {least:g} and {most:g}, {value:g} does not")
