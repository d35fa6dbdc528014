"""Outlines of all dies on a flatbed scan."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from layout.formats.pictures.border import Levels, Points, follow
from layout.formats.pictures.ground import Bits, Floats, ground_of
from layout.formats.pictures.parting import Mask, Sizes, edge_levels, metal_mask
from layout.formats.pictures.smooth import fair
from layout.formats.pictures.traced import Traced
from layout.geometry.outline import Outline, from_polygon

FINEST = 25.4 / 305  # mm: a finer scan is averaged down to about this pixel


def trace_scan(picture: Bits, dpi: float) -> Traced:
    """Find every die on a scan (BGR or grey, 8 bit); the origin is the picture's lower left corner, y up, mm."""
    mm = 25.4 / dpi
    shrink = max(1, int(FINEST / mm + 0.01))
    work = shrunk(picture, shrink)
    shapes = outlines_in(work, mm * shrink, Sizes())
    height = work.shape[0] * mm * shrink
    outlines = tuple(_upright(s, mm * shrink, height) for s in shapes)
    return Traced(outlines, mm, (), 0.15)


def shrunk(picture: Bits, by: int) -> Floats:
    """Return the picture as BGR levels, `by` x `by` pixels averaged into one."""
    if by > 1:
        size = (picture.shape[1] // by, picture.shape[0] // by)
        picture = cv2.resize(picture[: size[1] * by, : size[0] * by], size, interpolation=cv2.INTER_AREA)
    if picture.ndim == 2:
        picture = cv2.cvtColor(picture, cv2.COLOR_GRAY2BGR)
    return picture.astype(np.float32)


def outlines_in(work: Floats, mm: float, sizes: Sizes, usable: NDArray[np.bool_] | None = None) -> list[Polygon]:
    """Return the outlines (in pixels) of the things lying on the ground of a picture with square pixels of `mm`.

    Where a picture is not `usable` it is taken for bare ground.
    """
    ground = ground_of(work, mm)
    if usable is not None:
        work = np.where(usable[..., None], work, ground.level).astype(np.float32)
    soft = cv2.GaussianBlur(work, (0, 0), max(0.6, 0.07 / mm))
    mask, faint = metal_mask(work, ground, mm, sizes)
    levels = edge_levels(soft, mask, mm)
    seen = np.dstack([soft, faint.astype(np.float32)])
    return [shape for shape in (_outline(seen, rings, levels, mm) for rings in _rings(mask)) if shape is not None]


def _rings(mask: Mask) -> list[list[Points]]:
    contours, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    things: dict[int, list[Points]] = {}
    for k, contour in enumerate(contours):
        parent = int(tree[0][k][3])
        points = contour[:, 0, :].astype(np.float64)
        if len(points) >= 12:
            things.setdefault(k if parent < 0 else parent, []).append(_wound(points, parent < 0))
    return list(things.values())


def _wound(points: Points, outer: bool) -> Points:
    x, y = points.T
    positive = float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y)) > 0
    return points if positive == outer else points[::-1]


def _outline(picture: Floats, rings: list[Points], levels: Levels, mm: float) -> Polygon | None:
    found = []
    for ring in rings:
        border = follow(picture, ring, levels, 2.0 / mm, 1.6 / mm)
        found.append(fair(border.points, border.clear, max(2, round(0.25 / mm)), 0.05 / mm))
    shape = Polygon(found[0], found[1:])
    if not shape.is_valid:
        shape = shape.buffer(0)
    if shape.geom_type != "Polygon":
        shape = max(shape.geoms, key=lambda g: g.area)
    shape = shape.simplify(0.015 / mm)
    return shape if not shape.is_empty else None


def _upright(shape: Polygon, mm: float, height: float) -> Outline:
    def carry(ring: object) -> list[tuple[float, float]]:
        return [((x + 0.5) * mm, height - (y + 0.5) * mm) for x, y in np.asarray(ring)[:-1]]

    return from_polygon(Polygon(carry(shape.exterior.coords), [carry(r.coords) for r in shape.interiors]))
