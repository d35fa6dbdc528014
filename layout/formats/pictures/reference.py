"""Finds the thing of known size on a photo: a card, a sheet of paper or a coin, and the points along its sides."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from layout.formats.pictures.border import edge_levels, even, follow
from layout.formats.pictures.camera import Fit, first_guess, fit_camera
from layout.formats.pictures.ground import Bits, Floats, Ground, ground_of, strongest
from layout.formats.pictures.sharpness import Levels

Points = NDArray[Any]  # float64
CARD = (85.60, 53.98)  # ISO/IEC 7810 ID-1
SHEETS = {"a4": (297.0, 210.0), "letter": (279.4, 215.9)}  # ISO 216; US Letter
GUESSED_VIEW = 250.0  # mm across a photo of dies, until it is known better
SHADED = 2.5  # mm (in that view) that a shadow may lie about a thing and be taken for a part of it at first
WORST_MISFIT = 1.2  # pixels: what fits worse is no card
GOOD_MISFIT = 0.15  # pixels: what fits as well needs no other edges tried
COARSE = 1000  # pixels: a reference is looked for in a picture of this size


@dataclass(frozen=True, slots=True)
class Reference:
    """The camera that a found reference gives, and the reference's border in pixels."""

    fit: Fit
    border: Points
    size: tuple[float, float]


@dataclass(frozen=True, slots=True)
class _View:
    """A photo (softened, with what differs from the ground as a fourth channel), its large things and edge levels."""

    seen: Floats
    candidates: list[Points]
    levels: Levels
    rows: int
    columns: int


def find_card(photo: Bits, size: tuple[float, float] = CARD, sheet: bool = False) -> Reference | None:
    """Find a rectangle of known size; None where nothing on the picture can be one."""
    view = _view(photo, sheet)
    found = []
    for contour in view.candidates:
        corners = _four_corners(contour)
        reference = _fitted(view, contour, corners, size) if corners is not None else None
        if reference is not None and reference.fit.misfit < WORST_MISFIT:
            found.append(reference)
    return min(found, key=lambda r: r.fit.misfit, default=None)


def find_coin(photo: Bits, diameter: float) -> Reference | None:
    """Find the roundest solid thing on a photo; the tilt told by one circle is uncertain, and so said."""
    view = _view(photo, False)
    borders = [b for b in (_border(view, c) for c in view.candidates) if len(b) >= 60]
    found = [_fitted_coin(view, border, diameter) for border in borders]
    return min((r for r in found if r.fit.misfit < WORST_MISFIT), key=lambda r: r.fit.misfit, default=None)


def _view(photo: Bits, sheet: bool) -> _View:
    rows, columns = photo.shape[:2]
    shrink = max(1, round(max(rows, columns) / COARSE))
    small = cv2.resize(photo, (columns // shrink, rows // shrink), interpolation=cv2.INTER_AREA)
    ground = ground_of(small, GUESSED_VIEW * shrink / max(rows, columns))
    unlike = _unlike(small, ground)
    mask = 255 - unlike if sheet else unlike
    contours, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    least = (0.08 if sheet else 0.002) * mask.size
    solid = [c for c in contours if cv2.contourArea(c) > least and (sheet or _is_solid(c, mask))]
    solid = sorted(solid, key=cv2.contourArea, reverse=True)[:12]
    soft = cv2.GaussianBlur(photo, (0, 0), 0.8).astype(np.float32)
    full = cv2.resize(unlike, (columns, rows), interpolation=cv2.INTER_NEAREST)
    levels = edge_levels(photo, replace(ground, rows=rows, columns=columns), 0.8)
    differs = np.ones_like(soft[..., 0]) if sheet else (full > 0).astype(np.float32)
    candidates = [(c[:, 0, :].astype(np.float64) + 0.5) * shrink - 0.5 for c in solid]
    return _View(np.dstack([soft, differs]), candidates, levels, rows, columns)


def _unlike(small: Bits, ground: Ground) -> Bits:
    off = strongest(np.abs(cv2.GaussianBlur(small - ground.level(), (0, 0), 0.8)))
    mask: Bits = (off > max(6.0, 6.0 * ground.noise)).astype(np.uint8) * 255
    mask = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((3, 3), np.uint8))
    return np.asarray(cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8)), np.uint8)


def _is_solid(contour: Any, mask: Bits) -> bool:
    """Tell a full convex thing from a ring or a branched one."""
    hull = cv2.contourArea(cv2.convexHull(contour))
    x, y, w, h = cv2.boundingRect(contour)
    inside = np.zeros((h, w), np.uint8)
    cv2.drawContours(inside, [contour - [x, y]], -1, 255, -1)
    filled = float((mask[y : y + h, x : x + w][inside > 0] > 0).mean())
    return cv2.contourArea(contour) > 0.95 * hull and filled > 0.75


def _four_corners(contour: Points) -> Points | None:
    """Return where the four longest sides of a rounded quadrilateral would meet, or None if it is none."""
    hull = cv2.convexHull(contour.astype(np.float32))
    around = cv2.arcLength(hull, True)
    for share in np.linspace(0.02, 0.09, 15):
        corners = cv2.approxPolyDP(hull, share * around, True)
        if len(corners) == 4:
            quad = corners[:, 0, :].astype(np.float64)
            return quad if cv2.contourArea(corners) > 0.88 * cv2.contourArea(hull) else None
    return None


