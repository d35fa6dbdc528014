"""Kinds of shine on metal and of pattern on a ground: some taught to the network, others kept for measuring alone."""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from tests.support.looks import Look

Random = np.random.Generator
Floats = NDArray[np.float32]
TAUGHT = (("conic", "contour", "blotches", "panes"), ("ruled", "dots"))
HELD_OUT = (("hammered", "ribbed", "spots", "horizon"), ("checks", "marbled", "speckled", "pool"))


def odder(rng: Random, look: Look, kinds: tuple[tuple[str, ...], tuple[str, ...]]) -> Look:
    """A look with one kind of shine more, or one of pattern, or both."""
    shine, pattern = (str(rng.choice(k)) for k in kinds)
    which = rng.integers(3)
    return replace(
        look,
        shine_kind=shine if which != 0 else "",
        shine_power=float(rng.uniform(15, 90) * rng.choice([-1, 1])),
        pattern=pattern if which != 1 else "",
        pattern_power=float(rng.uniform(2, 10)),
    )


def shone(rng: Random, shine: Floats, body: Floats, scale: float, look: Look) -> Floats:
    """Lay a look's further kind of shine on a thing's face; `body` is how much of each pixel it covers."""
    if not look.shine_kind:
        return shine
    return np.asarray(shine + look.shine_power * SHINES[look.shine_kind](rng, body, scale), np.float32)


def patterned(rng: Random, size: tuple[int, int], scale: float, look: Look) -> Floats:
    """Draw a look's pattern on the ground."""
    if not look.pattern:
        return np.zeros(size, np.float32)
    return np.asarray(look.pattern_power * PATTERNS[look.pattern](rng, size, scale), np.float32)


def _around(rng: Random, size: tuple[int, ...]) -> tuple[Floats, Floats]:
    """How far right of and below a point near the middle each pixel lies."""
    rows, columns = np.mgrid[0 : size[0], 0 : size[1]].astype(np.float32)
    return columns - rng.uniform(0.2, 0.8) * size[1], rows - rng.uniform(0.2, 0.8) * size[0]


def _noise(rng: Random, size: tuple[int, ...], cell: float) -> Floats:
    small = rng.normal(0, 1, (int(size[0] / cell) + 3, int(size[1] / cell) + 3)).astype(np.float32)
    return np.asarray(cv2.resize(small, (size[1], size[0]), interpolation=cv2.INTER_CUBIC), np.float32)


def _conic(rng: Random, body: Floats, _: float) -> Floats:
    """Metal turned on a lathe: bright rays from a point."""
    x, y = _around(rng, body.shape)
    ray = np.cos(int(rng.integers(1, 4)) * (np.arctan2(y, x) - rng.uniform(0, 6.3)))
    return np.asarray(np.abs(ray) ** rng.uniform(1, 8) * np.sign(ray))


def _contour(rng: Random, body: Floats, scale: float) -> Floats:
    """Steps and grooves that run along with the border."""
    inside = cv2.distanceTransform((body > 0.5).astype(np.uint8), cv2.DIST_L2, 5) / scale
    wave = np.sin(2 * math.pi * (inside / rng.uniform(0.8, 4) + rng.uniform(0, 1)))
    return np.asarray(np.tanh(wave * rng.uniform(0.5, 4)))


def _blotches(rng: Random, body: Floats, scale: float) -> Floats:
    return np.asarray(np.tanh(rng.uniform(0.5, 4) * _noise(rng, body.shape, rng.uniform(1, 10) * scale)))


def _panes(rng: Random, body: Floats, scale: float) -> Floats:
    """Windows mirrored in the metal: four-sided, sharp or soft."""
    face = np.zeros(body.shape, np.float32)
    for _ in range(int(rng.integers(1, 4))):
        at = rng.uniform(0, [body.shape[1], body.shape[0]])
        corners = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * rng.uniform(0.5, 9, 2) * scale
        turn = rng.uniform(0, 6.3)
        corners = corners @ np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]]) + at
        cv2.fillConvexPoly(face, np.round(corners * 16).astype(np.int32), 1.0, cv2.LINE_AA, 4)
    return np.asarray(cv2.GaussianBlur(face, (0, 0), rng.uniform(0.05, 1.5) * scale))


