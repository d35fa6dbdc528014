"""Outlines of all dies on a flatbed scan."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import Polygon

from layout.formats.pictures.border import Border, Points, edge_levels, follow
from layout.formats.pictures.choosing import Seen, chosen
from layout.formats.pictures.doubt import doubt
from layout.formats.pictures.ground import Bits, Floats, Ground, ground_of
from layout.formats.pictures.learned import Parted, parted
from layout.formats.pictures.parting import Mask, Sizes, metal_mask
from layout.formats.pictures.places import Place, places
from layout.formats.pictures.settled import FAITH, settle
from layout.formats.pictures.sharpness import Levels
from layout.formats.pictures.smooth import fair
from layout.formats.pictures.touching import touching
from layout.formats.pictures.traced import Traced
from layout.geometry.outline import Outline, from_polygon

RIM = 2.0  # pixels
ROOM = 3.5  # mm of ground about a thing
INWARD, OUTWARD = 2.0, 1.6  # mm to either side of a parted border in which the true one is looked for
DOUBTFUL = 0.4  # mm of doubt about a border that a person is told of
WORKERS = 2
FINEST = 25.4 / 295  # mm: a finer scan is averaged down to about this pixel, as long as that is whole pixels


def trace_scan(picture: Bits, dpi: float) -> Traced:
    """Find every die on a scan (BGR or grey, 8 bit); the origin is the picture's lower left corner, y up, mm."""
    mm = 25.4 / dpi
    shrink = averaged(mm)
    work = shrunk(picture, shrink)
    found = outlines_in(work, mm * shrink, Sizes())
    height = picture.shape[0] * mm
    outlines = tuple(_upright(s, mm * shrink, height) for s in found.shapes)
    least = 0.08 + 0.8 * mm * shrink
    errors = tuple(round(least + d, 2) for d in found.doubts)
    said = found.remarks + touching(outlines, "scan again")
    return Traced(outlines, mm, said, round(least + found.doubt, 2), errors)


def averaged(mm: float) -> int:
    """Return how many pixels of `mm` become one, across and down: finer than `FINEST` costs time and tells no more."""
    return max(1, int(FINEST / mm))


