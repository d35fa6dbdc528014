"""A camera over a table: where each pixel lies in the table's plane, fitted to a thing of known size."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

Points = NDArray[Any]  # float64
Residuals = Callable[[Points], NDArray[np.float64]]  # points in the plane (mm) -> how far each is off (mm)
USUAL_FOCAL = 0.85  # of the longer side: a phone's main camera, common practice
FOCAL_SPREAD = 0.3  # of its logarithm
BEND_SPREAD = 0.02  # of the bend at the corner: phones straighten their pictures
SIDE_BIAS = 0.12  # pixels by which shadow or glare may shift a whole side


@dataclass(frozen=True, slots=True)
class Camera:
    """log focal length, bend, turn (3) and place (3) of the plane before a pinhole in the picture's middle."""

    values: Points
    rows: int
    columns: int

    def to_pixels(self, plane: Points) -> Points:
        """Carry points of the plane (mm, y up) to pixels (centres at whole numbers)."""
        turn = cv2.Rodrigues(self.values[2:5])[0]
        seen = np.column_stack([plane, np.zeros(len(plane))]) @ turn.T + self.values[5:8]
        flat = seen[:, :2] / np.maximum(seen[:, 2:], 1e-6) * math.exp(self.values[0])
        far = (flat**2).sum(axis=1, keepdims=True) / self._half**2
        return np.asarray(flat * (1 + self.values[1] * far) * self.longer + self._middle)

    def to_plane(self, pixels: Points) -> Points:
        """Carry pixels to points of the plane (mm, y up)."""
        bent = (pixels - self._middle) / self.longer
        flat = bent.copy()
        for _ in range(4):
            far = (flat**2).sum(axis=1, keepdims=True) / self._half**2
            flat = bent / (1 + self.values[1] * far)
        turn = cv2.Rodrigues(self.values[2:5])[0]
        basis = np.column_stack([turn[:, 0], turn[:, 1], self.values[5:8]])
        rays = np.column_stack([flat / math.exp(self.values[0]), np.ones(len(flat))]) @ np.linalg.inv(basis).T
        return np.asarray(rays[:, :2] / rays[:, 2:])

    @property
    def longer(self) -> int:
        """The picture's longer side in pixels: the unit of the focal length."""
        return max(self.rows, self.columns)

    @property
    def height(self) -> float:
        """How high the camera stands over the plane, in mm."""
        turn = cv2.Rodrigues(self.values[2:5])[0]
        return abs(float(turn[:, 2] @ self.values[5:8]))

    @property
    def _middle(self) -> Points:
        return np.array([(self.columns - 1) / 2, (self.rows - 1) / 2])

    @property
    def _half(self) -> float:
        return math.hypot(self.rows, self.columns) / 2 / self.longer


@dataclass(frozen=True, slots=True)
class Fit:
    """A camera, the covariance of its values, and the misfit it leaves (pixels, root mean square)."""

    camera: Camera
    covariance: Points
    misfit: float


def first_guess(homography: Points, rows: int, columns: int, focal: float = USUAL_FOCAL) -> Camera:
    """Make a camera from a homography (plane in mm -> pixels) and an assumed focal length (of the longer side)."""
    longer = max(rows, columns)
    middle = np.array([[1, 0, -(columns - 1) / 2], [0, 1, -(rows - 1) / 2], [0, 0, 1]])
    basis = np.diag([1 / (focal * longer), 1 / (focal * longer), 1]) @ middle @ homography
    basis *= 1 / math.sqrt(float(np.linalg.norm(basis[:, 0]) * np.linalg.norm(basis[:, 1])))
    basis *= 1 if basis[2, 2] > 0 else -1
    turn = np.column_stack([basis[:, 0], basis[:, 1], np.cross(basis[:, 0], basis[:, 1])])
    u, _, v = np.linalg.svd(turn)
    spin = cv2.Rodrigues(u @ np.diag([1, 1, np.linalg.det(u @ v)]) @ v)[0][:, 0]
    return Camera(np.concatenate([[math.log(focal), 0.0], spin, basis[:, 2]]), rows, columns)