def _border(view: _View, contour: Points, boldest: bool = False) -> Points:
    area = float(np.dot(contour[:, 0], np.roll(contour[:, 1], -1)) - np.dot(np.roll(contour[:, 0], -1), contour[:, 1]))
    reach = max(6.0, max(view.rows, view.columns) / COARSE * 3)
    inward = max(reach, SHADED * max(view.rows, view.columns) / GUESSED_VIEW)
    border = follow(view.seen, contour if area > 0 else contour[::-1], view.levels, inward, reach, boldest=boldest)
    return border.points[border.clear > 0.3]


def _fitted(view: _View, contour: Points, corners: Points, size: tuple[float, float]) -> Reference | None:
    """Fit a rectangle's camera to its outermost edges, and its boldest where those fit better, side by side.

    A card's shadow has an edge without, its print and a sheet's own shade have edges within.
    """
    outer, bold = (_sides(_border(view, contour, boldest), corners) for boldest in (False, True))
    tried = [(f, s) for s in (outer, bold) if (f := _best_fit(view, s, corners, size)) is not None]
    if not tried:
        return None
    best, sides = min(tried, key=lambda t: t[0].misfit)
    for k in range(4) if best.misfit > GOOD_MISFIT else ():
        for other in (outer, bold):
            mixed = [*sides[:k], other[k], *sides[k + 1 :]]
            fit = _best_fit(view, mixed, corners, size) if other[k] is not sides[k] else None
            if fit is not None and fit.misfit < best.misfit:
                best, sides = fit, mixed
    return Reference(best, even(contour, 3.0), size)


def _best_fit(view: _View, sides: list[Points], corners: Points, size: tuple[float, float]) -> Fit | None:
    if min(len(s) for s in sides) < 15:
        return None
    pixels, named = np.concatenate(sides), np.repeat(np.arange(4), [len(s) for s in sides])
    fits = [_fit_rectangle(view, pixels, np.roll(corners, -k, axis=0), (named - k) % 4, size) for k in (0, 1)]
    return min(fits, key=lambda f: f.misfit)


def _sides(border: Points, corners: Points) -> list[Points]:
    """Sort border points to the sides of a quadrilateral; its rounded corners are left out."""
    kept = []
    for a, b in itertools.pairwise(np.vstack([corners, corners[:1]])):
        length = float(np.hypot(*(b - a)))
        way = (b - a) / length
        along = (border - a) @ way
        across = (border - a) @ np.array([-way[1], way[0]])
        chosen = (along > 0.13 * length) & (along < 0.87 * length) & (np.abs(across) < 0.05 * length)
        kept.append(_straight(border[chosen], along[chosen]))
    return kept


def _straight(points: Points, along: Points) -> Points:
    """Drop points that lie off the gentle curve through the others: dust, or a thing that touches the side."""
    if len(points) < 15:
        return points
    scaled = (along - along.mean()) / (np.ptp(along) + 1e-9)
    terms = np.stack([np.ones_like(scaled), scaled, scaled**2], axis=1)
    good = np.ones(len(points), bool)
    for _ in range(4):
        answer = np.linalg.lstsq(terms[good], points[good], rcond=None)[0]
        off = np.hypot(*(points - terms @ answer).T)
        good = off < max(0.4, 2.5 * 1.48 * float(np.median(off[good])))
    return points[good]


def _fit_rectangle(
    view: _View,
    pixels: Points,
    corners: Points,
    named: NDArray[np.int64],
    size: tuple[float, float],
) -> Fit:
    width, height = size
    # the corners run clockwise or not as the contour did; a mirrored reading would put the camera under the table
    turned = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float64)
    lines = np.array([0.0, width, height, 0.0])
    shape = turned
    area = float(np.dot(corners[:, 0], np.roll(corners[:, 1], -1)) - np.dot(np.roll(corners[:, 0], -1), corners[:, 1]))
    if area > 0:
        shape = turned * [1, -1] + [0, height]
        lines = np.array([height, width, 0.0, 0.0])
    axis = np.array([1, 0, 1, 0])[named]
    homography = cv2.getPerspectiveTransform(shape.astype(np.float32), corners.astype(np.float32))
    start = first_guess(homography, view.rows, view.columns)
    scale = float(np.hypot(*(corners[1] - corners[0]))) / width

    def off(plane: Points) -> Points:
        return np.asarray(plane[np.arange(len(plane)), axis] - lines[named])

    return fit_camera(start, pixels, named, off, scale)


def _fitted_coin(view: _View, border: Points, diameter: float) -> Reference:
    (x, y), axes, _ = cv2.fitEllipse(border.astype(np.float32))
    scale = max(axes) / diameter
    homography = np.array([[scale, 0, x], [0, -scale, y], [0, 0, 1]], np.float64)
    start = first_guess(homography, view.rows, view.columns)
    sectors = (np.arctan2(border[:, 1] - y, border[:, 0] - x) * 4 / np.pi).astype(np.int64) % 8
    fits = []
    for lean in ((0.2, 0.0), (-0.2, 0.0), (0.0, 0.2), (0.0, -0.2)):
        turn = cv2.Rodrigues(np.array([*lean, 0.0]))[0] @ cv2.Rodrigues(start.values[2:5])[0]
        values = start.values.copy()
        values[2:5] = cv2.Rodrigues(turn)[0][:, 0]
        leaning = type(start)(values, start.rows, start.columns)
        fits.append(fit_camera(leaning, border, sectors, lambda p: np.hypot(p[:, 0], p[:, 1]) - diameter / 2, scale))
    return Reference(min(fits, key=lambda f: f.misfit), even(border, 3.0), (diameter, diameter))
