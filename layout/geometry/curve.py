"""True curves (lines, elliptic arcs, cubics) and their flattening to chords of a stated error."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from layout.geometry.outline import Point, Ring

CHORD_ERROR = 0.02
"""How far (mm) a chord may lie from its curve; the files allow 0.05."""
FINEST_CHORD = 0.0005

Matrix = tuple[float, float, float, float, float, float]
IDENTITY: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)
_MOST_STEPS = 4096


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Arc:
    """The points `centre + cos(t) u + sin(t) v`, t (radians) from `start_angle` over `sweep`.

    `u` and `v` are conjugate half diameters of an ellipse: two equal perpendicular ones make a circle.
    """

    centre: Point
    u: Point
    v: Point
    start_angle: float
    sweep: float

    def at(self, t: float) -> Point:
        """Return the point at angle t (radians)."""
        c, s = math.cos(t), math.sin(t)
        return (
            self.centre[0] + c * self.u[0] + s * self.v[0],
            self.centre[1] + c * self.u[1] + s * self.v[1],
        )

    @property
    def start(self) -> Point:
        """The first point."""
        return self.at(self.start_angle)

    @property
    def end(self) -> Point:
        """The last point."""
        return self.at(self.start_angle + self.sweep)


@dataclass(frozen=True, slots=True)
class Cubic:
    """A cubic Bezier segment."""

    start: Point
    first: Point
    second: Point
    end: Point


Segment = Line | Arc | Cubic


def circle_arc(centre: Point, radius: float, start: float, sweep: float) -> Arc:
    """Make an arc of a circle; angles in degrees, counter-clockwise."""
    return Arc(centre, (radius, 0.0), (0.0, radius), math.radians(start), math.radians(sweep))


def quadratic(start: Point, control: Point, end: Point) -> Cubic:
    """Raise a quadratic Bezier segment to the same curve as a cubic."""
    first = (start[0] + 2 / 3 * (control[0] - start[0]), start[1] + 2 / 3 * (control[1] - start[1]))
    second = (end[0] + 2 / 3 * (control[0] - end[0]), end[1] + 2 / 3 * (control[1] - end[1]))
    return Cubic(start, first, second, end)


def polyline(points: Sequence[Point]) -> tuple[Line, ...]:
    """Join points by straight segments."""
    return tuple(Line(p, q) for p, q in pairwise(points))


def carry(m: Matrix, p: Point) -> Point:
    """Carry a point by the affine map (x, y) -> (a x + c y + e, b x + d y + f)."""
    return (m[0] * p[0] + m[2] * p[1] + m[4], m[1] * p[0] + m[3] * p[1] + m[5])


def chain(outer: Matrix, inner: Matrix) -> Matrix:
    """Return the map that applies `inner` first and `outer` afterwards."""
    a, b, c, d, e, f = inner
    e2, f2 = carry(outer, (e, f))
    return (
        outer[0] * a + outer[2] * b,
        outer[1] * a + outer[3] * b,
        outer[0] * c + outer[2] * d,
        outer[1] * c + outer[3] * d,
        e2,
        f2,
    )


def carry_segment(m: Matrix, segment: Segment) -> Segment:
    """Carry a segment by an affine map; it stays the same kind of curve, exactly."""
    if isinstance(segment, Line):
        return Line(carry(m, segment.start), carry(m, segment.end))
    if isinstance(segment, Cubic):
        ends = (segment.start, segment.first, segment.second, segment.end)
        return Cubic(*(carry(m, p) for p in ends))
    linear = (*m[:4], 0.0, 0.0)
    return Arc(
        carry(m, segment.centre), carry(linear, segment.u), carry(linear, segment.v), segment.start_angle, segment.sweep
    )


def chords_of_circle(radius: float, chord_error: float) -> float:
    """Return the greatest angle (radians) whose chord stays within `chord_error` of a circle: the sagitta formula."""
    if radius <= chord_error:
        return math.pi / 2
    return 2.0 * math.acos(1.0 - chord_error / radius)


def flatten(segment: Segment, chord_error: float = CHORD_ERROR) -> list[Point]:
    """Return the points of a segment after its first, no chord farther than `chord_error` (mm) from the curve."""
    if isinstance(segment, Line):
        return [segment.end]
    if isinstance(segment, Arc):
        return _flatten_arc(segment, chord_error)
    return _flatten_cubic(segment, chord_error)


def flatten_all(segments: Sequence[Segment], chord_error: float = CHORD_ERROR) -> list[Point]:
    """Return the points of a chain of segments, the first point included."""
    points = [segments[0].start]
    for segment in segments:
        points += flatten(segment, chord_error)
    return points


def ring_of(segments: Sequence[Segment], chord_error: float = CHORD_ERROR) -> Ring:
    """Flatten a closed chain of segments to a ring: no point repeated, nor the first at the end."""
    return without_repeats(flatten_all(segments, chord_error))


def without_repeats(points: Sequence[Point], least: float = 1e-9) -> Ring:
    """Drop points that repeat their neighbour to within `least` (mm), round the ring."""
    kept: list[Point] = []
    for p in points:
        if not kept or math.dist(kept[-1], p) > least:
            kept.append(p)
    while len(kept) > 1 and math.dist(kept[0], kept[-1]) <= least:
        kept.pop()
    return tuple(kept)


def _flatten_arc(arc: Arc, chord_error: float) -> list[Point]:
    """Cut an arc evenly. An affine map stretches the unit circle's sagitta by its greatest stretch at most."""
    step = chords_of_circle(_stretch(arc.u, arc.v), chord_error)
    steps = min(_MOST_STEPS, max(1, math.ceil(abs(arc.sweep) / step - 1e-9)))
    if abs(abs(arc.sweep) - 2 * math.pi) < 1e-9:  # quarter points as corners keep the width and height exact
        steps = 4 * math.ceil(steps / 4)
    return [arc.at(arc.start_angle + arc.sweep * k / steps) for k in range(1, steps + 1)]


def _flatten_cubic(cubic: Cubic, chord_error: float) -> list[Point]:
    """Cut a cubic evenly in its parameter, steps by Wang's bound (second differences of the control points)."""
    p, q, r, s = cubic.start, cubic.first, cubic.second, cubic.end
    bend = max(_second_difference(p, q, r), _second_difference(q, r, s))
    steps = min(_MOST_STEPS, max(1, math.ceil(math.sqrt(0.75 * bend / chord_error))))
    return [_cubic_at(cubic, k / steps) for k in range(1, steps)] + [s]


def _cubic_at(cubic: Cubic, t: float) -> Point:
    a, b, c, d = (1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3
    p, q, r, s = cubic.start, cubic.first, cubic.second, cubic.end
    return (a * p[0] + b * q[0] + c * r[0] + d * s[0], a * p[1] + b * q[1] + c * r[1] + d * s[1])


def _second_difference(p: Point, q: Point, r: Point) -> float:
    return math.hypot(p[0] - 2 * q[0] + r[0], p[1] - 2 * q[1] + r[1])


def _stretch(u: Point, v: Point) -> float:
    """Return the greatest half diameter: the greatest singular value of the matrix with columns u and v."""
    square = u[0] ** 2 + u[1] ** 2 + v[0] ** 2 + v[1] ** 2
    twist = u[0] * v[1] - u[1] * v[0]
    return math.sqrt(0.5 * (square + math.sqrt(max(0.0, square * square - 4 * twist * twist))))