def fit_camera(start: Camera, pixels: Points, sides: NDArray[np.int64], off: Residuals, scale: float) -> Fit:
    """Fit a camera so that pixels on a known thing's sides come to lie on them (Gauss-Newton, damped).

    `off` says how far a point of the plane is from its side in mm, `scale` is pixels a mm; the usual focal length and a
    straight lens count as evidence too, as one picture seldom tells them. Residuals beyond 1 pixel weigh less.
    """

    def residuals(v: Points) -> Points:
        return off(Camera(v, start.rows, start.columns).to_plane(pixels)) * scale

    trust = _trust(residuals(start.values), sides)
    values = _descend(residuals, start.values, trust)
    # what does not fit at first shows how far the sides as a whole may be trusted against the usual lens
    trust = trust * _NOISE**2 / (_NOISE**2 + 2 * _misfit(residuals(values)) ** 2)
    values = _descend(residuals, values, trust)
    current = residuals(values)
    spread = _covariance(_jacobian(residuals, values, current), current, sides, trust, values)
    return Fit(Camera(values, start.rows, start.columns), spread, _misfit(current))


def _misfit(residuals: Points) -> float:
    return float(np.sqrt(np.mean(np.minimum(np.abs(residuals), 3.0) ** 2)))


def _descend(residuals: Callable[[Points], Points], start: Points, trust: Points) -> Points:
    values, damp = start.copy(), 1e-3
    current = residuals(values)
    for _ in range(40):
        weight = trust / np.maximum(1.0, np.abs(current))
        jacobian = _jacobian(residuals, values, current)
        normal, right = _normal(jacobian, current, weight, values)
        step = np.linalg.solve(normal + damp * np.diag(np.diag(normal)), -right)
        trial = residuals(values + step)
        if _cost(trial, trust, values + step) < _cost(current, trust, values):
            values, current, damp = values + step, trial, damp / 5
        else:
            damp *= 10
        if damp > 1e8 or float(np.abs(step / (np.abs(values) + 1e-3)).max()) < 1e-9:
            break
    return values


_NOISE = 0.15  # pixels: weight of one side point against the prior knowledge


def _trust(residuals: Points, sides: NDArray[np.int64]) -> Points:
    """Return a weight for each point: little for those of a side whose edge was seen badly."""
    trust = np.ones(len(residuals))
    for side in np.unique(sides):
        steps = np.abs(np.diff(residuals[sides == side]))
        trust[sides == side] = _NOISE**2 / (_NOISE**2 + float(np.median(steps)) ** 2)
    return trust


def _prior(values: Points) -> tuple[Points, Points]:
    off = np.zeros(8)
    off[0], off[1] = values[0] - math.log(USUAL_FOCAL), values[1]
    weight = np.zeros(8)
    weight[0], weight[1] = 1 / FOCAL_SPREAD**2, 1 / BEND_SPREAD**2
    return off, weight


def _cost(residuals: Points, trust: Points, values: Points) -> float:
    size = np.abs(residuals)
    off, weight = _prior(values)
    fit = (trust * np.where(size < 1, size**2, 2 * size - 1)).mean() * _worth(len(size))
    return float(fit + (weight * off * off).sum())


def _worth(count: int) -> float:
    """Return what all side points together weigh: neighbours share their errors, so no more than some 40 count."""
    return min(count, 40) / _NOISE**2


def _normal(jacobian: Points, residuals: Points, weight: Points, values: Points) -> tuple[Points, Points]:
    off, prior = _prior(values)
    share = _worth(len(residuals)) / len(residuals)
    weighted = jacobian * weight[:, None] * share
    return weighted.T @ jacobian + np.diag(prior), weighted.T @ residuals + prior * off


def _jacobian(residuals: Callable[[Points], Points], values: Points, current: Points) -> Points:
    columns = []
    for k in range(len(values)):
        step = np.zeros(len(values))
        step[k] = 1e-5 * max(1.0, abs(values[k]))
        columns.append((residuals(values + step) - current) / step[k])
    return np.column_stack(columns)


def _covariance(jacobian: Points, residuals: Points, sides: NDArray[np.int64], trust: Points, values: Points) -> Points:
    """Propagate the points' scatter, a common shift of each side, and the prior's spread into the camera's values."""
    _, prior = _prior(values)
    share = _worth(len(residuals)) / len(residuals)
    weighted = jacobian * trust[:, None]
    inverse = np.linalg.inv(share * weighted.T @ jacobian + np.diag(prior))
    sums = np.stack([weighted[sides == s].sum(axis=0) for s in np.unique(sides)])
    scattered = weighted * np.minimum(np.abs(residuals), 2.0)[:, None]
    noise = share**2 * (SIDE_BIAS**2 * sums.T @ sums + 10 * scattered.T @ scattered)
    spread = inverse @ (noise + np.diag(prior)) @ inverse
    return np.asarray((spread + spread.T) / 2)
