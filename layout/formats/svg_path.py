"""The path data, basic shapes and transforms of SVG, as true curves in the file's own frame (y down)."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from layout.geometry.curve import IDENTITY, Arc, Cubic, Line, Matrix, Segment, chain, polyline, quadratic
from layout.geometry.outline import Point

_NUMBER = r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?"
_TOKEN = re.compile(rf"\s*,?\s*([MmZzLlHhVvCcSsQqTtAa]|{_NUMBER})")
_FLAG = re.compile(r"\s*,?\s*([01])")
_COUNTS = {"m": 2, "z": 0, "l": 2, "h": 1, "v": 1, "c": 6, "s": 4, "q": 4, "t": 2, "a": 7}
_TRANSFORM = re.compile(r"\s*,?\s*(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)")


class PathError(ValueError):
    """Path data or a transform that the standard does not allow; the message says where."""


@dataclass(slots=True)
class SubPath:
    """A run of the pen without lifting it; `closed` when it was closed by command."""

    start: Point
    segments: list[Segment] = field(default_factory=list)
    closed: bool = False


def parse_path(d: str) -> list[SubPath]:
    """Return the sub-paths of path data (SVG 2, chapter 9); raises PathError."""
    pen = _Pen()
    for command, values in _commands(d):
        pen.obey(command, values)
    return [p for p in pen.paths if p.segments]


def parse_transform(text: str) -> Matrix:
    """Return the affine map of a transform list; raises PathError."""
    made, at = IDENTITY, 0
    while at < len(text.rstrip()):
        match = _TRANSFORM.match(text, at)
        if match is None:
            raise PathError(f"the transform '{text[:40]}' is not one")
        made = chain(made, _one_transform(match[1], _numbers(match[2])))
        at = match.end()
    return made


def ellipse_path(centre: Point, rx: float, ry: float) -> list[SubPath]:
    """Return a closed ellipse."""
    if rx <= 0 or ry <= 0:
        return []
    whole = Arc(centre, (rx, 0.0), (0.0, ry), 0.0, 2 * math.pi)
    return [SubPath(whole.start, [whole], True)]


def rectangle_path(x: float, y: float, width: float, height: float, rx: float, ry: float) -> list[SubPath]:
    """Return a rectangle with elliptic corners."""
    if width <= 0 or height <= 0:
        return []
    rx, ry = min(rx, width / 2), min(ry, height / 2)
    r, b = x + width, y + height
    if rx <= 0 or ry <= 0:
        return polyline_path([(x, y), (r, y), (r, b), (x, b)], closed=True)
    corners = ((r - rx, y + ry, -1), (r - rx, b - ry, 0), (x + rx, b - ry, 1), (x + rx, y + ry, 2))
    arcs = [Arc((cx, cy), (rx, 0.0), (0.0, ry), k * math.pi / 2, math.pi / 2) for cx, cy, k in corners]
    path: list[Segment] = []
    for arc, following in zip(arcs, [*arcs[1:], arcs[0]], strict=True):
        path += [arc, Line(arc.end, following.start)]
    return [SubPath(arcs[0].start, path, True)]


def polyline_path(points: list[Point], *, closed: bool) -> list[SubPath]:
    """Return straight segments through points, back to the first one where closed."""
    if len(points) < 2:
        return []
    ends = [*points, points[0]] if closed else points
    return [SubPath(points[0], list(polyline(ends)), closed)]


def parse_points(text: str) -> list[Point]:
    """Return the points of a `points` attribute; raises PathError."""
    values = _numbers(text)
    return list(zip(values[::2], values[1::2], strict=False))


class _Pen:
    """Follows path commands; keeps the current point and the last control point."""

    def __init__(self) -> None:
        self.paths: list[SubPath] = []
        self.at: Point = (0.0, 0.0)
        self.control: Point | None = None
        self.last = ""
        self.draw: dict[str, Callable[[list[float]], None]] = {
            "l": self._line,
            "h": self._line,
            "v": self._line,
            "c": self._cubic,
            "s": self._smooth_cubic,
            "q": self._quadratic,
            "t": self._smooth_quadratic,
            "a": self._arc,
        }

    def obey(self, command: str, values: list[float]) -> None:
        kind = command.lower()
        if kind == "z":
            self._close()
        elif kind == "m":
            self.at = tuple(self._absolute(command, values))  # type: ignore[assignment]
            self.paths.append(SubPath(self.at))
        else:
            if self.paths[-1].closed:  # drawing on after a close starts where the closed one began
                self.paths.append(SubPath(self.at))
            self.draw[kind](self._absolute(command, values))
        self.last = kind

    def _absolute(self, command: str, values: list[float]) -> list[float]:
        """Make coordinates absolute; lines of one coordinate get the other."""
        x, y = self.at if command.islower() else (0.0, 0.0)
        kind = command.lower()
        if kind == "h":
            return [values[0] + x, self.at[1]]
        if kind == "v":
            return [self.at[0], values[0] + y]
        if kind == "a":
            return [*values[:5], values[5] + x, values[6] + y]
        return [v + (y if k % 2 else x) for k, v in enumerate(values)]

    def _add(self, segment: Segment, end: Point) -> None:
        self.paths[-1].segments.append(segment)
        self.at = end

    def _close(self) -> None:
        path = self.paths[-1]
        if path.closed:
            return
        if self.at != path.start:
            path.segments.append(Line(self.at, path.start))
        path.closed, self.at = True, path.start

    def _line(self, v: list[float]) -> None:
        self._add(Line(self.at, (v[0], v[1])), (v[0], v[1]))

    def _cubic(self, v: list[float]) -> None:
        self.control = (v[2], v[3])
        self._add(Cubic(self.at, (v[0], v[1]), self.control, (v[4], v[5])), (v[4], v[5]))

    def _smooth_cubic(self, v: list[float]) -> None:
        self._cubic([*self._mirrored("cs"), *v])

    def _quadratic(self, v: list[float]) -> None:
        self.control = (v[0], v[1])
        self._add(quadratic(self.at, self.control, (v[2], v[3])), (v[2], v[3]))

    def _smooth_quadratic(self, v: list[float]) -> None:
        self._quadratic([*self._mirrored("qt"), *v])

    def _mirrored(self, kinds: str) -> Point:
        """Return the last control point mirrored at the pen, where the last command was of the same kind."""
        if self.control is None or self.last not in kinds:
            return self.at
        return (2 * self.at[0] - self.control[0], 2 * self.at[1] - self.control[1])

    def _arc(self, v: list[float]) -> None:
        end = (v[5], v[6])
        segment = arc_between(self.at, end, (v[0], v[1]), v[2], large=v[3] != 0, sweep=v[4] != 0)
        if segment is not None:
            self._add(segment, end)


def arc_between(start: Point, end: Point, radii: Point, turn: float, *, large: bool, sweep: bool) -> Arc | Line | None:
    """Return an arc given by its ends (SVG 2, appendix B.2.4: from endpoint to centre form); None: no length."""
    if start == end:
        return None
    rx, ry = abs(radii[0]), abs(radii[1])
    if rx == 0 or ry == 0:
        return Line(start, end)
    c, s = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    dx, dy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    px, py = (c * dx + s * dy) / rx, (-s * dx + c * dy) / ry  # the half chord as seen on the unit circle
    grow = max(1.0, math.hypot(px, py))
    px, py, rx, ry = px / grow, py / grow, rx * grow, ry * grow
    reach = math.sqrt(max(0.0, 1 / (px * px + py * py) - 1)) * (-1 if large == sweep else 1)
    qx, qy = reach * py, -reach * px
    first, last = math.atan2(py - qy, px - qx), math.atan2(-py - qy, -px - qx)
    angle = (last - first) % (2 * math.pi) if sweep else -((first - last) % (2 * math.pi))
    u, v = (rx * c, rx * s), (-ry * s, ry * c)
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    centre = (middle[0] + qx * u[0] + qy * v[0], middle[1] + qx * u[1] + qy * v[1])
    return Arc(centre, u, v, first, angle)


def _commands(d: str) -> Iterator[tuple[str, list[float]]]:
    """Read commands one by one, repeated ones spelled out."""
    at, command = 0, ""
    end = len(d.rstrip())
    while at < end:
        match = _TOKEN.match(d, at)
        if match is None:
            raise PathError(f"path data is broken near '{d[at : at + 20].strip()}'")
        if match[1].isalpha():
            command, at = match[1], match.end()
        elif command in ("", "Z", "z"):
            raise PathError(f"path data has a number without a command near '{d[at : at + 20].strip()}'")
        if command not in "Mm" and not at:
            raise PathError("path data does not start with a move")
        values, at = _values(d, at, command.lower())
        yield command, values
        command = {"M": "L", "m": "l"}.get(command, command)


def _values(d: str, at: int, kind: str) -> tuple[list[float], int]:
    values: list[float] = []
    for k in range(_COUNTS[kind]):
        match = (_FLAG if kind == "a" and k in (3, 4) else _TOKEN).match(d, at)
        if match is None or match[1].isalpha():
            raise PathError(f"path data ends too early near '{d[max(0, at - 20) : at + 10].strip()}'")
        values.append(float(match[1]))
        at = match.end()
    return values, at


def _numbers(text: str) -> list[float]:
    values = [float(n) for n in re.findall(_NUMBER, text)]
    if not all(map(math.isfinite, values)):
        raise PathError("it holds a number without end")
    return values


def _one_transform(kind: str, v: list[float]) -> Matrix:
    allowed = {"matrix": (6,), "translate": (1, 2), "scale": (1, 2), "rotate": (1, 3), "skewX": (1,), "skewY": (1,)}
    if len(v) not in allowed[kind]:
        raise PathError(f"the transform {kind} has {len(v)} numbers")
    if kind == "matrix":
        return (v[0], v[1], v[2], v[3], v[4], v[5])
    if kind == "translate":
        return (1.0, 0.0, 0.0, 1.0, v[0], v[1] if len(v) > 1 else 0.0)
    if kind == "scale":
        return (v[0], 0.0, 0.0, v[-1], 0.0, 0.0)
    if kind == "rotate":
        return _rotation(v)
    slope = math.tan(math.radians(v[0]))
    return (1.0, 0.0, slope, 1.0, 0.0, 0.0) if kind == "skewX" else (1.0, slope, 0.0, 1.0, 0.0, 0.0)


def _rotation(v: list[float]) -> Matrix:
    c, s = math.cos(math.radians(v[0])), math.sin(math.radians(v[0]))
    turn = (c, s, -s, c, 0.0, 0.0)
    if len(v) == 1:
        return turn
    return chain((1.0, 0.0, 0.0, 1.0, v[1], v[2]), chain(turn, (1.0, 0.0, 0.0, 1.0, -v[1], -v[2])))
