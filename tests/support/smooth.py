"""Measures how far an outline's chords lie from the true curve they stand for."""

from __future__ import annotations

import numpy as np
import shapely

from layout.geometry.outline import Ring


def farthest_from(ring: Ring, true_points: np.ndarray) -> float:
    """Return the greatest distance (mm) of densely sampled points of the true curve from the ring's chords."""
    border = shapely.LinearRing(ring)
    return float(shapely.distance(shapely.points(true_points), border).max())
