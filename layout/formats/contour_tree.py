"""Which contour lies in which: doubles dropped, outlines with their windows made, roles proposed."""

from __future__ import annotations

import math
from typing import Literal

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.formats.contours import Contours, sound_outline
from layout.geometry.outline import Outline, OutlineError, Ring

Role = Literal["body", "cut", "window"]
WIDEST_RIM = 6.0
"""A contour that runs evenly outside another, no farther off (mm), is taken for a die's metal edge."""
MOST_CONTOURS = 20_000
MOST_MEETINGS = 20_000_000
_MOST_ALIKE = 20


def without_doubles(found: Contours) -> list[Ring]:
    """Drop contours drawn twice in the same place, such as a border and the hatch that fills it."""
    fine = 1e-6 * _extent(found.rings)
    alike: dict[tuple[tuple[int, int], ...], Ring] = {}
    for ring in found.rings:
        alike.setdefault(tuple(sorted((round(x / fine), round(y / fine)) for x, y in ring)), ring)
    rings = _unlike(list(alike.values()), 500 * fine)
    if len(rings) < len(found.rings):
        found.findings.append(f"{len(found.rings) - len(rings)} of the contours were drawn twice; each was taken once")
    if len(rings) > MOST_CONTOURS:
        raise OutlineError(f"it has more than {MOST_CONTOURS:,} contours; export the shapes alone")
    return rings


def _extent(rings: list[Ring]) -> float:
    values = [v for r in rings for p in r for v in p]
    return max(max(values) - min(values), 1e-9) if values else 1.0


def _unlike(rings: list[Ring], near: float) -> list[Ring]:
    """Keep one of those whose corners differ but whose borders do not: curves cut into chords elsewhere."""
    cells: dict[tuple[int, int], list[Ring]] = {}
    kept: list[Ring] = []
    for ring in rings:
        x, y = (round(min(p[k] for p in ring) / near) for k in (0, 1))
        around = [r for dx in (-1, 0, 1) for dy in (-1, 0, 1) for r in cells.get((x + dx, y + dy), ())]
        if not any(_same_border(ring, r) for r in around[:_MOST_ALIKE]):
            cells.setdefault((x, y), []).append(ring)
            kept.append(ring)
    return kept


def _same_border(a: Ring, b: Ring) -> bool:
    p, q = shapely.LinearRing(a), shapely.LinearRing(b)
    x0, y0, x1, y1 = p.bounds
    near = min(x1 - x0, y1 - y0) / 2000  # twice what chords may be off
    close = all(abs(u - v) <= near for u, v in zip(p.bounds, q.bounds, strict=True))
    return close and bool(shapely.hausdorff_distance(p, q) <= near)


def nest(rings: list[Ring], found: Contours) -> tuple[list[int | None], list[tuple[int, list[int]]]]:
    """Return for each ring the one directly about it, and the rings of even depth with those directly in them."""
    if not rings:
        return [], []
    solids = [shapely.make_valid(Polygon(r)) for r in rings]
    depth = [0] * len(rings)
    inside: list[int | None] = [None] * len(rings)
    tree = shapely.STRtree(solids)
    _refuse_tangle(solids, tree)
    for a, b in tree.query(solids, predicate="within").T.tolist():  # a lies in b
        if a == b:
            continue
        depth[a] += 1
        at = inside[a]
        if at is None or solids[b].area < solids[at].area:
            inside[a] = b
    crossing = {(min(a, b), max(a, b)) for a, b in tree.query(solids, predicate="overlaps").T.tolist()}
    if crossing:
        said = f"{len(crossing)} pairs of contours cross each other"
        found.findings.append(f"{said}; each was taken as a shape of its own")
    return inside, _nested(inside, depth)


def _refuse_tangle(solids: list[BaseGeometry], tree: shapely.STRtree) -> None:
    """Refuse what would take minutes to sort out: the corners met when each is held against those it overlaps."""
    corners = shapely.get_num_coordinates(solids)
    met = 0
    for start in range(0, len(solids), 100):
        a, b = tree.query(solids[start : start + 100])
        met += int((corners[a + start] + corners[b]).sum())
        if met > MOST_MEETINGS:
            raise OutlineError("too many of its contours lie over one another; export the shapes alone")


def _nested(inside: list[int | None], depth: list[int]) -> list[tuple[int, list[int]]]:
    """Return the contours of even depth, each with those directly in it."""
    held: dict[int, list[int]] = {k: [] for k, d in enumerate(depth) if d % 2 == 0}
    for k, at in enumerate(inside):
        if at is not None and depth[k] % 2:
            held[at].append(k)
    return list(held.items())


def apart(rings: list[Ring], nested: list[tuple[int, list[int]]], found: Contours) -> list[tuple[int, list[int]]]:
    """Make a contour that shares a side with the one about it a shape of its own: no window could be there."""
    made = []
    for outer, holes in nested:
        windows = [h for h in holes if not Polygon(rings[outer]).is_valid or Polygon(rings[outer], [rings[h]]).is_valid]
        made += [(outer, windows), *((h, []) for h in holes if h not in windows)]
    if len(made) > len(nested):
        said = f"{len(made) - len(nested)} contours share a side with the one they lie in"
        found.findings.append(f"{said}; each was taken as a shape of its own")
    return made


def outlines_of(rings: list[Ring], nested: list[tuple[int, list[int]]], found: Contours) -> list[Outline]:
    made = []
    for outer, holes in nested:
        try:
            outline, mended = sound_outline(rings[outer], [rings[h] for h in holes])
        except OutlineError as error:
            x, y = rings[outer][0]
            found.findings.append(f"the contour at ({x:.2f}, {y:.2f}) was left out: {error}")
            continue
        made.append(outline)
        if mended:
            x, y = rings[outer][0]
            found.findings.append(f"the contour at ({x:.2f}, {y:.2f}) touched itself; it was parted there")
    return made


def propose_roles(rings: list[Ring], inside: list[int | None]) -> list[Role]:
    """Propose: an outermost contour close about a single other one is metal, that one the cut; else it is the cut."""
    children: dict[int, list[int]] = {}
    for k, at in enumerate(inside):
        if at is not None:
            children.setdefault(at, []).append(k)
    roles: list[Role] = ["window"] * len(rings)
    for k, at in enumerate(inside):
        if at is not None:
            continue
        held = children.get(k, [])
        if len(held) == 1 and _runs_along(rings[k], rings[held[0]]):
            roles[k], roles[held[0]] = "body", "cut"
        else:
            roles[k] = "cut"
    return roles


def _runs_along(outer: Ring, inner: Ring) -> bool:
    gap = shapely.hausdorff_distance(shapely.LinearRing(outer), shapely.LinearRing(inner))
    return bool(gap <= WIDEST_RIM * math.sqrt(2))  # a square corner is that much farther off than the sides
