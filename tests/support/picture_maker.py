"""Draws dies of known outline as a flatbed scanner or a phone camera would see them.

Everything is drawn in picture space from the mapped outlines (anti-aliased by supersampling), so the truth is exact.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import Polygon, box

from tests.support import surfaces
from tests.support.die_shapes import FINE, scatter
from tests.support.looks import Look, random_look
from tests.support.shine import patterned, shone

Random = np.random.Generator
Floats = NDArray[np.float32]
ToPixels = Callable[[NDArray[np.float64]], NDArray[np.float64]]
CARD = box(-42.8 + 3.18, -26.99 + 3.18, 42.8 - 3.18, 26.99 - 3.18).buffer(3.18, FINE)  # ISO/IEC 7810 ID-1
SUPER = 4


@dataclass(frozen=True)
class Made:
    """A picture (BGR, 8 bit), the truth in mm, and what it was made from."""

    pixels: NDArray[np.uint8]
    bodies: list[Polygon]
    dpi: float
    look: Look
    to_pixels: ToPixels
    notes: dict[str, float] = field(default_factory=dict)


def scan(
    rng: Random,
    width: float = 140,
    height: float = 110,
    dpi: float = 300,
    count: int = 5,
    look: Look | None = None,
    bodies: list[Polygon] | None = None,
    gap: float = 1.5,
) -> Made:
    """A flatbed scan of `width` x `height` mm; truth has its origin at the lower left corner, y up."""
    look = look or random_look(rng)
    scale = dpi / 25.4
    size = (round(height * scale), round(width * scale))
    bodies = scatter(rng, count, width, height, gap) if bodies is None else bodies

    def to_pixels(mm: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.column_stack([mm[:, 0] * scale, size[0] - mm[:, 1] * scale])

    return Made(_draw(rng, size, scale, bodies, [], look, to_pixels), bodies, dpi, look, to_pixels)


def photo(
    rng: Random,
    tilt: float | None = None,
    count: int = 4,
    size: tuple[int, int] = (2250, 3000),
    bend: float = 0.0,
    look: Look | None = None,
    coin: float | None = None,
    with_reference: bool = True,
    bodies: list[Polygon] | None = None,
) -> Made:
    """A phone's photo of dies beside a card (or a coin) on a table; pinhole camera tilted up to 25 degrees."""
    look = look or random_look(rng, photo=True)
    reference = affinity.rotate(
        CARD if coin is None else Polygon(_circle(coin / 2)), rng.uniform(0, 360), origin=(0, 0)
    )
    at = (rng.uniform(60, 140), rng.uniform(50, 100)) if bodies is None else (100, 100)
    reference = affinity.translate(reference, *at)
    kept = reference if with_reference else None
    if bodies is None:
        bodies = scatter(rng, count, 200, 150, 3.0, None if kept is None else kept.buffer(2))
    to_pixels, notes = camera(rng, size, rng.uniform(0, 25) if tilt is None else tilt, bend)
    scale = float(np.linalg.norm(np.diff(to_pixels(np.array([[95.0, 75.0], [105.0, 75.0]])), axis=0))) / 10
    references = [reference] if with_reference else []
    pixels = _draw(rng, size, scale, bodies, references, look, to_pixels)
    return Made(pixels, bodies, 0.0, look, to_pixels, notes)


def camera(rng: Random, size: tuple[int, int], tilt: float, bend: float) -> tuple[ToPixels, dict[str, float]]:
    """A pinhole with radial bend `bend` (k1 at the half diagonal = 1), its axis tilted by `tilt` degrees."""
    rows, columns = size
    focal = columns * rng.uniform(0.7, 1.1)
    spin, way = rng.uniform(0, 2 * math.pi), rng.uniform(0, 2 * math.pi)
    axis = np.array([math.cos(way), math.sin(way), 0.0]) * math.radians(tilt)
    turn = cv2.Rodrigues(axis)[0] @ cv2.Rodrigues(np.array([0, 0, spin * 0.1]))[0] @ np.diag([1.0, -1.0, -1.0])
    far = focal * 250 / columns * rng.uniform(1.0, 1.15)
    middle = np.array([100.0, 75.0, 0.0])
    half = math.hypot(rows, columns) / 2

    def to_pixels(mm: NDArray[np.float64]) -> NDArray[np.float64]:
        seen = (np.column_stack([mm, np.zeros(len(mm))]) - middle) @ turn.T + np.array([0, 0, far])
        flat = seen[:, :2] / seen[:, 2:] * focal
        flat = flat * (1 + bend * (flat**2).sum(1, keepdims=True) / half**2)
        return flat + np.array([columns / 2, rows / 2])

    return to_pixels, {"focal": focal, "tilt": tilt, "far": far}


def _circle(radius: float) -> NDArray[np.float64]:
    a = np.linspace(0, 2 * math.pi, 720, endpoint=False)
    return np.column_stack([np.cos(a), np.sin(a)]) * radius


