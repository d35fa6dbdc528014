"""From drawn chains of curves to closed contours: loose ends joined, curves flattened, what stays open reported."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry import LineString, Polygon

from layout.geometry.curve import Cubic, Line, Matrix, Segment, carry_segment, flatten, flatten_all, without_repeats
from layout.geometry.outline import Outline, OutlineError, Point, Ring, from_polygon

JOIN_WITHIN = 0.1
"""Loose ends (mm) are joined when they are no farther apart."""
NEARLY_CLOSED = 0.01
"""A line of its own is closed when its gap is no more than this part of its length."""
FINEST, COARSEST = 0.0002, 0.02
MOST_LOOSE_ENDS = 10_000
MOST_POINTS = 2_000_000


@dataclass(frozen=True, slots=True)
class Chain:
    """Curves drawn without lifting the pen. `fills`: its inside is filled, so that it counts as closed anyway."""

    segments: tuple[Segment, ...]
    closed: bool
    fills: bool = False

    @property
    def ends(self) -> tuple[Point, Point]:
        """The first and the last point."""
        return self.segments[0].start, self.segments[-1].end


@dataclass(slots=True)
class Contours:
    """Closed rings, lines that stayed open, and what was noticed, in words."""

    rings: list[Ring] = field(default_factory=list)
    open_lines: list[Ring] = field(default_factory=list)
    findings: list[str] = field(default_factory=list)


class TooMuchError(ValueError):
    """A drawing that holds more than is worth reading; the message says how much, for a person."""


def carry_chain(m: Matrix, chain: Chain) -> Chain:
    """Carry a chain by an affine map."""
    return Chain(tuple(carry_segment(m, s) for s in chain.segments), chain.closed, chain.fills)


def contours_of(chains: Sequence[Chain], unit: str = "mm", join_within: float | None = JOIN_WITHIN) -> Contours:
    """Return the closed contours of a drawing. `join_within` None: the unit is not known, 1/2000 of the drawing."""
    made = Contours()
    reach = join_within if join_within is not None else _extent(chains) / 2000
    finest = 0.0 if join_within is None else FINEST
    lines: list[list[Point]] = []
    count = 0
    for chain in chains:
        points = flatten_chain(chain, finest)
        count += len(points)
        if count > MOST_POINTS:
            raise TooMuchError(f"it has more than {MOST_POINTS:,} points; export the shapes alone")
        if chain.closed or points[0] == points[-1]:
            made.rings.append(without_repeats(points))
        else:
            lines.append(points)
    fills = [c.fills for c in chains if not (c.closed or c.ends[0] == c.ends[1])]
    _join(lines, fills, reach, unit, made)
    made.rings = [r for r in made.rings if len(set(r)) > 2]
    return made


def flatten_chain(chain: Chain, finest: float = FINEST) -> list[Point]:
    """Flatten a chain so finely that a small or slender shape keeps its area, too; straight segments stay as drawn."""
    if all(isinstance(s, Line) for s in chain.segments):
        return flatten_all(chain.segments)
    sides = _sides([p for s in chain.segments for p in _about(s)])
    wanted = (min(sides) or max(sides)) / 4000
    return flatten_all(chain.segments, min(COARSEST, max(finest, wanted)) if finest else wanted or 1.0)


def sound_outline(ring: Ring, holes: Sequence[Ring] = ()) -> tuple[Outline, bool]:
    """Return an outline from rings, and whether it had to be mended; raises OutlineError where it cannot be.

    Mended is only what keeps its area: a ring that touches itself or runs out and back along one line.
    """
    try:
        return Outline(ring, tuple(holes)), False
    except OutlineError:
        mended = shapely.make_valid(Polygon(ring, holes))
        pieces = [g for g in shapely.get_parts(mended) if isinstance(g, Polygon)]
        if not pieces or max(p.area for p in pieces) < 0.9999 * sum(p.area for p in pieces):
            raise
        return from_polygon(max(pieces, key=lambda p: float(p.area))), True


def _about(segment: Segment) -> list[Point]:
    """Return points whose bounds are nearly the segment's."""
    if isinstance(segment, Cubic):
        return [segment.start, segment.first, segment.second, segment.end]
    return [segment.start, *flatten(segment, math.inf)]


def _sides(points: Sequence[Point]) -> tuple[float, float]:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return max(xs) - min(xs), max(ys) - min(ys)


def _extent(chains: Sequence[Chain]) -> float:
    return (
        max(_sides([p for c in chains for s in c.segments for p in (s.start, s.end)]), default=0.0) if chains else 0.0
    )


def _join(lines: list[list[Point]], fills: list[bool], reach: float, unit: str, made: Contours) -> None:
    """Join loose lines end to end; first where they meet, then the nearest free ends within `reach`."""
    if not lines:
        return
    _meet(lines)
    lines, fills = _once(lines, fills)
    free = _free_ends(lines)
    if len(free) > MOST_LOOSE_ENDS:
        raise TooMuchError(f"it has more than {MOST_LOOSE_ENDS:,} loose ends; export the outlines alone")
    lone = _close_lone(lines, fills, free, reach, unit, made)
    rest = [line for k, line in enumerate(lines) if k not in lone]
    free = _free_ends(rest)
    bridges = _bridges(free, reach)
    if bridges:
        widest = max(math.dist(*b) for b in bridges.items())
        said = f"{_count(len(bridges), 'gap')} between loose lines closed, the widest {widest:.3g} {unit}"
        made.findings.append(f"{said} (up to {reach:.3g} {unit} are closed)")
    for line in rest:
        line[0], line[-1] = bridges.get(line[0], line[0]), bridges.get(line[-1], line[-1])
    _polygonize(rest, unit, reach, made)


