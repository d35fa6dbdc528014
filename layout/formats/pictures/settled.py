"""Where exactly the metal ends, near where the learned look says so: at a sharp step there, else on its own line."""

from __future__ import annotations

import numpy as np

from layout.formats.pictures.border import (
    ALONG,
    BEND,
    SPACING,
    Border,
    Points,
    blur_rows,
    boldness,
    edges,
    even,
    normals,
    peak,
    round_blur,
    sharpness,
    strip,
)
from layout.formats.pictures.ground import Floats
from layout.formats.pictures.sharpness import Levels
from layout.geometry.cheapest_path import cheapest_path

REACH = 0.34  # mm to either side of the learned line in which a step is looked for
STRAY = 3.0  # what a step at the end of that reach costs, beside 1 for a place without a step
BELIEF = 0.67  # how much the clearest step counts against the learned line
_MARGIN = 6  # pixels beyond the reach that sharpness needs
FAITH = 0.3  # clearness, at least, with which a point of such a line counts when that is smoothed


def settle(picture: Floats, rough: Points, levels: Levels, mm: float) -> Border:
    """Find the border near a rough one (pixels of `mm`); the picture's fourth channel is how sure metal is, 0 to 1.

    Shadow as dark as the metal has no step at its border, but the picture about it tells where that is; so a step
    counts only near the learned line, and the less the fainter it is.
    """
    reach = max(2, round(REACH / mm))
    base = round_blur(even(rough, SPACING), 1.5)
    away = normals(base)
    offsets = np.arange(-reach - _MARGIN, reach + _MARGIN + 1, dtype=np.float64)
    seen = strip(picture, base, away, offsets)
    own = _own(seen[..., 3][:, _MARGIN:-_MARGIN])
    colours = blur_rows(seen[..., :3], ALONG)
    sharp = sharpness(colours)
    step = edges(colours, sharp, levels)[1]
    costs = 1.0 - 0.7 * step - 0.3 * boldness(sharp, step, levels)
    costs += STRAY * ((offsets[None] - own[:, None]) / reach) ** 2
    fine, clear = peak(sharp, cheapest_path(costs, BEND), levels)
    trust = BELIEF * round_blur(clear[:, None], 1.0)[:, 0]
    shift = trust * (offsets[0] + fine) + (1.0 - trust) * own
    return Border(base + shift[:, None] * away, clear)


def _own(sure: Floats) -> Points:
    """Return where (pixels off the middle of the strip) the learned look has metal end, smoothed along the border."""
    reach = (sure.shape[1] - 1) / 2
    return round_blur((sure.sum(axis=1) - reach - 0.5)[:, None].astype(np.float64), 1.5)[:, 0]
