"""Images stamped on a scrap: which die frames one, and how that die has to lie."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose

Points = NDArray[Any]
TURNS = 24  # first guesses of the turn
UNLIKE = 1.5  # mm of mean misfit above which an image belongs to none of the dies


@dataclass(frozen=True, slots=True)
class Framed:
    """The die (by number) whose cut outline goes evenly round an image, its pose, and how uneven it is (mm)."""

    die: int
    pose: Pose
    misfit: float


def framed(image: Outline, cuts: Sequence[Outline]) -> Framed | None:
    """Match an image's inked outline to the cut outline that follows it best; None where none does.

    A cut runs round its image at some even distance: what is compared is how that distance varies (iterated closest
    points from several turns, Besl and McKay's method with the mean distance taken out).
    """
    tried = [Framed(k, *_laid(cut, image)) for k, cut in enumerate(cuts)]
    best = min(tried, key=lambda f: f.misfit, default=None)
    return best if best is not None and best.misfit < UNLIKE else None


def _laid(cut: Outline, image: Outline) -> tuple[Pose, float]:
    ring = shapely.LinearRing(image.outer)
    points = _spaced(cut)
    turns = np.arange(TURNS) * 360.0 / TURNS
    likely = sorted(turns, key=lambda turn: _settled(points[::3], ring, turn, 3)[1])[:4]
    return min((_settled(points, ring, turn, 30) for turn in likely), key=lambda t: t[1])


def _spaced(outline: Outline, count: int = 180) -> Points:
    ring = shapely.LinearRing(outline.outer)
    at = shapely.line_interpolate_point(ring, np.arange(count) / count, normalized=True)
    return np.asarray(shapely.get_coordinates(at))


def _settled(points: Points, ring: Any, turn: float, rounds: int) -> tuple[Pose, float]:
    middle = shapely.get_coordinates(shapely.Polygon(ring).centroid)[0]
    own = shapely.get_coordinates(shapely.Polygon(points).centroid)[0]
    c, s = np.cos(np.radians(turn)), np.sin(np.radians(turn))
    spin = np.array([[c, s], [-s, c]])
    shift = middle - own @ spin
    for _ in range(rounds):
        moved = points @ spin + shift
        spin, shift = _rigid(points, moved + _pull(moved, ring))
    gaps = np.linalg.norm(_pull(points @ spin + shift, ring), axis=1)
    angle = float(np.degrees(np.arctan2(spin[0, 1], spin[0, 0]))) % 360.0
    return Pose(float(shift[0]), float(shift[1]), angle), float(gaps.mean())


def _pull(moved: Points, ring: Any) -> Points:
    """Return how each point should move so that all come to lie equally far off the ring."""
    on = shapely.get_coordinates(shapely.shortest_line(shapely.points(moved), ring))[1::2]
    away = moved - on
    far = np.linalg.norm(away, axis=1)
    outside = np.where(shapely.contains_xy(shapely.Polygon(ring), moved), -1.0, 1.0)
    even = float(np.median(far * outside))
    return np.asarray(away / np.maximum(far, 1e-9)[:, None] * (even * outside - far)[:, None])


def _rigid(a: Points, b: Points) -> tuple[Points, Points]:
    u, _, v = np.linalg.svd((a - a.mean(axis=0)).T @ (b - b.mean(axis=0)))
    spin = u @ np.diag([1.0, np.linalg.det(u @ v)]) @ v
    return spin, b.mean(axis=0) - a.mean(axis=0) @ spin
