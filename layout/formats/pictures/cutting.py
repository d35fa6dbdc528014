"""Parts metal from ground by the least closed cut: slower, but whole where shine is as bright as the ground."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from layout.formats.pictures.evidence import CELL, evidence
from layout.formats.pictures.ground import Bits, Floats, Ground, relit
from layout.formats.pictures.least_cut import least_cut
from layout.formats.pictures.parting import Sizes, disc, without_crumbs
from layout.formats.pictures.sharpness import Levels

HAIR = 0.3  # mm: half the width under which a line is a hair, not metal
AWAY = 1.2  # mm: ground nearer to metal than this may lie in its shadow


@dataclass(frozen=True, slots=True)
class Parted:
    """Metal (255) and bare ground (0) a pixel, what differs from bare ground at all (0 to 1 a pixel), the ground."""

    metal: Bits
    unlike: Floats
    ground: Ground


def parted(
    picture: Bits, ground: Ground, levels: Levels, softness: float, mm: float, sizes: Sizes,
    usable: NDArray[np.bool_] | None,
) -> Parted:  # fmt: skip
    """Part a picture by the least cut, learn the ground anew from what is left of it, and part once more."""
    price, gain = _seen(picture, ground, levels, softness, usable)
    cut = least_cut(price, gain * (CELL * mm), (gain > 0.1).astype(np.float32))
    near = cv2.dilate((cut > 0.5).astype(np.uint8), disc(AWAY / (mm * CELL)))
    ground = relit(picture, ground, near, mm)
    price, gain = _seen(picture, ground, levels, softness, usable)
    cut = least_cut(price, gain * (CELL * mm), cut, 150)
    size = (picture.shape[1], picture.shape[0])
    metal: Bits = ((cv2.resize(cut, size, interpolation=cv2.INTER_LINEAR) > 0.5) * 255).astype(np.uint8)
    metal = cv2.morphologyEx(metal, cv2.MORPH_OPEN, disc(HAIR / mm))
    unlike = np.clip(cv2.resize(gain, size, interpolation=cv2.INTER_LINEAR) * 4 + 1, 0, 1)
    return Parted(without_crumbs(metal, mm, sizes), unlike, ground)


def _seen(
    picture: Bits, ground: Ground, levels: Levels, softness: float, usable: NDArray[np.bool_] | None
) -> tuple[Floats, Floats]:
    """Return the price of a border through every cell and the gain of calling it metal."""
    seen = evidence(picture, ground, levels, softness)
    gain = seen.gain
    if usable is not None:
        size = (gain.shape[1], gain.shape[0])
        gain[cv2.resize(usable.astype(np.uint8), size, interpolation=cv2.INTER_NEAREST) == 0] = -1.0
    return seen.price, gain
