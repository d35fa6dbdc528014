"""Where exactly the metal ends: the rough contour is unrolled into a strip, and the sharp edge followed along it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.validation import make_valid

from layout.formats.pictures.ground import Bits, Floats, Ground, bands, strongest, summed
from layout.formats.pictures.sharpness import SOFT, Levels
from layout.geometry.cheapest_path import cheapest_path

Points = NDArray[Any]  # float64
# weaker than this share within so many pixels of a stronger edge: a shadow's flank or a ringing, no edge
ECHOES = ((5, 0.33), (9, 0.1))
BEND = 0.8  # what a pixel aside costs a border's path, beside 1 for a place without an edge
ALONG = 1.5  # profiles: smoothing along the border
FLANK = 1.2  # and no steeper than this many times its mean over the five pixels to either side
SPACING = 2.0  # pixels between two profiles


Edges = tuple[NDArray[np.float64], NDArray[np.float64]]


@dataclass(frozen=True, slots=True)
class Border:
    """A closed border in pixels (metal to its left), and how clearly each point was seen (0 to 1)."""

    points: Points
    clear: NDArray[np.float64]


def even(points: Points, spacing: float) -> Points:
    """Return a closed line's points resampled to an even spacing."""
    closed = np.vstack([points, points[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    count = max(12, round(run[-1] / spacing))
    at = np.arange(count) * run[-1] / count
    return np.column_stack([np.interp(at, run, closed[:, k]) for k in (0, 1)])


def round_blur(values: NDArray[np.float64], sigma: float) -> NDArray[np.float64]:
    """Smooth along the first axis of a closed line, by a Gaussian of `sigma` samples."""
    reach = min(len(values) - 1, max(1, round(3 * sigma)))
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    padded = np.concatenate([values[-reach:], values, values[:reach]])
    mixed = [np.convolve(padded[:, k], weights / weights.sum(), "valid") for k in range(values.shape[1])]
    return np.column_stack(mixed)


def normals(points: Points) -> Points:
    """Return unit vectors that point away from the metal (which lies to the left in a y-down picture)."""
    along = np.roll(points, -1, axis=0) - np.roll(points, 1, axis=0)
    along /= np.maximum(np.hypot(along[:, 0], along[:, 1]), 1e-9)[:, None]
    return np.column_stack([along[:, 1], -along[:, 0]])


def strip(picture: Floats, points: Points, away: Points, offsets: NDArray[np.float64]) -> Floats:
    """Sample the picture across a border: one row a point, one column an offset (pixels, positive off the metal)."""
    at = points[:, None, :] + offsets[None, :, None] * away[:, None, :]
    x, y = np.ascontiguousarray(at[..., 0], np.float32), np.ascontiguousarray(at[..., 1], np.float32)
    return np.asarray(cv2.remap(picture, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE), np.float32)


def edge_levels(picture: Bits, ground: Ground, softness: float) -> Levels:
    """Return the sharpness common on bare ground and the one hardly ever found there, measured as along a border."""
    seen = []
    for row in bands(ground.rows):
        band = cv2.GaussianBlur(picture[row : row + 24].astype(np.float32), (0, 0), softness)
        across = blur_rows(band.transpose(1, 0, 2)[:: round(SPACING)], ALONG)
        bare = ground.shown(row, 0, len(band), ground.columns).T[:: round(SPACING)]
        seen.append(sharpness(across)[6:-6, 8:-8][bare[6:-6, 8:-8]])
    sharp = np.concatenate(seen)
    low, high = np.percentile(sharp, (85, 99.5)) if sharp.size > 100 else (0.3, 1.0)
    return max(0.25, float(low)), max(0.7, 1.2 * float(high))


def follow(
    picture: Floats, rough: Points, levels: Levels, inward: float, outward: float, boldest: bool = False
) -> Border:
    """Find the border near a rough one: `inward` and `outward` bound the search, in pixels.

    The picture's fourth channel is 1 where a pixel differs from the bare ground: just inside the border it should.
    Of two edges the outer one is taken, as metal has edges within; of a plain thing the `boldest`, as its shadow has
    one without.
    """
    base = round_blur(even(rough, SPACING), 2.0)
    points, clear = _pass(picture, base, levels, inward, outward, boldest)
    base = round_blur(even(_simple(bridged(points, clear)), SPACING), 1.0)
    points, clear = _pass(picture, base, levels, 4.0, 4.0, boldest)
    return Border(bridged(points, clear), clear)


def bridged(points: Points, clear: NDArray[np.float64], longest: int = 40, flank: int = 12) -> Points:
    """Draw a border on where no edge was seen: a curve that leaves both seen ends the way they run."""
    seen = clear > 0.3
    if seen.all() or seen.sum() < 2 * flank:
        return points
    points = points.copy()
    starts = np.flatnonzero(seen & ~np.roll(seen, -1))
    ends = np.flatnonzero(seen & ~np.roll(seen, 1))
    for start in starts:
        gap = int(((ends - start - 1) % len(points)).min()) + 1
        if 3 < gap <= longest:
            _bridge(points, seen, int(start), gap, flank)
    return points


def _bridge(points: Points, seen: NDArray[np.bool_], start: int, gap: int, flank: int) -> None:
    """Put a parabola through the seen points to both sides of a gap in place of what lies in it."""
    at = np.arange(-flank, gap + flank + 1)
    index = (start + at) % len(points)
    known = seen[index] & ((at <= 0) | (at >= gap))
    reach = float(gap + flank)
    terms = np.stack([(at / reach) ** k for k in range(4)], axis=1)
    if known.sum() < flank:
        return
    answer = np.linalg.lstsq(terms[known], points[index][known], rcond=None)[0]
    off = np.hypot(*(terms[known] @ answer - points[index][known]).T)
    inside = (at > 0) & (at < gap)
    if float(np.sqrt((off**2).mean())) < 1.0:
        points[index[inside]] = terms[inside] @ answer


def _simple(points: Points) -> Points:
    """Drop the small loops that a line gets where it was moved into a notch."""
    shape = Polygon(points)
    if shape.is_valid:
        return points
    parts = [g for g in getattr(make_valid(shape), "geoms", [shape]) if g.geom_type == "Polygon"]
    best = max(parts, key=lambda g: float(g.area), default=shape)
    kept = np.asarray(best.exterior.coords, np.float64)[:-1]
    return kept if shape.exterior.is_ccw == best.exterior.is_ccw else kept[::-1]


def _pass(
    picture: Floats, base: Points, levels: Levels, inward: float, outward: float, boldest: bool
) -> tuple[Points, NDArray[np.float64]]:
    away = normals(base)
    offsets = np.arange(-round(inward) - 6, round(outward) + 7, dtype=np.float64)
    seen = strip(picture, base, away, offsets)
    seen, unlike = blur_rows(seen[..., :3], ALONG), seen[..., 3]
    sharp = sharpness(seen)
    costs = _costs(sharp, edges(seen, sharp, levels), levels, boldest)
    path = cheapest_path(costs + 0.6 * (1.0 - np.roll(unlike, 3, axis=1)), BEND)  # within lies no bare ground
    fine, clear = peak(sharp, path, levels)
    shift = offsets[0] + fine
    return base + shift[:, None] * away, clear


def blur_rows(seen: Floats, sigma: float) -> Floats:
    """Smooth a closed strip along the border."""
    reach = max(1, round(3 * sigma))
    padded = np.concatenate([seen[-reach:], seen, seen[:reach]])
    return np.asarray(cv2.GaussianBlur(padded, (1, 2 * reach + 1), 0.01, sigmaY=sigma)[reach:-reach], np.float32)


def sharpness(seen: Floats) -> NDArray[np.float64]:
    """Return how far each place of a strip is a step rather than a ramp: a soft shadow scores nothing, a border all."""
    fine, size = _slope(seen, 1, 1)
    along = fine / np.maximum(size, 1e-6)[..., None]
    ramps = [
        SOFT * _slope(seen, 5, 5, along)[1],
        FLANK * _slope(seen, -1, 6, along)[1],
        FLANK * _slope(seen, 6, -1, along)[1],
    ]
    sharp = size - np.maximum.reduce(ramps)
    sharp[:, :6] = sharp[:, -6:] = 0
    return np.asarray(np.maximum(sharp, 0), np.float64)


def _slope(seen: Floats, before: int, after: int, along: Floats | None = None) -> tuple[Floats, Floats]:
    """Return the mean slope from `before` pixels inward to `after` outward, and its size (or its share along one)."""
    step = (np.roll(seen, -after, axis=1) - np.roll(seen, before, axis=1)) / (before + after)
    size = np.sqrt(summed(step * step)) if along is None else np.maximum(summed(step * along), 0)
    return step, size


def _costs(sharp: NDArray[np.float64], found: Edges, levels: Levels, boldest: bool) -> NDArray[np.float64]:
    """Price every place as the border: cheap on a strong step, dear with edges farther out left unexplained."""
    edge, step = found
    bold = 1.0 - boldness(sharp, step, levels)
    if boldest:
        return np.asarray(bold)
    beyond = np.cumsum(edge[:, ::-1], axis=1)[:, ::-1]
    skipped = np.zeros_like(edge)
    skipped[:, :-4] = np.minimum(beyond[:, 4:] / 2, 1.5)
    return np.asarray(0.7 * (1.0 - step) + 0.3 * bold + skipped)


def boldness(sharp: NDArray[np.float64], step: NDArray[np.float64], levels: Levels) -> NDArray[np.float64]:
    """Return how strong each step is beside the strongest near it along the border (0 to 1)."""
    strength = np.maximum(round_blur(sharp.max(axis=1)[:, None], 6.0), levels[1])
    return np.asarray(np.minimum(step * sharp / strength, 1))


def edges(seen: Floats, sharp: NDArray[np.float64], levels: Levels) -> Edges:
    """Return how surely each place is an edge, and how surely one between two lasting levels (0 to 1)."""
    edge = np.clip((sharp - levels[0]) / (levels[1] - levels[0]), 0, 1)
    for reach, share in ECHOES:
        edge *= sharp > share * cv2.dilate(sharp, np.ones((1, 2 * reach + 1), np.uint8))
    return edge, edge * _steps(seen)


def _steps(seen: Floats) -> NDArray[np.float64]:
    """Return 1 where the levels differ to both sides for good, less where a mere line (a blade, a hair) runs."""
    far = strongest(np.abs(np.roll(seen, -5, axis=1) - np.roll(seen, 8, axis=1)))
    near = strongest(np.abs(np.roll(seen, -2, axis=1) - np.roll(seen, 2, axis=1)))
    return np.clip(2.0 * far / np.maximum(near, 1e-6), 0.3, 1).astype(np.float64)


def peak(
    sharp: NDArray[np.float64], path: NDArray[np.int64], levels: Levels
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the sub-pixel place of the edge at each path point (parabola through the peak), and its clearness."""
    rows = np.arange(len(sharp))
    window = np.clip(path[:, None] + np.arange(-2, 3), 1, sharp.shape[1] - 2)
    top = window[rows, sharp[rows[:, None], window].argmax(axis=1)]
    a, b, c = sharp[rows, top - 1], sharp[rows, top], sharp[rows, top + 1]
    bow = a - 2 * b + c
    fine = top + np.where(bow < -1e-9, np.clip(0.5 * (a - c) / np.minimum(bow, -1e-9), -1, 1), 0.0)
    clear = np.clip((b - levels[0]) / (levels[1] - levels[0]), 0, 1)
    return np.where(clear > 0, fine, path.astype(np.float64)), clear
