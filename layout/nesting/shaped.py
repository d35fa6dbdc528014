"""The outlines that a search works with: a die's metal, solids moved to their middles, turns worth trying; all kept."""

from __future__ import annotations

import itertools
import math
from functools import lru_cache

from shapely.geometry import Polygon

from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose
from layout.nesting.job import Box
from layout.nesting.solid import Solid, solid

PAD = 1.2
PLAY = 2.0
SHEET_CELLS = 400


@lru_cache(maxsize=512)
def square_turns(outline: Outline) -> tuple[float, ...]:
    """The turns, in degrees, at which a long side of a sheet lies along or across the rollers."""
    corners = list(outline.polygon.convex_hull.exterior.simplify(0.2).coords)
    sides = [
        (math.dist(a, b), math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))) for a, b in itertools.pairwise(corners)
    ]
    least = 0.25 * max(length for length, _ in sides)
    base = {round(-angle % 90.0, 2) for length, angle in sides if length >= least}
    return tuple(sorted(b + quarter for b in base for quarter in (0.0, 90.0, 180.0, 270.0)))


@lru_cache(maxsize=512)
def tight_pose(metal: Outline, bed: Box) -> Pose | None:
    """Where a die lies that fills the bed both ways but for `PLAY` mm: in its middle; None for smaller ones."""
    for turn in square_turns(metal):
        x0, y0, x1, y1 = Pose(turn=turn).outline(metal).bounds
        play_x, play_y = bed[2] - bed[0] - (x1 - x0), bed[3] - bed[1] - (y1 - y0)
        if -0.002 <= play_x <= PLAY and -0.002 <= play_y <= PLAY:
            return Pose((bed[0] + bed[2] - x0 - x1) / 2, (bed[1] + bed[3] - y0 - y1) / 2, turn)
    return None


@lru_cache(maxsize=512)
def die_solid(outline: Outline, mx: float, my: float, pad: float) -> Solid:
    """The solid of a die, a cut or a mark, moved so that (mx, my) is its origin; kept, for dies come again."""
    return solid(Pose(-mx, -my).outline(outline), pad)


@lru_cache(maxsize=512)
def sheet_solid(outline: Outline, mx: float, my: float) -> Solid:
    """The solid of a sheet, moved so that (mx, my) is its origin."""
    cells = 200 if len(outline.outer) <= 6 else SHEET_CELLS
    return solid(Pose(-mx, -my).outline(outline), PAD, spacing=3.0, cells=cells)


@lru_cache(maxsize=512)
def metal_of(body: Outline, cut: Outline, gap: float, web: float) -> Outline:
    """The one shape that keeps metal `gap` apart and cuts `web` apart: a body together with its (grown) cut.

    Two such shapes `gap` mm apart have bodies `gap` apart and cuts `web` apart, since a cut is grown by half of what
    the web asks beyond the gap. Openings stay open only where neither metal nor cut lies.
    """
    grown = cut.polygon.buffer(max(0.0, (web - gap) / 2), join_style="mitre", mitre_limit=2.0)
    joined = body.polygon.union(grown)
    parts = [g for g in getattr(joined, "geoms", [joined]) if isinstance(g, Polygon)]
    if len(parts) == 1:
        return from_polygon(parts[0])
    return from_polygon(joined.convex_hull)
