"""Outlines grown, shrunk and framed evenly: the metal about a cut line, the border of a frame."""

from __future__ import annotations

import math

from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from layout.geometry.curve import CHORD_ERROR, chords_of_circle
from layout.geometry.outline import Outline, OutlineError, from_polygon

NARROWEST_OPENING = 2.0
_THINNING = 0.01


def frame(outline: Outline, border: float) -> Outline:
    """Return the outline with a window that leaves an even border (mm); raises OutlineError where none is left."""
    window = offset(outline.solid.polygon, -border)
    if border <= 0 or window.is_empty:
        raise OutlineError(f"a border of {border:g} mm leaves no window; choose a narrower one")
    return from_polygon(_one_piece(outline.solid.polygon.difference(window)))


def metal_about(cut: Outline, outside: float = 2.0, inside: float = 2.0) -> Outline:
    """Return the metal of a thin die about its cut lines: `outside` mm beyond the piece, `inside` mm within it.

    How such dies are built is common practice: a narrow band of metal carries the blade, open in the middle
    wherever that leaves the metal in one piece and the opening is wide enough to be worth etching.
    """
    grown = offset(cut.polygon, outside)
    metal = _closed_up(_one_piece(grown))
    for opening in parts(offset(cut.polygon, -inside)):
        if not opening.interiors and not opening.buffer(-NARROWEST_OPENING / 2).is_empty:
            metal = metal.difference(opening)
    return from_polygon(_one_piece(metal.simplify(_THINNING)))


def offset(shape: BaseGeometry, distance: float, chord_error: float = CHORD_ERROR) -> BaseGeometry:
    """Move a border outward (or inward, below 0) by a distance in mm; corners become arcs of that radius."""
    if distance == 0:
        return shape
    step = chords_of_circle(abs(distance), chord_error)
    return shape.buffer(distance, quad_segs=max(2, math.ceil(math.pi / 2 / step)))


def parts(shape: BaseGeometry) -> list[Polygon]:
    """Return the polygons a shape is made of."""
    if isinstance(shape, Polygon):
        return [] if shape.is_empty else [shape]
    return [g for g in getattr(shape, "geoms", ()) if isinstance(g, Polygon) and not g.is_empty]


def _closed_up(shape: Polygon) -> Polygon:
    """Fill the openings that are too narrow to be worth etching."""
    wide = [r for r in shape.interiors if not Polygon(r).buffer(-NARROWEST_OPENING / 2).is_empty]
    return Polygon(shape.exterior, wide)


def _one_piece(shape: Polygon | MultiPolygon) -> Polygon:
    pieces = parts(shape)
    if len(pieces) != 1:
        raise OutlineError("the outline falls apart into several pieces at this width; choose another one")
    return pieces[0]
