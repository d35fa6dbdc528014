"""Parts metal from ground: which pixels belong to which thing on the glass."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from layout.formats.pictures.ground import Bits, Floats, strongest, summed
from layout.formats.pictures.sharpness import sharpness_map

Mask = Bits
BLEEDING = 0.3  # share of its source's strength that colour bled by a JPEG hardly reaches
BROAD = 0.35  # mm: smoothing that leaves little of a felt's grain
FRINGE = 1.0  # mm: half as wide as the fringe of shadow about a thing may be


@dataclass(frozen=True, slots=True)
class Sizes:
    """What counts as a thing and as an opening in it, in mm and square mm."""

    thing: float = 6.0  # a thing's longer side at least
    metal: float = 20.0  # and its area: dust and crumbs are smaller
    opening: float = 1.0  # an opening's area at least
    thread: float = 0.5  # half the width under which a line is a hair, not metal


def disc(radius: float) -> Bits:
    """Return a round structuring element of a radius in pixels."""
    size = 2 * max(1, round(radius)) + 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size)), np.uint8)


def metal_mask(
    picture: Floats, level: Floats, noise: float, spread: float, mm: float, sizes: Sizes
) -> tuple[Mask, Mask]:
    """Mark every pixel that belongs to a thing on the ground (255) rather than to ground or dust (0).

    The second mask (0 or 1) holds whatever differs from the bare ground at all, shadows too.

    What is brighter than the ground is never shadow. What is darker counts at half the contrast of the dark metal about
    it, so that most shadow stays out; and where shine has brought metal near to the ground's level any difference
    counts, as long as it is wider than the fringe a shadow makes.
    """
    soft = cv2.GaussianBlur(picture - level, (0, 0), 0.1 / mm)
    off, lit = strongest(np.abs(soft)), summed(soft) / 3
    faint: Mask = (off > max(3.0, 5.0 * noise)).astype(np.uint8)
    tinted = faint & _tinted(soft, level, noise, mm)
    lighter: Mask = (faint & (lit > 0)) | tinted
    bright: Mask = cv2.morphologyEx(lighter.astype(np.uint8), cv2.MORPH_OPEN, disc(0.15 / mm))
    dark: Mask = faint & _dark_metal(np.maximum(-lit, 0), noise, mm)
    bright, dark = _without_specks(bright, mm), _without_specks(dark, mm)
    lasting = _lasting(picture - level, level, spread, mm)
    bright |= lasting
    open_ground: Mask = cv2.morphologyEx(np.uint8(1) - faint, cv2.MORPH_OPEN, disc(0.5 / mm))
    crossing = _near(bright, mm) & _near(dark, mm) & (1 - open_ground)
    faint = cv2.morphologyEx(faint, cv2.MORPH_CLOSE, disc(0.25 / mm))
    both: Mask = bright | dark
    clear: Mask = cv2.morphologyEx(both, cv2.MORPH_CLOSE, disc(0.2 / mm)) | crossing
    wide: Mask = cv2.morphologyEx(faint & (1 - clear), cv2.MORPH_OPEN, disc(FRINGE / mm))
    clear |= _near(wide, mm, 0.5) & faint
    clear = _filled(clear, faint, _edges(picture, faint), mm)
    metal = cv2.morphologyEx(clear, cv2.MORPH_OPEN, disc(sizes.thread / mm))
    return without_crumbs(metal * np.uint8(255), mm, sizes), faint


def _near(mask: Mask, mm: float, reach: float = 1.0) -> Mask:
    """Return a mask grown by a reach in mm."""
    return np.asarray(cv2.dilate(mask, disc(reach / mm)), np.uint8)


def _tint(off: Floats, level: Floats) -> Floats:
    """Return how far a pixel is from any shadow of the ground: a shadow dims all colours alike."""
    share = summed(off * level) / np.maximum(summed(level * level), 1.0)
    return np.asarray(np.sqrt(summed((off - share[..., None] * level) ** 2)), np.float32)


def _tinted(off: Floats, level: Floats, noise: float, mm: float) -> Mask:
    """Mark what is no shadow by its colour; what a JPEG lets bleed over a border is faint beside its source."""
    tint = _tint(off, level)
    source = cv2.dilate(tint, disc(1.2 / mm))
    return np.asarray((tint > max(4.0, 6.0 * noise)) & (tint > BLEEDING * source), np.uint8)


def _lasting(off: Floats, level: Floats, spread: float, mm: float) -> Mask:
    """Mark broad stretches of metal all but as bright as the ground: what no shadow is shows when smoothed widely.

    Smoothed by medians: they do not spread bright metal over the ground beside it.
    """
    levels = np.clip(off + 128.5, 0, 255).astype(np.uint8)
    soft = cv2.medianBlur(levels, 2 * max(1, round(BROAD / mm)) + 1).astype(np.float32) - 128
    least = max(3.0, 6.0 * spread)
    lasting = ((summed(soft) / 3 > least) | (_tinted(soft, level, spread, mm) > 0)).astype(np.uint8)
    return np.asarray(cv2.morphologyEx(lasting, cv2.MORPH_OPEN, disc(0.6 / mm)), np.uint8)


def _without_specks(mask: Mask, mm: float) -> Mask:
    """Drop what is apart from everything else and smaller than any metal: dust and sand."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    kept = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]) * mm > 1.2
    kept[0] = False
    return kept[labels].astype(np.uint8) if count > 1 else mask


