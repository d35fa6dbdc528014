"""Where on a picture things lie: a coarse look, so that the fine one is spent on them alone."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layout.formats.pictures.ground import Bits, Ground, strongest

COARSE = 0.35  # mm a pixel of the coarse look
MARGIN = 3.5  # mm of ground about a thing
LEAST = 5.0  # mm: what is smaller altogether is dust


@dataclass(frozen=True, slots=True)
class Place:
    """A window of the picture with one thing (or several close together), and the pixels of it that are theirs."""

    top: int
    left: int
    own: NDArray[np.bool_]


def places(picture: Bits, ground: Ground, mm: float, usable: NDArray[np.bool_] | None) -> list[Place]:
    """Return the places of a picture where anything larger than dust differs from the ground."""
    shrink = max(1, round(COARSE / mm))
    size = (max(4, ground.columns // shrink), max(4, ground.rows // shrink))
    small = cv2.resize(picture, size, interpolation=cv2.INTER_AREA).astype(np.float32)
    level = cv2.resize(ground.cells, size, interpolation=cv2.INTER_LINEAR)
    unlike = (strongest(np.abs(small - level)) > max(2.5, 4.0 * ground.noise)).astype(np.uint8)
    if usable is not None:
        unlike = np.asarray(unlike * cv2.resize(usable.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST))
    step = mm * ground.columns / size[0]
    unlike = _larger_than_dust(unlike, step)
    reach = max(1, round(MARGIN / step))
    wide = cv2.dilate(unlike, np.ones((2 * reach + 1, 2 * reach + 1), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(wide, connectivity=4)
    return [_place(labels, stats[k], k, ground) for k in range(1, count)]


def _larger_than_dust(unlike: Bits, step: float) -> Bits:
    joined = cv2.morphologyEx(unlike, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(joined, connectivity=8)
    kept = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]) * step > LEAST
    kept &= stats[:, cv2.CC_STAT_AREA] * step * step > LEAST
    kept[0] = False
    return np.asarray(kept[labels], np.uint8)


def _place(labels: Bits, stats: Bits, number: int, ground: Ground) -> Place:
    x, y, w, h = (int(v) for v in stats[:4])
    across, down = ground.columns / labels.shape[1], ground.rows / labels.shape[0]
    left, top = int(x * across), int(y * down)
    wide, tall = min(ground.columns, int((x + w) * across)) - left, min(ground.rows, int((y + h) * down)) - top
    own = (labels[y : y + h, x : x + w] == number).astype(np.uint8)
    return Place(top, left, cv2.resize(own, (wide, tall), interpolation=cv2.INTER_NEAREST) > 0)
