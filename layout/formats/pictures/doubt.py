"""How far off a border may be: what of it was unseen, where two finders differ, how broad the learned look's doubt is.

The figures were fitted to drawn scans of known truth: 19 of 20 pictures should keep what is stated for them.
"""

from __future__ import annotations

import cv2
import numpy as np

from layout.formats.pictures.border import SPACING, even, normals, strip
from layout.formats.pictures.choosing import Seen, rings
from layout.formats.pictures.ground import Bits, Floats

BESIDE = 1.2  # mm outside a border where doubt about metal still counts
HAZY = 0.1  # surer than this that a pixel is metal, and less sure than 1 minus it, is doubt
BORDERS = 0.3  # mm: half as broad is the doubt that lies along any border
ALIKE = 0.05  # mm: two borders nearer than this are the same
ACROSS = 1.0  # mm to either side of a border in which the learned look's passage from metal to ground is measured
PASSAGE = 0.25  # mm: as long is that passage where it is sharp
PER_PASSAGE, PER_HAZE, PER_APART, PER_UNSEEN = 1.0, 2.0, 0.15, 1.0
MOST = 8.0  # mm


def doubt(seen: Seen, sure: Floats, mm: float) -> float:
    """Return what to add (mm) to a border's error; `sure` is how sure metal is at each pixel of `mm`, 0 to 1."""
    passage = max(0.0, longest_passage(seen, sure, mm) - PASSAGE)
    haze = max(0.0, broadest_haze(seen, sure, mm) - BORDERS)
    apart = seen.apart if seen.apart > ALIKE else 0.0
    told = PER_PASSAGE * passage + PER_HAZE * haze
    return min(MOST, told + PER_APART * apart + PER_UNSEEN * seen.unseen)


def longest_passage(seen: Seen, sure: Floats, mm: float) -> float:
    """Return how long (mm) the way from surely metal to surely ground is along a border (98th percentile)."""
    reach = round(ACROSS / mm)
    offsets = np.arange(-reach, reach + 1, dtype=np.float64)
    told = [strip(sure, p, normals(p), offsets) for p in (even(r, SPACING) for r in rings(seen.shape))]
    return float(np.percentile(np.concatenate([(4 * t * (1 - t)).sum(axis=1) for t in told]), 98)) * mm


def broadest_haze(seen: Seen, sure: Floats, mm: float) -> float:
    """Return the greatest radius (mm) of what is neither surely metal nor surely ground, in a thing or beside it."""
    reach = (BESIDE + 0.3) / mm
    x0, y0, x1, y1 = seen.shape.bounds
    left, top = max(0, int(x0 - reach)), max(0, int(y0 - reach))
    window = sure[top : int(y1 + reach) + 1, left : int(x1 + reach) + 1]
    hazy = ((window > HAZY) & (window < 1 - HAZY)).astype(np.uint8) & _about(seen, window.shape, left, top, mm)
    return float(cv2.distanceTransform(np.pad(hazy, 1), cv2.DIST_L2, 5).max()) * mm


def _about(seen: Seen, size: tuple[int, ...], left: int, top: int, mm: float) -> Bits:
    """Mark (1) a thing with its openings, and what lies close beside it."""
    grown = seen.shape.buffer(BESIDE / mm)
    whole = max(getattr(grown, "geoms", [grown]), key=lambda g: g.area)
    corners = np.round(np.asarray(whole.exterior.coords)[:, :2] - [left, top]).astype(np.int32)
    about = np.zeros(size, np.uint8)
    cv2.fillPoly(about, [corners], 1)
    return about