def shrunk(picture: Bits, by: int) -> Bits:
    """Return the picture as BGR, 8 bit, `by` x `by` pixels averaged into one."""
    if by > 1:
        size = (picture.shape[1] // by, picture.shape[0] // by)
        picture = cv2.resize(picture[: size[1] * by, : size[0] * by], size, interpolation=cv2.INTER_AREA)
    return cv2.cvtColor(picture, cv2.COLOR_GRAY2BGR) if picture.ndim == 2 else picture


@dataclass(frozen=True, slots=True)
class Found:
    """Outlines in pixels, and what a person should know about them."""

    shapes: list[Polygon]
    remarks: tuple[str, ...]
    doubts: tuple[float, ...]  # mm that what could not be seen adds to each border's error

    @property
    def doubt(self) -> float:
        """The worst of the doubts, in mm."""
        return max(self.doubts, default=0.0)


def outlines_in(picture: Bits, mm: float, sizes: Sizes, usable: NDArray[np.bool_] | None = None) -> Found:
    """Return the outlines (in pixels) of the things lying on the ground of a picture with square pixels of `mm`.

    Where a picture is not `usable` it is taken for bare ground.
    """
    ground = ground_of(picture, mm, to_rim=usable is None)
    softness = max(0.6, 0.07 / mm)
    levels = edge_levels(picture, ground, softness)

    def look(place: Place) -> list[Seen]:
        return _outlines_at(picture, ground, place, levels, softness, mm, sizes, usable)

    with ThreadPoolExecutor(WORKERS) as pool:
        plain = [s for found in pool.map(look, places(picture, ground, mm, usable)) for s in found]
    parts = parted(picture, ground, mm, sizes, usable)
    seen = chosen(plain, _learned(picture, parts, ground, levels, softness, mm), parts.sure, mm)
    whole = [s for s in seen if not _runs_out(s.shape, picture.shape, usable)]
    doubts = tuple(doubt(s, parts.sure, mm) for s in whole)
    return Found([s.shape for s in whole], _remarks(len(seen) - len(whole), sum(d > DOUBTFUL for d in doubts)), doubts)


def _learned(picture: Bits, parts: Parted, ground: Ground, levels: Levels, softness: float, mm: float) -> list[Seen]:
    """Return the outlines of all things that the learned look tells apart."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(parts.metal, connectivity=4)

    def look(number: int) -> Seen | None:
        return _at(picture, parts, ground, np.asarray(labels), stats[number], number, levels, softness, mm)

    with ThreadPoolExecutor(WORKERS) as pool:
        found = list(pool.map(look, range(1, count)))
    return [f for f in found if f is not None]


def _at(
    picture: Bits, parts: Parted, ground: Ground, labels: Floats, stats: Floats, number: int, levels: Levels,
    softness: float, mm: float,
) -> Seen | None:  # fmt: skip
    x, y, w, h = (int(v) for v in stats[:4])
    reach = round(ROOM / mm)
    left, top = max(0, x - reach), max(0, y - reach)
    window = (slice(top, y + h + reach), slice(left, x + w + reach))
    work = picture[window].astype(np.float32)
    near, sure = labels[window], parts.sure[window]
    if ((near > 0) & (near != number)).any():
        own, others = ((near != number).astype(np.uint8), ((near == 0) | (near == number)).astype(np.uint8))
        nearer = cv2.distanceTransform(others, cv2.DIST_L2, 5) < cv2.distanceTransform(own, cv2.DIST_L2, 5)
        work = np.where(nearer[..., None], ground.level(top, left, *work.shape[:2]), work)
        sure = np.where(nearer, 0, sure)
    seen = np.dstack([cv2.GaussianBlur(work, (0, 0), softness), sure]).astype(np.float32)
    rings = _rings(((near == number) * 255).astype(np.uint8))
    found = _shaped([settle(seen, ring, levels, mm) for ring in rings[0]], mm, FAITH) if rings else None
    return _moved(found, left, top) if found is not None else None


def _moved(seen: Seen, left: int, top: int) -> Seen:
    return Seen(affinity.translate(seen.shape, left, top), seen.unseen)


def _outlines_at(
    picture: Bits, ground: Ground, place: Place, levels: Levels, softness: float, mm: float, sizes: Sizes,
    usable: NDArray[np.bool_] | None,
) -> list[Seen]:  # fmt: skip
    tall, wide = place.own.shape
    window = (slice(place.top, place.top + tall), slice(place.left, place.left + wide))
    level = ground.level(place.top, place.left, tall, wide)
    own = place.own if usable is None else place.own & usable[window]
    work = np.where(own[..., None], picture[window].astype(np.float32), level)
    mask, faint = metal_mask(work, level, ground.noise, ground.spread, mm, sizes)
    seen = np.dstack([cv2.GaussianBlur(work, (0, 0), softness), faint.astype(np.float32)])
    found = [_outline(seen, rings, levels, mm) for rings in _rings(mask)]
    return [_moved(f, place.left, place.top) for f in found if f is not None]


def _runs_out(shape: Polygon, size: tuple[int, ...], usable: NDArray[np.bool_] | None) -> bool:
    """Tell whether a thing reaches the rim of the picture, or of what of it can be used: it is not all there."""
    left, top, right, bottom = shape.bounds
    if min(left, top) < RIM or right > size[1] - 1 - RIM or bottom > size[0] - 1 - RIM:
        return True
    if usable is None:
        return False
    x, y = np.round(np.asarray(shape.buffer(RIM).exterior.coords).T).astype(int)
    inside = (x >= 0) & (y >= 0) & (x < size[1]) & (y < size[0])
    return not bool(inside.all() and usable[y[inside], x[inside]].mean() > 0.97)


def _remarks(cut_off: int, doubtful: int) -> tuple[str, ...]:
    said = []
    if cut_off:
        things = (
            "1 thing lies partly outside the picture and was"
            if cut_off == 1
            else f"{cut_off} things lie partly outside the picture and were"
        )
        said.append(f"{things} left out: move it all inward and take the picture again")
    if doubtful:
        dies = "1 die" if doubtful == 1 else f"{doubtful} dies"
        said.append(
            f"shine or shadow hides part of the border of {dies}: compare with the picture, or turn and scan again"
        )
    return tuple(said)


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


def _room(ring: Points) -> float:
    """Return how far into an opening to look (pixels): not as far as its other side."""
    shape = Polygon(ring)
    return max(3.0, 1.1 * float(shape.area) / float(shape.length))


def _outline(picture: Floats, rings: list[Points], levels: Levels, mm: float) -> Seen | None:
    reaches = [OUTWARD / mm, *(min(OUTWARD / mm, _room(ring)) for ring in rings[1:])]
    return _shaped([follow(picture, r, levels, INWARD / mm, out) for r, out in zip(rings, reaches, strict=True)], mm)


def _shaped(borders: list[Border], mm: float, faith: float = 0.0) -> Seen | None:
    found = [fair(b.points, np.maximum(b.clear, faith), max(2, round(0.25 / mm)), 0.05 / mm) for b in borders]
    shape = Polygon(found[0], found[1:])
    if not shape.is_valid:
        shape = shape.buffer(0)
    if shape.geom_type != "Polygon":
        shape = max(shape.geoms, key=lambda g: g.area)
    shape = shape.simplify(0.015 / mm)
    unseen = float(np.concatenate([b.clear < 0.3 for b in borders]).mean())
    return Seen(shape, unseen) if not shape.is_empty else None


def _upright(shape: Polygon, mm: float, height: float) -> Outline:
    def carry(ring: object) -> list[tuple[float, float]]:
        return [((x + 0.5) * mm, height - (y + 0.5) * mm) for x, y in np.asarray(ring)[:-1]]

    return from_polygon(Polygon(carry(shape.exterior.coords), [carry(r.coords) for r in shape.interiors]))