def _dark_metal(depth: Floats, noise: float, mm: float) -> Mask:
    """Mark what is at least half as deep below the ground as the broad dark metal about it; a fringe is not broad."""
    small = cv2.medianBlur(cv2.resize(depth, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA), 5)
    broad = cv2.morphologyEx(small, cv2.MORPH_OPEN, disc(FRINGE / (4 * mm)))
    broad = cv2.GaussianBlur(cv2.dilate(broad, disc(2.5 / (4 * mm))), (0, 0), 1.5 / (4 * mm))
    contrast = cv2.resize(broad, (depth.shape[1], depth.shape[0]), interpolation=cv2.INTER_LINEAR)
    return ((depth > 0.5 * contrast) & (contrast > max(4.0, 6.0 * noise))).astype(np.uint8)


def _filled(clear: Mask, faint: Mask, edges: Mask, mm: float) -> Mask:
    """Fill gaps in the metal that are no openings: these hold a piece of bare ground or are edged sharply all round."""
    bare = cv2.morphologyEx(1 - faint, cv2.MORPH_OPEN, disc(0.2 / mm))
    deep = cv2.distanceTransform(bare, cv2.DIST_L2, 5) * mm > 0.45
    gaps: Mask = cv2.morphologyEx(1 - clear, cv2.MORPH_OPEN, disc(0.3 / mm))
    count, labels = cv2.connectedComponents(gaps, connectivity=4)
    rim = _near(gaps, 1.0) & (1 - gaps)
    around = cv2.dilate(labels.astype(np.float32), np.ones((3, 3), np.uint8)).astype(np.int32)
    near = _near(edges, mm, 0.4)
    length = np.bincount(around[rim > 0], minlength=count)
    sharp = np.bincount(around[(rim & near) > 0], minlength=count)
    kept = (sharp > 0.75 * length).astype(np.uint8)
    kept[labels[deep]] = 1
    kept[0] = 0
    return np.asarray(1 - kept[labels], np.uint8)


def _edges(picture: Floats, faint: Mask) -> Mask:
    """Mark sharp edges: all that hang together with one sharper than almost anything on the bare ground."""
    sharp = sharpness_map(cv2.GaussianBlur(picture, (0, 0), 0.8))
    low, high = np.percentile(sharp[faint == 0][::7], (95, 99.8)) if (faint == 0).any() else (1.0, 2.0)
    weak = (sharp > max(0.4, float(low))).astype(np.uint8)
    count, labels = cv2.connectedComponents(weak, connectivity=8)
    strong = np.zeros(count, np.uint8)
    strong[labels[sharp > max(0.8, float(high))]] = 1
    strong[0] = 0
    return np.asarray(strong[labels], np.uint8)


def without_crumbs(metal: Mask, mm: float, sizes: Sizes) -> Mask:
    count, labels, stats, _ = cv2.connectedComponentsWithStats(metal, connectivity=4)
    longest = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]) * mm
    kept = (stats[:, cv2.CC_STAT_AREA] * mm * mm >= sizes.metal) & (longest >= sizes.thing)
    kept[0] = False
    metal = np.where(kept[labels], 255, 0).astype(np.uint8) if count > 1 else metal
    count, labels, stats, _ = cv2.connectedComponentsWithStats(255 - metal, connectivity=4)
    pinhole = stats[:, cv2.CC_STAT_AREA] * mm * mm < sizes.opening
    pinhole[0] = False
    return np.where(pinhole[labels], 255, metal).astype(np.uint8)
