"""What the picture would show with nothing lying on it: the ground, modelled cell by cell, and how it is lit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[Any]  # float32; OpenCV's own hints lose what an array holds
Bits = NDArray[Any]  # uint8
CELL = 0.8  # mm: averages most of a felt's texture away, and still fits into small openings
LEAST_GROUND = 0.05  # share of a picture that its ground shows at least
LOCAL = 9.0  # mm: reach of the local correction over the smooth surface


@dataclass(frozen=True, slots=True)
class Ground:
    """The bare ground in coarse cells (BGR levels), which cells show it, and how pixels spread about it.

    `noise` is the spread of lightly softened pixels, `spread` that of widely softened ones.
    """

    cells: Floats
    bare: NDArray[np.bool_]
    rows: int
    columns: int
    noise: float
    spread: float

    def level(self, top: int = 0, left: int = 0, tall: int | None = None, wide: int | None = None) -> Floats:
        """Return the ground's level at every pixel of a window (the whole picture where none is given)."""
        size = (self.columns if wide is None else wide, self.rows if tall is None else tall)
        return self._spread_out(self.cells, top, left, size, cv2.INTER_LINEAR)

    def shown(self, top: int, left: int, tall: int, wide: int) -> NDArray[np.bool_]:
        """Tell for every pixel of a window whether its cell and all near it show bare ground."""
        calm = cv2.erode(self.bare.astype(np.float32), np.ones((5, 5), np.uint8))
        return np.asarray(self._spread_out(calm, top, left, (wide, tall), cv2.INTER_NEAREST) > 0.5)

    def _spread_out(self, cells: Floats, top: int, left: int, size: tuple[int, int], how: int) -> Floats:
        across, down = cells.shape[1] / self.columns, cells.shape[0] / self.rows
        way = np.array([[across, 0, (left + 0.5) * across - 0.5], [0, down, (top + 0.5) * down - 0.5]])
        flags = how | cv2.WARP_INVERSE_MAP
        return np.asarray(cv2.warpAffine(cells, way, size, flags=flags, borderMode=cv2.BORDER_REPLICATE), np.float32)


def bands(rows: int, tall: int = 24, count: int = 50) -> list[int]:
    """Return the first rows of bands spread evenly over a picture: enough to learn its grain from."""
    return [int(r) for r in np.unique(np.linspace(0, max(0, rows - tall), count))]


def strongest(image: Floats) -> Floats:
    """Return the greatest of each pixel's three channels (plane by plane: ten times as fast as along the last axis)."""
    return np.asarray(np.maximum(np.maximum(image[..., 0], image[..., 1]), image[..., 2]))


def summed(image: Floats) -> Floats:
    """Return the sum of each pixel's three channels."""
    return np.asarray(image[..., 0] + image[..., 1] + image[..., 2])


def ground_of(picture: Bits, mm: float, *, to_rim: bool = False) -> Ground:
    """Model the ground under a picture (BGR levels, `mm` a pixel): a smooth surface plus local corrections.

    The ground is the largest region without a step in it; what agrees with the surface through it is ground too.
    With `to_rim` it is the largest that reaches the picture's rim, as a large sheet lying on the ground does not.
    """
    rows, columns = picture.shape[:2]
    cell = max(1, round(CELL / mm))
    cells = cv2.resize(picture, (max(4, columns // cell), max(4, rows // cell)), interpolation=cv2.INTER_AREA)
    level, bare = _surface(np.asarray(cells, np.float32), to_rim)
    ground = Ground(level, bare, rows, columns, 1.0, 1.0)
    noise, spread = (_spread(picture, ground, max(0.6, reach / mm)) for reach in (0.1, 0.35))
    return replace(ground, noise=noise, spread=spread)


def _surface(cells: Floats, to_rim: bool) -> tuple[Floats, NDArray[np.bool_]]:
    bare = _largest_calm(cells, to_rim)
    level = _polynomial(cells, bare)
    for _ in range(3):
        off = strongest(np.abs(cells - level))
        near = 3.5 * _deviation(off[bare]) + 2.0
        bare = off < near
        level = _polynomial(cells, bare)
        level = level + _blurred_where(cells - level, bare, LOCAL / CELL)
    return level, bare


def _largest_calm(cells: Floats, to_rim: bool) -> NDArray[np.bool_]:
    """Tell the largest region of cells that no step divides."""
    soft = cv2.GaussianBlur(cells, (0, 0), 0.8)
    step = np.zeros(cells.shape[:2], np.float32)
    for axis in (0, 1):
        step = np.maximum(step, strongest(np.abs(np.gradient(soft, axis=axis))))
    calm: Bits = (step < max(1.5, 2.5 * float(np.median(step)))).astype(np.uint8)
    calm = cv2.morphologyEx(calm, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(calm, connectivity=4)
    if count < 2:
        return np.ones(cells.shape[:2], bool)
    area = stats[1:, cv2.CC_STAT_AREA].astype(np.float64)
    if to_rim:
        x, y, w, h = stats[1:, :4].T
        rim = (x <= 1) | (y <= 1) | (x + w >= calm.shape[1] - 1) | (y + h >= calm.shape[0] - 1)
        area *= np.where(rim & (area > LEAST_GROUND * calm.size), 10.0, 1.0)
    return np.asarray(labels == 1 + int(area.argmax()))


def _polynomial(cells: Floats, bare: NDArray[np.bool_]) -> Floats:
    y, x = np.mgrid[-1 : 1 : cells.shape[0] * 1j, -1 : 1 : cells.shape[1] * 1j]
    terms = np.stack([x**i * y**j for i in range(3) for j in range(3 - i)], axis=-1)
    answer = np.linalg.lstsq(terms[bare], cells[bare].astype(np.float64), rcond=None)[0]
    return np.asarray(terms @ answer, np.float32)


def _blurred_where(values: Floats, where: NDArray[np.bool_], sigma: float) -> Floats:
    weight = where.astype(np.float32)
    known = cv2.GaussianBlur(weight, (0, 0), sigma)
    sums = cv2.GaussianBlur(values * weight[..., None], (0, 0), sigma)
    return np.asarray(sums / (known[..., None] + 0.02), np.float32)


def _deviation(off: NDArray[Any]) -> float:
    return 1.4826 * float(np.median(off)) if off.size else 1.0


def _spread(picture: Bits, ground: Ground, softness: float) -> float:
    seen = []
    for row in bands(ground.rows):
        band = picture[row : row + 24].astype(np.float32)
        off = strongest(np.abs(cv2.GaussianBlur(band, (0, 0), softness) - ground.level(row, 0, len(band))))
        seen.append(off[ground.shown(row, 0, len(band), ground.columns)][::5])
    return max(0.4, _deviation(np.concatenate(seen)))