def _draw(
    rng: Random,
    size: tuple[int, int],
    scale: float,
    bodies: list[Polygon],
    references: list[Polygon],
    look: Look,
    to_pixels: ToPixels,
) -> NDArray[np.uint8]:
    masks = [coverage(b, size, to_pixels) for b in bodies]
    union = np.zeros(size, np.float32)
    for (rows, columns), mask in masks:
        union[rows, columns] = np.maximum(union[rows, columns], mask)
    cards = [coverage(r, size, to_pixels) for r in references]
    casting = union.copy()
    for (rows, columns), mask in cards:
        casting[rows, columns] = np.maximum(casting[rows, columns], mask)
    picture = _ground(rng, size, scale, look) * (1 - _shadow(casting, scale, look))[..., None]
    for (rows, columns), mask in cards:
        face = _card_face(rng, mask.shape, scale)
        picture[rows, columns] += mask[..., None] * (face - picture[rows, columns])
    for body, ((rows, columns), mask) in zip(bodies, masks, strict=True):
        metal = _metal(rng, body, (rows, columns), mask, scale, look, to_pixels)
        picture[rows, columns] += mask[..., None] * (metal - picture[rows, columns])
    _litter(rng, picture, scale, look)
    surfaces.banded(rng, picture, scale, look)
    return _sensor(rng, picture, look)


Window = tuple[slice, slice]


def coverage(shape: Polygon, size: tuple[int, int], to_pixels: ToPixels) -> tuple[Window, Floats]:
    """How much of each pixel in a window lies under a shape, 0 to 1."""
    rings = [to_pixels(_dense(r.coords)) for r in (shape.exterior, *shape.interiors)]
    low = np.maximum(np.floor(rings[0].min(0)).astype(int) - 2, 0)
    high = np.minimum(np.ceil(rings[0].max(0)).astype(int) + 3, [size[1], size[0]])
    wide, tall = (int(v) for v in np.maximum(high - low, 1))
    fine = np.zeros((tall * SUPER, wide * SUPER), np.uint8)
    for k, ring in enumerate(rings):
        # a pixel's centre lies at .5 in our frame and at 0 in the drawing library's
        corners = np.round(((ring - low) * SUPER - 0.5) * 256).astype(np.int32)
        cv2.fillPoly(fine, [corners], 255 if k == 0 else 0, shift=8)
    mask = cv2.resize(fine, (wide, tall), interpolation=cv2.INTER_AREA).astype(np.float32) / 255
    return (slice(low[1], low[1] + tall), slice(low[0], low[0] + wide)), mask


def _dense(coordinates: object, step: float = 0.5) -> NDArray[np.float64]:
    ring = np.asarray(coordinates, float)[:, :2]
    pieces = [np.linspace(a, b, max(2, int(np.hypot(*(b - a)) / step) + 1))[:-1] for a, b in pairwise(ring)]
    return np.concatenate(pieces)


def _smooth_noise(rng: Random, size: tuple[int, int], cell: float) -> Floats:
    small = rng.normal(0, 1, (max(2, int(size[0] / cell) + 2), max(2, int(size[1] / cell) + 2))).astype(np.float32)
    return cv2.resize(small, (size[1], size[0]), interpolation=cv2.INTER_CUBIC)


def _ground(rng: Random, size: tuple[int, int], scale: float, look: Look) -> Floats:
    rows, columns = np.mgrid[0 : size[0], 0 : size[1]].astype(np.float32)
    way = rng.uniform(0, 2 * math.pi)
    ramp = (rows / size[0] - 0.5) * math.sin(way) + (columns / size[1] - 0.5) * math.cos(way)
    shade = 1 + look.gradient * ramp + look.gradient * 0.2 * _smooth_noise(rng, size, max(size) / 4)
    far = ((rows / size[0] - 0.5) ** 2 + (columns / size[1] - 0.5) ** 2) * 2
    shade *= 1 - look.vignette * far
    grain = look.texture * (0.6 * _smooth_noise(rng, size, 0.25 * scale) + 0.5 * _smooth_noise(rng, size, 1.2 * scale))
    grain = grain + surfaces.woven(rng, size, scale, look) + patterned(rng, size, scale, look)
    return (np.array(look.ground, np.float32)[None, None] * shade[..., None] + grain[..., None]).astype(np.float32)


def _shadow(casting: Floats, scale: float, look: Look) -> Floats:
    move = look.shadow_reach * scale * np.array([math.cos(look.shadow_side), math.sin(look.shadow_side)])
    moved = cv2.warpAffine(
        casting, np.float32([[1, 0, move[0]], [0, 1, move[1]]]), (casting.shape[1], casting.shape[0])
    )
    cast = look.shadow * cv2.GaussianBlur(moved, (0, 0), look.shadow_soft * scale)
    if look.contact:
        cast = np.maximum(cast, look.contact * cv2.GaussianBlur(casting, (0, 0), look.contact_soft * scale))
    return np.asarray(cast)


