"""How far off a border may be where it lies on a ground that its own shadow darkens as much as metal is dark."""

from __future__ import annotations

import cv2
import numpy as np
from shapely.geometry import Polygon

from layout.formats.pictures.ground import Bits, Ground, summed

SEEN = 0.004  # share of a border that may go unseen without a doubt
ALIKE = 0.05  # mm: two borders nearer than this are the same
INSIDE = 0.4  # mm inside a border, where its metal is looked at


def doubt(picture: Bits, ground: Ground, shape: Polygon, unseen: float, mm: float) -> float:
    """Return what to add (mm) to a border's error for what of it was unseen, and for metal no brighter than shadow."""
    return combined(unseen, dark_share(picture, ground, shape, mm))


def combined(unseen: float, dark: float) -> float:
    """Return the doubt (mm) for a share of border unseen and a share of it on metal darker than the ground.

    The figures were fitted to drawn scans of known truth: 19 of 20 errors should lie below.
    """
    if unseen < SEEN:
        return 0.0
    if dark < 0.3:
        return min(1.0, 0.1 + 14.0 * unseen)
    return min(1.5, 0.25 if unseen < 2 * SEEN else 0.7 + 8.0 * unseen)


def twofold(apart: float) -> float:
    """Return what to add to a border's error (mm) where two ways of finding it lie `apart` (mm)."""
    return 0.0 if apart < ALIKE else min(1.5, 0.6 * apart)


def dark_share(picture: Bits, ground: Ground, shape: Polygon, mm: float) -> float:
    """Return the share of a border just inside which nothing is brighter than the bare ground (0 to 1)."""
    lines = shape.buffer(-INSIDE / mm).boundary
    if lines.is_empty:
        return 1.0
    parts = getattr(lines, "geoms", [lines])
    points = np.concatenate([[p.interpolate(d).coords[0] for d in np.arange(0, p.length, 6.0)] for p in parts])
    x, y = np.ascontiguousarray(points.T, np.float32)
    top, left = int(max(0, y.min() - 2)), int(max(0, x.min() - 2))
    tall, wide = int(y.max()) + 3 - top, int(x.max()) + 3 - left
    window = picture[top : top + tall, left : left + wide].astype(np.float32)
    off = summed(window - ground.level(top, left, *window.shape[:2])) / 3
    seen = cv2.remap(cv2.GaussianBlur(off, (0, 0), 1.5), x - left, y - top, cv2.INTER_LINEAR)
    return float((seen < 3.0 * ground.noise).mean())
