"""Parts metal from ground by a small network taught on drawn pictures: whole where shine is as light as the ground.

The network (resources/tracing/metal.onnx, a U-Net after Ronneberger, Fischer and Brox, MICCAI 2015) is ours: taught by
tests/support/learn_metal.py on nothing but what tests/support/picture_maker.py draws.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from threading import Lock
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from layout.formats.pictures.ground import Bits, Floats, Ground
from layout.formats.pictures.parting import Sizes, disc, without_crumbs
from layout.model.errors import FileError

TAUGHT = Path(__file__).resolve().parents[3] / "resources" / "tracing" / "metal.onnx"
TILE, KEPT = 832, 704  # pixels looked at together, and those of their middle that are kept
PIXEL = 25.4 / 300  # mm: the network was shown pictures of about such pixels
NARROWEST, WIDEST = 0.07, 0.12  # mm: other pixels are brought to that size
HAZE = 0.75  # mm: how broad the network's doubt is along the border of what is no opening, at least
HAZE_REACH = 0.25  # mm beyond an opening where that doubt counts
FEW = 40  # 4 x 4 pixel cells unlike the ground: a tile with fewer is bare
_one_at_a_time = Lock()


@dataclass(frozen=True, slots=True)
class Parted:
    """Metal (255) and bare ground (0) a pixel, and how sure it is that a pixel is metal (0 to 1)."""

    metal: Bits
    sure: Floats


def parted(picture: Bits, ground: Ground, mm: float, sizes: Sizes, usable: NDArray[np.bool_] | None) -> Parted:
    """Part a picture (BGR, pixels of `mm`) into metal and ground; what is not `usable` is ground."""
    sure = metalness(picture, ground, mm)
    if usable is not None:
        sure[~usable] = 0
    metal = _without_haze((sure > 0.5).astype(np.uint8), sure, mm)
    return Parted(without_crumbs(metal * np.uint8(255), mm, sizes), sure)


def _without_haze(metal: Bits, sure: Floats, mm: float) -> Bits:
    """Fill what looks like an opening but fades in: shine as light as the ground has no sharp border, openings do."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(1 - metal, connectivity=4)
    if count < 3:
        return metal
    numbers = labels.astype(np.float32)
    beside = cv2.dilate(numbers, np.ones((3, 3), np.uint8)).astype(np.int32)
    near = cv2.dilate(numbers, disc(HAZE_REACH / mm)).astype(np.int32)
    border = np.bincount(beside[(beside > 0) & (metal > 0)], minlength=count)
    vague = np.bincount(near[np.abs(sure - 0.5) < 0.4], minlength=count)
    hazy = (vague * mm > HAZE * np.maximum(border, 1)).astype(np.uint8)
    hazy[[0, 1 + int(stats[1:, cv2.CC_STAT_AREA].argmax())]] = 0
    return np.asarray(metal | hazy[labels], np.uint8)


def metalness(picture: Bits, ground: Ground, mm: float) -> Floats:
    """Return for every pixel how sure the network is that it shows metal, 0 to 1; raises FileError without its file."""
    rows, columns = picture.shape[:2]
    share = 1.0 if NARROWEST <= mm <= WIDEST else mm / PIXEL
    how = cv2.INTER_AREA if share < 1.0 else cv2.INTER_CUBIC
    seen = picture if share == 1.0 else cv2.resize(picture, None, fx=share, fy=share, interpolation=how)
    tall, wide = seen.shape[:2]
    scaled = Ground(ground.cells, ground.bare, tall, wide, ground.noise, ground.spread)
    found = np.zeros((tall, wide), np.float32)
    with _one_at_a_time:
        for top in range(0, tall, KEPT):
            for left in range(0, wide, KEPT):
                part = found[top : top + KEPT, left : left + KEPT]
                part[:] = _tile(seen, scaled, top, left)[: part.shape[0], : part.shape[1]]
    return found if share == 1.0 else np.asarray(cv2.resize(found, (columns, rows)), np.float32)


def _tile(picture: Bits, ground: Ground, top: int, left: int) -> Floats:
    margin = (TILE - KEPT) // 2
    top, left = top - margin, left - margin
    level = np.clip(ground.level(top, left, TILE, TILE), 0, 255)
    shown = picture[max(0, top) : top + TILE, max(0, left) : left + TILE].astype(np.float32)
    off = np.zeros_like(level)
    inner = off[max(0, -top) :, max(0, -left) :][: shown.shape[0], : shown.shape[1]]
    inner[:] = shown - level[max(0, -top) :, max(0, -left) :][: shown.shape[0], : shown.shape[1]]
    if _is_bare(off, ground.noise):
        return np.zeros((KEPT, KEPT), np.float32)
    lit = level.mean(axis=2)
    told = np.dstack([off / 64, lit / 255, off.mean(axis=2) / (lit + 10)]).astype(np.float32)
    net = _network()
    net.setInput(_folded(told))
    answer = _unfolded(net.forward())[margin : margin + KEPT, margin : margin + KEPT]
    return np.asarray(1 / (1 + np.exp(-np.clip(answer, -30, 30))), np.float32)


def _is_bare(off: Floats, noise: float) -> bool:
    cells = cv2.resize(np.abs(off).max(axis=2), None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    return int((cells > max(2.5, 4.0 * noise)).sum()) < FEW


def _folded(told: Floats) -> Floats:
    """Lay the four pixels of each 2 x 2 square behind each other: the network works on half the size."""
    rows, columns, kinds = told.shape
    squares = told.reshape(rows // 2, 2, columns // 2, 2, kinds).transpose(4, 1, 3, 0, 2)
    return np.ascontiguousarray(squares.reshape(1, 4 * kinds, rows // 2, columns // 2))


def _unfolded(answer: Floats) -> Floats:
    rows, columns = answer.shape[2:]
    return np.asarray(answer[0].reshape(2, 2, rows, columns).transpose(2, 0, 3, 1).reshape(2 * rows, 2 * columns))


@lru_cache(maxsize=1)
def _network() -> Any:
    if not TAUGHT.is_file():
        raise FileError(f"{TAUGHT}: this file of the program is missing: install the program anew")
    return cv2.dnn.readNetFromONNX(str(TAUGHT))
