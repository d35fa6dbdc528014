"""From dense border points to a ring: noise smoothed away along the border, corners kept."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layout.formats.pictures.border import Points, even

Weights = NDArray[np.float64]


def fair(points: Points, clear: Weights, reach: int, noise: float) -> Points:
    """Smooth a closed line by local parabolas over `reach` points to each side; where one does not fit, over fewer."""
    wide = _parabolas(points, clear, reach)
    narrow = _parabolas(points, clear, max(2, reach // 3))
    misfit = np.hypot(*(wide - narrow).T)
    misfit = np.maximum.reduce([np.roll(misfit, k) for k in range(-reach // 2, reach // 2 + 1)])
    trust = np.clip(2.0 - misfit / (1.2 * noise), 0, 1)[:, None]
    return np.asarray(trust * wide + (1 - trust) * narrow)


def _parabolas(points: Points, clear: Weights, reach: int) -> Points:
    """Return each point as the weighted parabola through its neighbours puts it."""
    steps = np.arange(-reach, reach + 1)
    taper = (1 - (np.abs(steps) / (reach + 1.0)) ** 3) ** 3
    around = (np.arange(len(points))[:, None] + steps) % len(points)
    weight = taper * (clear[around] + 0.02)
    terms = np.stack([np.ones_like(steps), steps / reach, (steps / reach) ** 2], axis=1).astype(np.float64)
    left = np.einsum("nk,ki,kj->nij", weight, terms, terms)
    right = np.einsum("nk,ki,nkd->nid", weight, terms, points[around])
    return np.asarray(np.linalg.solve(left, right)[:, 0, :])


__all__ = ["even", "fair"]
