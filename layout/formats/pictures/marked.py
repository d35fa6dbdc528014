"""A photo whose reference was marked by hand: four corners of a card or sheet of known sides."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from layout.formats.pictures.ground import Bits
from layout.formats.pictures.parting import Sizes
from layout.formats.pictures.photo import AROUND, BORDER_ERROR, FINEST, Rectified
from layout.formats.pictures.scan import outlines_in, shrunk
from layout.formats.pictures.traced import Traced
from layout.geometry.outline import Point, from_polygon
from layout.model.errors import FileError

HAND = 2.0  # pixels that a corner marked by hand may be off
MOST_PIXELS = 10e6


def trace_marked(
    picture: NDArray[np.uint8], corners: Sequence[Point], sides: tuple[float, float], on_it: bool = False
) -> tuple[Traced, Rectified]:
    """Find every die beside (or, `on_it`, on) a rectangle whose four corners were marked, in pixels, round it.

    `sides` are its longer and shorter side in mm. Four points give the homography between table and picture; a bent
    lens is not told by them, and the doubt of the hand's marks is part of the uncertainty. Raises FileError where the
    corners make no rectangle seen by a camera.
    """
    photo = shrunk(picture, 1)
    marks = np.array(corners, np.float64)
    plane = _plane(marks, sides)
    to_pixels = cv2.getPerspectiveTransform(plane.astype(np.float32), marks.astype(np.float32))
    rectified = _seen(photo, marks, plane, to_pixels)
    inside = _mask(rectified, plane)
    found = outlines_in(rectified.picture, rectified.mm, Sizes(), rectified.shown & (inside == on_it))
    shapes = [_carried(s, rectified) for s in found.shapes]
    said = found.remarks if shapes else ("no die was found: lay them apart on a plain ground of another brightness",)
    doubt = _doubt(shapes, plane, marks, sides, rectified.mm) + found.doubt
    return Traced(tuple(from_polygon(s) for s in shapes), rectified.mm, said, round(doubt, 2)), rectified


def _plane(marks: NDArray[Any], sides: tuple[float, float]) -> NDArray[Any]:
    """Return the corners in mm (y up), the longer side where the marks lie farther apart."""
    if (
        not cv2.isContourConvex(np.round(marks * 16).astype(np.int32))
        or cv2.contourArea(marks.astype(np.float32)) < 400
    ):
        raise FileError("the four marks make no rectangle: drag each to a corner of the card, going round it")
    edges = np.hypot(*(np.roll(marks, -1, axis=0) - marks).T)
    wide, high = (max(sides), min(sides)) if edges[0] + edges[2] >= edges[1] + edges[3] else (min(sides), max(sides))
    # a picture's y runs down: marks that go round clockwise there must go round clockwise in the plane
    x, y = marks.T
    clockwise = float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y)) > 0
    return np.array(
        [(0, high), (wide, high), (wide, 0), (0, 0)] if clockwise else [(0, 0), (wide, 0), (wide, high), (0, high)],
        float,
    )


def _seen(photo: Bits, marks: NDArray[Any], plane: NDArray[Any], to_pixels: NDArray[Any]) -> Rectified:
    rows, columns = photo.shape[:2]
    rim = np.array([(x, y) for x in np.linspace(0, columns - 1, 9) for y in np.linspace(0, rows - 1, 9)])
    back = np.linalg.inv(to_pixels)
    far = np.column_stack([rim, np.ones(len(rim))]) @ back.T
    ahead = far[:, 2] * float(np.sign((np.append(marks.mean(axis=0), 1.0) @ back.T)[2])) > 1e-9
    there = far[ahead, :2] / far[ahead, 2:]
    middle = plane.mean(axis=0)
    low, high = np.maximum(there.min(axis=0), middle - AROUND), np.minimum(there.max(axis=0), middle + AROUND)
    longer = float(np.hypot(*(plane[1] - plane[0])) / np.hypot(*(marks[1] - marks[0])))
    mm = max(FINEST, longer, float(np.sqrt(np.prod(high - low) / MOST_PIXELS)))
    wide, tall = (int(v) + 1 for v in (high - low) / mm)
    to_plane = np.array([[mm, 0, low[0] + mm / 2], [0, -mm, high[1] - mm / 2], [0, 0, 1]])
    way = to_pixels @ to_plane
    flags = cv2.INTER_CUBIC | cv2.WARP_INVERSE_MAP
    seen = cv2.warpPerspective(photo, way, (wide, tall), flags=flags, borderMode=cv2.BORDER_REPLICATE)
    shown = cv2.warpPerspective(np.ones((rows, columns), np.uint8), way, (wide, tall), flags=cv2.WARP_INVERSE_MAP)
    return Rectified(np.asarray(seen), np.asarray(shown) > 0, float(low[0]), float(high[1]), mm)


def _mask(rectified: Rectified, plane: NDArray[Any]) -> NDArray[np.bool_]:
    pixels = np.column_stack([plane[:, 0] - rectified.left, rectified.top - plane[:, 1]]) / rectified.mm - 0.5
    area = np.zeros(rectified.shown.shape, np.uint8)
    cv2.fillPoly(area, [np.round(pixels).astype(np.int32)], 1)
    return area > 0


def _carried(shape: Polygon, rectified: Rectified) -> Polygon:
    def carry(ring: object) -> NDArray[np.float64]:
        return rectified.to_plane(np.asarray(ring)[:, :2])

    return Polygon(carry(shape.exterior.coords), [carry(r.coords) for r in shape.interiors])


def _doubt(
    shapes: list[Polygon], plane: NDArray[Any], marks: NDArray[Any], sides: tuple[float, float], mm: float
) -> float:
    """Return how far off a border may be: the hand's error grows with a thing's size against the rectangle's."""
    pixel = float(np.hypot(*(plane[1] - plane[0])) / np.hypot(*(marks[1] - marks[0])))
    reach = max((max(s.bounds[2] - s.bounds[0], s.bounds[3] - s.bounds[1]) for s in shapes), default=0.0)
    return float(np.hypot(HAND * pixel * max(1.0, reach / min(sides)), BORDER_ERROR + 1.5 * mm))
