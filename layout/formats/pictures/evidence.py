"""What each small cell of a picture says about metal or ground, and what a border through it would cost."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layout.formats.pictures.ground import Bits, Floats, Ground, strongest, summed
from layout.formats.pictures.sharpness import Levels, sharpness_map

CELL = 2  # pixels a cell
TALL = 320  # rows that are looked at together: bounds the memory
MARGIN = 16  # rows beyond them that smoothing may reach
WORKERS = 2
LEAST_PRICE = 0.03  # of a border on the clearest edge, beside 1 for one without
BRIGHT, TINTED, DIM, DARK, BARE = 1.0, 0.8, 0.15, 0.8, 0.3  # how strongly each speaks, a mm^2 beside a mm of border
DIM_DEPTH, DEEPER = 0.25, 1.2  # a shadow seldom takes more than this share of the light; how fast doubt ends beyond


@dataclass(frozen=True, slots=True)
class Evidence:
    """A cell's price of a border and its gain (positive: metal, negative: bare ground)."""

    price: Floats
    gain: Floats


def evidence(picture: Bits, ground: Ground, levels: Levels, softness: float) -> Evidence:
    """Weigh a picture cell by cell, in bands of rows on all workers."""
    rows, columns = (n // CELL for n in picture.shape[:2])
    price, gain = (np.empty((rows, columns), np.float32) for _ in range(2))

    def weigh(top: int) -> None:
        low, high = max(0, top - MARGIN), min(rows * CELL, top + TALL + MARGIN)
        band = picture[low:high, : columns * CELL].astype(np.float32)
        level = ground.level(low, 0, len(band), columns * CELL)
        part = slice((top - low) // CELL, (top - low) // CELL + min(TALL // CELL, rows - top // CELL))
        into = slice(top // CELL, top // CELL + part.stop - part.start)
        price[into] = _price(band, levels, softness)[part]
        gain[into] = _gain(band, level, ground.noise)[part]

    with ThreadPoolExecutor(WORKERS) as pool:
        list(pool.map(weigh, range(0, rows * CELL, TALL)))
    return Evidence(price, gain)


def _price(band: Floats, levels: Levels, softness: float) -> Floats:
    sharp = sharpness_map(cv2.GaussianBlur(band, (0, 0), softness))
    edge = np.clip((sharp - levels[0]) / (levels[1] - levels[0]), 0, 1)
    rows, columns = edge.shape
    clearest = edge.reshape(rows // CELL, CELL, columns // CELL, CELL).max((1, 3))
    return np.asarray(np.maximum(LEAST_PRICE, 1 - clearest), np.float32)


def _cells(band: Floats) -> Floats:
    size = (band.shape[1] // CELL, band.shape[0] // CELL)
    return np.asarray(cv2.resize(band, size, interpolation=cv2.INTER_AREA), np.float32)


def _gain(band: Floats, level: Floats, noise: float) -> Floats:
    off, lit = _cells(cv2.GaussianBlur(band - level, (0, 0), 0.6 * CELL)), _cells(level)
    far = np.maximum(strongest(np.abs(off)) / noise, strongest(np.abs(_broad(off))) / (0.6 * noise))
    unlike = np.clip((far - 2.5) / 3, 0, 1)
    brighter = summed(off) / 3
    bright = np.clip((brighter / noise - 3) / 4, 0, 1)
    tinted = np.clip((tint(off, lit) / noise - 5) / 6, 0, 1)
    depth = -brighter / np.maximum(summed(lit) / 3, 1.0)
    dark = np.clip(DIM + (depth - DIM_DEPTH) * DEEPER, DIM, DARK)
    metal = np.maximum(np.maximum(BRIGHT * bright, TINTED * tinted), dark)
    return np.asarray(metal * unlike - BARE * (1 - unlike), np.float32)


def _broad(off: Floats) -> Floats:
    """Return medians over a few cells: they find what differs little but over more than a grain of the ground."""
    levels = np.clip(off + 128.5, 0, 255).astype(np.uint8)
    return np.asarray(cv2.medianBlur(levels, 5).astype(np.float32) - 128)


def tint(off: Floats, level: Floats) -> NDArray[np.float32]:
    """Return how far a pixel is from any shadow of the ground: a shadow dims all colours alike."""
    share = summed(off * level) / np.maximum(summed(level * level), 1.0)
    return np.asarray(np.sqrt(summed((off - share[..., None] * level) ** 2)), np.float32)