def _metal(
    rng: Random, body: Polygon, window: Window, mask: Floats, scale: float, look: Look, to_pixels: ToPixels
) -> Floats:
    size = mask.shape
    rows, columns = np.mgrid[0 : size[0], 0 : size[1]].astype(np.float32) / scale
    shine = look.metal + 0.12 * look.metal * _smooth_noise(rng, size, 12 * scale)
    way = rng.uniform(0, math.pi)
    across = columns * math.cos(way) + rows * math.sin(way)
    for _ in range(int(rng.integers(1, 4)) if look.streaks else 0):
        middle, wide = rng.uniform(across.min(), across.max()), rng.uniform(0.8, 5)
        power = 2 + 6 * look.streak_sharp
        shine += look.streaks * rng.uniform(0.5, 1.2) * np.exp(-0.5 * np.abs((across - middle) / wide) ** power)
    lines = cv2.blur(rng.normal(0, 1, size).astype(np.float32), (max(1, int(3 * scale)), 1)) * math.sqrt(3 * scale)
    shine += look.brushed * lines
    if look.ridge:
        line = np.zeros(size, np.float32)
        blade = body.buffer(-look.ridge_at)
        for part in getattr(blade, "geoms", [blade]):
            if not part.is_empty:
                path = to_pixels(np.asarray(part.exterior.coords)[:, :2]) - [window[1].start, window[0].start]
                cv2.polylines(
                    line,
                    [np.round(path * 256).astype(np.int32)],
                    True,
                    1.0,
                    max(1, round(look.ridge_wide * scale)),
                    cv2.LINE_AA,
                    8,
                )
        shine += look.ridge * line
    shine = surfaces.faced(rng, shine, mask, scale, look)
    shine = shone(rng, shine, mask, scale, look)
    tint = (1 + rng.normal(0, 0.015, 3)) * (1.0 if look.metal_tint is None else np.array(look.metal_tint))
    return (np.clip(shine, 5, 255)[..., None] * tint).astype(np.float32)


def _card_face(rng: Random, size: tuple[int, int], scale: float) -> Floats:
    base = rng.uniform(30, 240, 3)
    face = np.ones((*size, 3), np.float32) * base + 12 * _smooth_noise(rng, size, 20 * scale)[..., None]
    for _ in range(6):
        at = (int(rng.uniform(0.2, 0.8) * size[1]), int(rng.uniform(0.2, 0.8) * size[0]))
        cv2.circle(face, at, int(rng.uniform(1, 6) * scale), tuple(rng.uniform(20, 250, 3)), -1, cv2.LINE_AA)
    return face.astype(np.float32)


def _litter(rng: Random, picture: Floats, scale: float, look: Look) -> None:
    tall, wide = picture.shape[:2]
    for _ in range(look.dust):
        at = (rng.uniform(0, [wide, tall]) * 16).astype(int)
        cv2.circle(
            picture,
            at,
            int(rng.uniform(0.05, 0.35) * scale * 16),
            (float(rng.uniform(0, 255)),) * 3,
            -1,
            cv2.LINE_AA,
            4,
        )
    for _ in range(look.hairs):
        bends = np.cumsum(rng.normal(0, 4, (6, 2)), 0) * scale + rng.uniform(0, [wide, tall])
        t = np.linspace(0, 5, 120)
        path = np.column_stack([np.interp(t, range(6), bends[:, k]) for k in (0, 1)])
        path = cv2.blur(path.reshape(-1, 1, 2), (1, 25)).reshape(-1, 2)
        colour = (float(rng.uniform(20, 200)),) * 3
        cv2.polylines(
            picture, [np.round(path * 16).astype(np.int32)], False, colour, max(1, round(0.1 * scale)), cv2.LINE_AA, 4
        )


def _sensor(rng: Random, picture: Floats, look: Look) -> NDArray[np.uint8]:
    seen = cv2.GaussianBlur(np.clip(picture, 0, 255), (0, 0), look.blur)
    if look.sharpen:
        seen = np.clip(seen + look.sharpen * (seen - cv2.GaussianBlur(seen, (0, 0), 2.0 * look.blur)), 0, 255)
    seen = 255 * (seen / 255) ** look.gamma
    grain = np.sqrt(look.noise**2 * (0.4 + 0.6 * seen / 255)) * rng.standard_normal(seen.shape, np.float32)
    eight = np.clip(seen + grain, 0, 255).astype(np.uint8)
    return cv2.imdecode(cv2.imencode(".jpg", eight, [cv2.IMWRITE_JPEG_QUALITY, look.jpeg])[1], cv2.IMREAD_COLOR)
