"""The parts of a sheet that is cut down by straight cuts from edge to edge."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import split

from layout.geometry.outline import from_polygon
from layout.geometry.value import replace
from layout.model.plan import CutDown, Line, StraightCut
from layout.model.project import Scrap

FAR = 1e5  # mm: a straight cut goes on beyond every sheet's edge


def cut_apart(sheet: BaseGeometry, cuts: Iterable[StraightCut]) -> list[BaseGeometry]:
    """Return a sheet's parts: left of a cut keeps the part's number, right of it becomes the next new one."""
    parts = [sheet]
    for cut in cuts:
        left, right = _halves(parts[cut.part], cut.line)
        parts[cut.part] = left
        parts.append(right)
    return parts


@lru_cache(maxsize=256)
def part_of(scrap: Scrap, entry: CutDown, part: int) -> Scrap:
    """Return a part of a sheet as a scrap of its own, in the sheet's frame, with the stains and images on it.

    The whole sheet where the part is not there.
    """
    parts = cut_apart(scrap.outline.polygon, entry.cuts)
    area = parts[part] if part < len(parts) else scrap.outline.polygon
    if area.geom_type != "Polygon" or area.is_empty:
        return scrap
    stains = (polygon for stain in scrap.spoiled for polygon in _polygons(stain.polygon.intersection(area)))
    images = tuple(i for i in scrap.images if i.outline is not None and i.outline.polygon.intersects(area))
    return replace(
        scrap, outline=from_polygon(area), spoiled=tuple(from_polygon(stain) for stain in stains), images=images
    )


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    return [p for p in getattr(shape, "geoms", [shape]) if p.geom_type == "Polygon" and not p.is_empty]


def _halves(part: BaseGeometry, line: Line) -> tuple[BaseGeometry, BaseGeometry]:
    if part.is_empty:  # an earlier cut missed the paper and left nothing on this side
        return part, part
    (ax, ay), (bx, by) = line
    reach = FAR / math.hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) * reach, (by - ay) * reach
    pieces = split(part, LineString([(ax - ux, ay - uy), (bx + ux, by + uy)])).geoms
    sides: tuple[list[BaseGeometry], list[BaseGeometry]] = ([], [])
    for piece in pieces:
        at = piece.representative_point()
        is_left = (bx - ax) * (at.y - ay) - (by - ay) * (at.x - ax) > 0
        sides[0 if is_left else 1].append(piece)
    return shapely.union_all(sides[0]), shapely.union_all(sides[1])
