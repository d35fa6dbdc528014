"""How much of a slope is a step: a metal's border scores all of its height, a soft shadow nothing."""

from __future__ import annotations

import cv2
import numpy as np

from layout.formats.pictures.ground import Floats, summed

Levels = tuple[float, float]  # sharpness common on bare ground, and hardly ever found there
SOFT = 1.4  # a soft shadow is no steeper over a pixel than this many times its mean over ten


def sharpness_map(picture: Floats) -> Floats:
    """Return how steep each pixel is beyond what a soft shadow could be: levels a pixel."""
    fine, wide = (_steepness(picture, reach) for reach in (1, 5))
    return np.asarray(np.maximum(fine - SOFT * wide, 0), np.float32)


def _steepness(picture: Floats, reach: int) -> Floats:
    kernel = np.zeros(2 * reach + 1, np.float32)
    kernel[0], kernel[-1] = -0.5 / reach, 0.5 / reach
    one = np.ones(1, np.float32)
    down, across = (cv2.sepFilter2D(picture, -1, *pair) for pair in ((one, kernel), (kernel, one)))
    return np.asarray(np.sqrt(summed(down * down) + summed(across * across)))
