"""What varied looks add to a drawn picture: shine, rims, scratches, marks on metal; grain and bands on the ground."""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.support.looks import Look

Random = np.random.Generator
Floats = NDArray[np.float32]
MARKS_IN = 0.8  # mm between a metal's border and what is printed on it
MARKS_KEEP = 0.6  # share of metal's contrast with the ground that a mark leaves it


def faced(rng: Random, shine: Floats, body: Floats, scale: float, look: Look) -> Floats:
    """Add to a thing's face what only varied looks have: a broad ramp, sheen as light as the ground, rim, scratches.

    `body` is how much of each pixel the thing covers.
    """
    if look.metal_tint is None:
        return shine
    tall, wide = shine.shape
    rows, columns = np.mgrid[0:tall, 0:wide].astype(np.float32)
    way = rng.uniform(0, 2 * math.pi)
    along = ((columns - wide / 2) * math.cos(way) + (rows - tall / 2) * math.sin(way)) / max(tall, wide)
    if look.ramp:
        shine = shine + look.ramp * along
    if look.sheen is not None:
        share = np.exp(-0.5 * ((along - rng.uniform(-0.4, 0.4)) / rng.uniform(0.03, 0.25)) ** 2)
        shine = shine + rng.uniform(0.6, 1.0) * share * (look.sheen - shine)
    if look.bevel:
        shine = shine + _rim(rng, body, scale, look)
    for _ in range(look.scratches):
        a, b = (rng.uniform(0, [wide, tall]) for _ in range(2))
        line = np.zeros_like(shine)
        cv2.line(line, np.round(a * 16).astype(int), np.round(b * 16).astype(int), 1.0, 1, cv2.LINE_AA, 4)
        shine = shine + float(rng.uniform(-50, 60)) * line
    if look.marks:
        shine = _all_marked(rng, shine, body, scale, look)
    return shine.astype(np.float32)


def _rim(rng: Random, body: Floats, scale: float, look: Look) -> Floats:
    """Light on a rounded edge: bright where it faces the lamp, dark where it faces away."""
    soft = cv2.GaussianBlur(body, (0, 0), look.bevel_wide * scale)
    lamp = rng.uniform(0, 2 * math.pi)
    down, across = np.gradient(soft)
    steep = (across * math.cos(lamp) + down * math.sin(lamp)) * look.bevel_wide * scale * 2.5
    return np.asarray(look.bevel * steep + look.bevel * rng.uniform(-0.5, 0.5) * (1 - soft) * 2, np.float32)


def _all_marked(rng: Random, shine: Floats, body: Floats, scale: float, look: Look) -> Floats:
    """Lay prints and stamps on metal: off its border, and never so like the ground that they would be a window."""
    plain, ground = shine, float(np.mean(look.ground))
    for _ in range(look.marks):
        shine = _marked(rng, shine, scale)
    inside = cv2.distanceTransform((body > 0.5).astype(np.uint8), cv2.DIST_L2, 5) / scale
    shine = plain + np.clip((inside - MARKS_IN) / 0.15, 0, 1) * (shine - plain)
    nearest = ground + MARKS_KEEP * (plain - ground)
    return np.where(plain > ground, np.maximum(shine, nearest), np.minimum(shine, nearest))


def _marked(rng: Random, shine: Floats, scale: float) -> Floats:
    tall, wide = shine.shape
    at = tuple(int(v) for v in rng.uniform(0, [wide, tall]))
    depth, pen = float(rng.uniform(-80, 60)), max(1, int(rng.uniform(0.1, 0.5) * scale))
    line = np.zeros(shine.shape, np.uint8)
    if rng.random() < 0.5:
        text = "".join(rng.choice(list("ABEHKMRSWX2358"), 4))
        cv2.putText(line, text, at, cv2.FONT_HERSHEY_SIMPLEX, float(rng.uniform(0.4, 1.4)), 255, pen, cv2.LINE_AA)
    else:
        size = tuple(int(v) + 2 for v in rng.uniform(0.4, 6, 2) * scale)
        cv2.ellipse(line, at, size, float(rng.uniform(0, 180)), 0, 360, 255, pen if rng.random() < 0.7 else -1)
    return shine + depth / 255 * line.astype(np.float32)


def woven(rng: Random, size: tuple[int, int], scale: float, look: Look) -> Floats:
    """A ground's coarse grain: wood or weave, stripes along one way."""
    if not look.grain:
        return np.zeros(size, np.float32)
    small = rng.normal(0, 1, (size[0] // 2 + 1, max(2, int(size[1] / (rng.uniform(5, 30) * scale)) + 2)))
    small = cv2.GaussianBlur(small.astype(np.float32), (1, 0), 0.01, sigmaY=rng.uniform(0.1, 0.8) * scale / 2)
    small /= small.std() + 1e-6
    grain = cv2.resize(small, (size[1], size[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(look.grain * 0.5 * grain, np.float32)


def banded(rng: Random, picture: Floats, scale: float, look: Look) -> None:
    """The bands that a scanner's lid or glass leaves along the picture's sides, and its uneven sensor."""
    wide = picture.shape[1]
    for _ in range(look.edge_bands):
        level, broad = float(rng.choice([rng.uniform(0, 60), rng.uniform(180, 255)])), int(rng.uniform(0.4, 3) * scale)
        part = [np.s_[:broad], np.s_[-broad:], np.s_[:, :broad], np.s_[:, -broad:]][int(rng.integers(4))]
        picture[part] = picture[part] * 0.1 + 0.9 * level
    if look.stripes:
        picture += look.stripes * rng.normal(0, 1, (1, wide, 1)).astype(np.float32)