def _meet(lines: list[list[Point]]) -> None:
    """Make ends that differ by rounding alone the same point, so that a graph can be made of them."""
    ends = list(dict.fromkeys(line[k] for line in lines for k in (0, -1)))
    size = max(1e-9, max(abs(v) for p in ends for v in p))
    points = shapely.points(ends)
    near = shapely.STRtree(points).query_nearest(points, max_distance=1e-7 * size, exclusive=True, all_matches=False)
    same = {ends[max(pair)]: ends[min(pair)] for pair in near.T.tolist()}
    for line in lines:
        line[0], line[-1] = same.get(line[0], line[0]), same.get(line[-1], line[-1])


def _once(lines: list[list[Point]], fills: list[bool]) -> tuple[list[list[Point]], list[bool]]:
    """Drop lines drawn twice, such as the common side of two pieces: the joined rings would fall apart there."""
    seen: dict[tuple[Point, ...], tuple[list[Point], bool]] = {}
    for line, fill in zip(lines, fills, strict=True):
        seen.setdefault(min(tuple(line), tuple(reversed(line))), (line, fill))
    return [line for line, _ in seen.values()], [fill for _, fill in seen.values()]


def _free_ends(lines: Sequence[Sequence[Point]]) -> list[Point]:
    """Return the ends at which nothing else begins."""
    meetings: dict[Point, int] = {}
    for line in lines:
        for k in (0, -1):
            meetings[line[k]] = meetings.get(line[k], 0) + 1
    return [p for p, n in meetings.items() if n == 1]


def _close_lone(
    lines: list[list[Point]], fills: list[bool], free: list[Point], reach: float, unit: str, made: Contours
) -> set[int]:
    """Close the lines that stand alone and are nearly closed, or filled; return which ones."""
    closed: set[int] = set()
    nearest = _nearest(free, reach)
    for k, line in enumerate(lines):
        if len(line) < 3 or not {line[0], line[-1]} <= nearest.keys():
            continue
        gap = math.dist(line[0], line[-1])
        nearly = gap <= max(reach, NEARLY_CLOSED * LineString(line).length)
        alone = nearest[line[0]] in (None, line[-1]) and nearest[line[-1]] in (None, line[0])
        if alone and (nearly or fills[k]):
            closed.add(k)
            made.rings.append(without_repeats(line))
            how = "nearly closed" if nearly else "open but filled"
            made.findings.append(f"a line {how} was closed at {_place(line[0])}: the gap was {gap:.3g} {unit}")
    return closed


def _nearest(free: list[Point], reach: float) -> dict[Point, Point | None]:
    """Return for each free end the nearest other one within reach."""
    made: dict[Point, Point | None] = dict.fromkeys(free)
    if len(free) > 1 and reach > 0:
        points = shapely.points(free)
        tree = shapely.STRtree(points)
        for a, b in tree.query_nearest(points, max_distance=reach, exclusive=True, all_matches=False).T.tolist():
            made[free[a]] = free[b]
    return made


def _bridges(free: list[Point], reach: float) -> dict[Point, Point]:
    """Pair free ends that are nearest to each other within reach, round after round: which one moves to which."""
    made: dict[Point, Point] = {}
    while True:
        nearest = _nearest(free, reach)
        pairs = {a: b for a, b in nearest.items() if b is not None and nearest[b] == a and a < b}
        if not pairs:
            return made
        made |= pairs
        taken = pairs.keys() | set(pairs.values())
        free = [p for p in free if p not in taken]


def _polygonize(lines: list[list[Point]], unit: str, reach: float, made: Contours) -> None:
    """Find the rings that joined lines make up; the rest stays open, and is said to."""
    polygons, loose = _faces([LineString(p) for p in lines if len(set(p)) > 1])
    made.rings += [_points(p.exterior)[:-1] for p in polygons]
    for line in map(_points, _crossing(loose, reach, made)):
        if line[0] == line[-1]:
            made.rings.append(line[:-1])
            continue
        made.open_lines.append(line)
        gap = f"its ends are {math.dist(line[0], line[-1]):.3g} {unit} apart"
        made.findings.append(f"a line from {_place(line[0])} to {_place(line[-1])} stays open: {gap}")


def _faces(strings: list[LineString]) -> tuple[list[Polygon], list[LineString]]:
    """Return the faces that lines enclose where they meet end to end, and the lines that enclose none, joined."""
    polygons, cuts, dangles, invalid = shapely.polygonize_full(strings)
    rest = shapely.MultiLineString([g for c in (cuts, dangles, invalid) for g in c.geoms])
    return list(polygons.geoms), list(shapely.get_parts(shapely.line_merge(rest)))


def _crossing(loose: list[LineString], reach: float, made: Contours) -> list[LineString]:
    """Close what lines enclose that run over each other instead of meeting; return what stays open."""
    if not loose:
        return []
    faces, rest = _faces(list(shapely.get_parts(shapely.unary_union(shapely.MultiLineString(loose)))))
    broad = [f for f in faces if f.area > max(reach, 1e-9) * f.length]  # two nearly equal lines enclose a sliver
    if not broad:
        return loose
    made.rings += [_points(f.exterior)[:-1] for f in broad]
    made.findings.append(f"{_count(len(broad), 'contour')} closed where lines cross or lie on each other")
    return rest


def _points(line: LineString) -> Ring:
    return tuple((float(x), float(y)) for x, y in line.coords)


def _place(p: Point) -> str:
    return f"({p[0]:.2f}, {p[1]:.2f})"


def _count(n: int, what: str) -> str:
    return f"{n} {what}" + ("s" if n != 1 else "")