def _hammered(rng: Random, body: Floats, scale: float) -> Floats:
    """Dimples lit from one side."""
    height = cv2.GaussianBlur(_noise(rng, body.shape, rng.uniform(0.6, 2.5) * scale), (0, 0), 0.15 * scale)
    down, across = np.gradient(height)
    lamp = rng.uniform(0, 2 * math.pi)
    slope = down * math.sin(lamp) + across * math.cos(lamp)
    return np.asarray(slope / (3 * slope.std() + 1e-6))


def _ribbed(rng: Random, body: Floats, scale: float) -> Floats:
    x, y = _around(rng, body.shape)
    way, period = rng.uniform(0, math.pi), rng.uniform(0.6, 3.5) * scale
    wave = np.sin(2 * math.pi * (x * math.cos(way) + y * math.sin(way)) / period)
    return np.asarray(0.5 * np.sign(wave) * np.abs(wave) ** rng.uniform(0.3, 3))


def _spots(rng: Random, body: Floats, scale: float) -> Floats:
    """Lamps mirrored in a slightly domed face."""
    face = np.zeros(body.shape, np.float32)
    for _ in range(int(rng.integers(1, 5))):
        x, y = _around(rng, body.shape)
        face += 1 / (1 + ((x**2 + y**2) / (rng.uniform(0.5, 6) * scale) ** 2) ** rng.uniform(0.8, 3))
    return np.minimum(face, 1.2)


def _horizon(rng: Random, body: Floats, scale: float) -> Floats:
    """A room mirrored in the metal: light above a wavy line, dark below."""
    x, y = _around(rng, body.shape)
    way = rng.uniform(0, 2 * math.pi)
    across = x * math.cos(way) + y * math.sin(way) + 3 * scale * _noise(rng, body.shape, 8 * scale)
    return np.asarray(np.tanh(across / (rng.uniform(0.1, 4) * scale)))


def _ruled(rng: Random, size: tuple[int, int], scale: float) -> Floats:
    """Squared paper."""
    x, y = _around(rng, size)
    gap, broad = rng.uniform(4, 15) * scale, rng.uniform(0.1, 0.5) * scale
    lines = [np.clip(broad - np.abs((v + gap / 2) % gap - gap / 2) + 0.5, 0, 1) for v in (x, y)]
    return np.asarray(-np.maximum(*lines))


def _dots(rng: Random, size: tuple[int, int], scale: float) -> Floats:
    x, y = _around(rng, size)
    gap = rng.uniform(2, 8) * scale
    far = np.hypot((x + gap / 2) % gap - gap / 2, (y + gap / 2) % gap - gap / 2)
    return np.clip(rng.uniform(0.1, 0.25) * gap - far, 0, 1)


def _checks(rng: Random, size: tuple[int, int], scale: float) -> Floats:
    """Gingham: stripes both ways, softly woven."""
    x, y = _around(rng, size)
    period = 2 * math.pi / (rng.uniform(3, 14) * scale)
    return np.asarray(0.5 * np.tanh(2 * np.sin(x * period)) + 0.5 * np.tanh(2 * np.sin(y * period)))


def _marbled(rng: Random, size: tuple[int, int], scale: float) -> Floats:
    x, y = _around(rng, size)
    return np.asarray(np.sin((x + 0.6 * y) / (4 * scale) + 2 * _noise(rng, size, 14 * scale)) ** 5)


def _speckled(rng: Random, size: tuple[int, int], scale: float) -> Floats:
    """Granite: specks of light and dark."""
    return np.asarray(np.tanh(2 * _noise(rng, size, rng.uniform(0.25, 0.7) * scale)) * 0.8)


def _pool(rng: Random, size: tuple[int, int], scale: float) -> Floats:
    """The light of a lamp: a bright pool whose rim fades."""
    x, y = _around(rng, size)
    return np.asarray(3 * np.exp(-(np.hypot(x, y) ** 2) / (rng.uniform(25, 60) * scale) ** 2))


SHINES = {"conic": _conic, "contour": _contour, "blotches": _blotches, "panes": _panes, "hammered": _hammered,
          "ribbed": _ribbed, "spots": _spots, "horizon": _horizon}  # fmt: skip
PATTERNS = {"ruled": _ruled, "dots": _dots, "checks": _checks, "marbled": _marbled, "speckled": _speckled,
            "pool": _pool}  # fmt: skip
