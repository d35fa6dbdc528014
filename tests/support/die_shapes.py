"""Known outlines of invented thin metal dies, for pictures whose truth is known to the last figure."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

Random = np.random.Generator
FINE = 64  # segments of a quarter circle in shapely's buffers


def circle(_: Random) -> Polygon:
    """A circle of radius 1."""
    return Point(0, 0).buffer(1.0, FINE)


def oval(rng: Random) -> Polygon:
    """An ellipse 2 wide."""
    return affinity.scale(circle(rng), 1.0, rng.uniform(0.55, 0.85))


def heart(_: Random) -> Polygon:
    """A heart with a sharp notch and a sharp point, about 2 wide."""
    t = np.linspace(0, 2 * math.pi, 720, endpoint=False)
    x = 16 * np.sin(t) ** 3
    y = 13 * np.cos(t) - 5 * np.cos(2 * t) - 2 * np.cos(3 * t) - np.cos(4 * t)
    return Polygon(np.column_stack([x, y]) / 16)


def star(rng: Random) -> Polygon:
    """A star of five to eight sharp rays, radius 1."""
    n, inner = int(rng.integers(5, 9)), rng.uniform(0.45, 0.7)
    a = np.arange(2 * n) * math.pi / n
    r = np.where(np.arange(2 * n) % 2 == 0, 1.0, inner)
    return Polygon(np.column_stack([r * np.cos(a), r * np.sin(a)]))


def scallop(rng: Random) -> Polygon:
    """A circle edged with bows."""
    n = int(rng.integers(9, 16))
    bow = math.sin(math.pi / n)
    bows = [Point(math.cos(a), math.sin(a)).buffer(bow, FINE) for a in np.arange(n) * 2 * math.pi / n]
    return unary_union([circle(rng), *bows])


def rounded_rectangle(rng: Random) -> Polygon:
    """A rectangle 2 wide with rounded corners."""
    h, r = rng.uniform(0.45, 0.9), rng.uniform(0.02, 0.3)
    return box(-1 + r, -h + r, 1 - r, h - r).buffer(r, FINE)


def tag(rng: Random) -> Polygon:
    """A tie-on tag: a rectangle with two corners cut off."""
    h, c = rng.uniform(0.4, 0.6), rng.uniform(0.2, 0.35)
    return Polygon([(-1, -h), (1 - c, -h), (1, -h + c), (1, h - c), (1 - c, h), (-1, h)])


def crescent(_: Random) -> Polygon:
    """A crescent moon with blunted horns."""
    moon = circle(_).difference(Point(0.55, 0.1).buffer(0.75, FINE))
    return moon.buffer(-0.03, FINE).buffer(0.03, FINE)


def moth(rng: Random) -> Polygon:
    """A mirrored outline with four wings and a body."""
    wing = Polygon(
        [(0.0, 0.1), (0.35, 0.55), (1.0, 0.75), (0.95, 0.2), (0.6, -0.05), (0.75, -0.55), (0.4, -0.75), (0, -0.2)]
    )
    half = wing.buffer(-0.08, FINE).buffer(0.16, FINE).buffer(-0.08, FINE)
    body = affinity.scale(circle(rng), 0.14, 0.62)
    return unary_union([half, affinity.scale(half, -1, 1, origin=(0, 0)), body]).buffer(0.04, FINE).buffer(-0.04, FINE)


def blob(rng: Random) -> Polygon:
    """A smooth random closed curve."""
    t = np.linspace(0, 2 * math.pi, 720, endpoint=False)
    r = 1.0 + sum(rng.normal(0, 0.18 / k) * np.cos(k * t + rng.uniform(0, 6.3)) for k in range(2, 7))
    return Polygon(np.column_stack([r * np.cos(t), r * np.sin(t)]))


SHAPES: tuple[Callable[[Random], Polygon], ...] = (
    circle, oval, heart, star, scallop, rounded_rectangle, tag, crescent, moth, blob,
)  # fmt: skip


def die_body(
    rng: Random, half_size: float, shape: Callable[[Random], Polygon] | None = None, band: float | None = None
) -> Polygon:
    """The metal of a die about 2 * half_size mm wide, centred: a ring, a ring with bars, or a plate with windows.

    A `band` (mm) makes rings of that width.
    """
    make = shape or SHAPES[rng.integers(len(SHAPES))]
    cut = affinity.scale(make(rng), half_size, half_size, origin=(0, 0))
    outer, inner = rng.uniform(1.2, 2.2), rng.uniform(1.5, 2.8)
    if band is not None:
        outer, inner = band * outer / (outer + inner), band * inner / (outer + inner)
    body = cut.buffer(outer, FINE)
    kind = rng.choice(["ring", "ring", "ring", "bars", "plate"])
    opening = cut.buffer(-inner, FINE)
    body = body.difference(_windows(rng, cut, half_size) if kind == "plate" else opening)
    if kind == "bars":
        body = unary_union([body, _bars(rng, half_size).intersection(opening.buffer(0.1))])
    return _plain(body)


def _windows(rng: Random, cut: Polygon, half_size: float) -> Polygon:
    room = cut.buffer(-3.5)
    found = []
    for _ in range(6):
        spot = Point(rng.uniform(-half_size, half_size), rng.uniform(-half_size, half_size)).buffer(
            rng.uniform(1.2, 4), FINE
        )
        if room.contains(spot) and all(spot.distance(o) > 2.5 for o in found):
            found.append(spot)
    return unary_union(found) if found else Polygon()


def _bars(rng: Random, half_size: float) -> Polygon:
    angles = rng.uniform(0, math.pi) + np.arange(int(rng.integers(1, 3))) * math.pi / 2
    reach = 3 * half_size
    lines = [
        LineString([(-reach * math.cos(a), -reach * math.sin(a)), (reach * math.cos(a), reach * math.sin(a))])
        for a in angles
    ]
    return unary_union([line.buffer(rng.uniform(1.3, 2.0)) for line in lines])


def _plain(body: Polygon) -> Polygon:
    """One part only, without slits, slivers or openings that nobody could make (corners may be sharp)."""
    if body.geom_type != "Polygon":
        body = max(body.geoms, key=lambda g: g.area)
    holes = [_roomy(Polygon(h)) for h in body.interiors]
    outer = Polygon(body.exterior).buffer(0.4, FINE).buffer(-0.4, FINE)
    return Polygon(outer.exterior, [h.exterior for h in holes if h.geom_type == "Polygon" and h.area > 3.0])


def _roomy(hole: Polygon) -> Polygon:
    """Take the narrow ends off an opening: no tool makes a slit narrower than 0.8 mm."""
    return hole if hole.buffer(-0.7).buffer(0.75).contains(hole) else hole.buffer(-0.4, FINE).buffer(0.4, FINE)


def scatter(
    rng: Random,
    count: int,
    width: float,
    height: float,
    gap: float,
    kept_free: Polygon | None = None,
    band: tuple[float, float] | None = None,
    half_sizes: tuple[float, float] = (9, 26),
) -> list[Polygon]:
    """Turned die bodies lying apart in a rectangle (mm): at least `gap` from each other, 4 mm from its sides."""
    taken: list[Polygon] = [kept_free] if kept_free is not None else []
    placed: list[Polygon] = []
    for _ in range(count * 40):
        if len(placed) == count:
            break
        body = affinity.rotate(
            die_body(rng, rng.uniform(*half_sizes), band=None if band is None else rng.uniform(*band)),
            rng.uniform(0, 360),
            origin=(0, 0),
        )
        body = affinity.translate(body, rng.uniform(0, width), rng.uniform(0, height))
        if box(4, 4, width - 4, height - 4).contains(body) and all(_apart(body, o, gap) for o in taken):
            placed.append(body)
            taken.append(body)
    return placed


def _apart(a: Polygon, b: Polygon, gap: float) -> bool:
    return Polygon(a.exterior).distance(Polygon(b.exterior)) >= gap
