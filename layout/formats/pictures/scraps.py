"""Scraps of paper on a scan or a photo, and the images stamped on them with the die that belongs to each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon

from layout.formats.pictures.ground import Bits, strongest
from layout.formats.pictures.parting import disc
from layout.formats.pictures.photo import rectify, reference_on, trace_photo
from layout.formats.pictures.scan import shrunk, trace_scan
from layout.formats.pictures.stamped import Framed, framed
from layout.geometry.outline import Outline, from_polygon

EDGE = 1.5  # mm inside a scrap's border where its shadow and torn fibres end
JOINED = 1.2  # mm: strokes of one image lie nearer to each other than twice this
LEAST_IMAGE = 6.0  # mm: a smaller blot is no image
FAINTEST = 14.0  # levels by which ink differs from its paper at least


@dataclass(frozen=True, slots=True)
class StampedImage:
    """An image's outer border (mm), and the die that frames it with its pose, where one of those given does."""

    ink: Outline
    framed: Framed | None


@dataclass(frozen=True, slots=True)
class FoundScrap:
    """A scrap's border (mm, y up) and the images on it."""

    outline: Outline
    images: tuple[StampedImage, ...]


@dataclass(frozen=True, slots=True)
class FoundScraps:
    """All scraps of a picture, remarks for a person, and how far off a border may be (mm)."""

    scraps: tuple[FoundScrap, ...]
    findings: tuple[str, ...]
    uncertainty_mm: float


@dataclass(frozen=True, slots=True)
class _Flat:
    """A picture of the plane: x = left + (column + 0.5) mm, y = top - (row + 0.5) mm."""

    pixels: Bits
    left: float
    top: float
    mm: float

    def to_pixels(self, outline: Outline) -> NDArray[np.int32]:
        x, y = np.asarray(outline.outer).T
        return np.round(np.column_stack([(x - self.left) / self.mm, (self.top - y) / self.mm]) - 0.5).astype(np.int32)

    def to_plane(self, pixels: NDArray[Any], left: int, top: int) -> NDArray[Any]:
        x, y = pixels.T + 0.5
        return np.column_stack([self.left + (x + left) * self.mm, self.top - (y + top) * self.mm])


def find_scraps(
    picture: Bits,
    cuts: Sequence[Outline],
    *,
    dpi: float | None = None,
    coin_diameter: float | None = None,
    ground_sheet: str | None = None,
) -> FoundScraps:
    """Find scraps and their stamped images on a scan (`dpi`) or on a photo beside a card, a coin or on a sheet.

    `cuts` are the outlines that the dies cut; an image takes the die whose cut goes evenly round it. Raises FileError
    where the picture's scale cannot be found.
    """
    if dpi is not None:
        traced = trace_scan(picture, dpi)
        flat = _Flat(shrunk(picture, 1), 0.0, picture.shape[0] * 25.4 / dpi, 25.4 / dpi)
    else:
        traced = trace_photo(picture, coin_diameter=coin_diameter, ground_sheet=ground_sheet)
        photo = shrunk(picture, 1)
        straight = rectify(photo, reference_on(photo, coin_diameter, ground_sheet))
        flat = _Flat(straight.picture, straight.left, straight.top, straight.mm)
    scraps = tuple(FoundScrap(o.solid, _images(flat, o.solid, cuts)) for o in traced.outlines)
    return FoundScraps(scraps, traced.findings + _unmatched(scraps), traced.uncertainty_mm)


def images_on(
    picture: Bits, left: float, top: float, mm: float, scraps: Sequence[Outline], cuts: Sequence[Outline]
) -> tuple[tuple[StampedImage, ...], ...]:
    """Find the images on each of the scraps known already, on a picture of the plane that begins at `left`, `top`.

    All in mm, y up; `mm` is one pixel of the picture. `cuts` as for `find_scraps`.
    """
    flat = _Flat(shrunk(picture, 1), left, top, mm)
    return tuple(_images(flat, scrap.solid, cuts) for scrap in scraps)


def _images(flat: _Flat, scrap: Outline, cuts: Sequence[Outline]) -> tuple[StampedImage, ...]:
    at = flat.to_pixels(scrap)
    left, top = (int(v) for v in np.maximum(at.min(axis=0), 0))
    right, bottom = (int(v) + 1 for v in at.max(axis=0))
    window = flat.pixels[top:bottom, left:right]
    paper: Bits = np.zeros(window.shape[:2], np.uint8)
    cv2.fillPoly(paper, [at - [left, top]], 1)
    paper = cv2.erode(paper, disc(EDGE / flat.mm), borderType=cv2.BORDER_CONSTANT, borderValue=0)
    if not paper.any():
        return ()
    contours, _ = cv2.findContours(_ink(window, paper, flat.mm), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    shapes = [_shape(flat.to_plane(c[:, 0, :], left, top)) for c in contours if len(c) > 8]
    inks = [from_polygon(s) for s in shapes if s is not None]
    return tuple(StampedImage(ink, framed(ink, cuts)) for ink in inks)


def _ink(window: Bits, paper: Bits, mm: float) -> Bits:
    """Mark an image with all that it encloses: pixels unlike the paper, joined over the gaps between strokes."""
    seen = cv2.GaussianBlur(window, (0, 0), max(0.6, 0.08 / mm)).astype(np.float32)
    level = np.median(seen[paper > 0], axis=0)
    off = strongest(np.abs(seen - level))
    grain = 1.4826 * float(np.median(off[paper > 0]))
    ink = ((off > max(FAINTEST, 6.0 * grain)) & (paper > 0)).astype(np.uint8)
    room = round(2 * JOINED / mm)
    joined = cv2.copyMakeBorder(ink, room, room, room, room, cv2.BORDER_CONSTANT, value=0)
    joined = cv2.morphologyEx(joined, cv2.MORPH_CLOSE, disc(JOINED / mm))
    return np.asarray(joined[room:-room, room:-room], np.uint8)


def _shape(ring: NDArray[Any]) -> Polygon | None:
    shape = Polygon(ring).buffer(0)
    shape = max(getattr(shape, "geoms", [shape]), key=lambda g: float(g.area)).simplify(0.05)
    x0, y0, x1, y1 = shape.bounds or (0.0, 0.0, 0.0, 0.0)
    return shape if max(x1 - x0, y1 - y0) >= LEAST_IMAGE else None


def _unmatched(scraps: tuple[FoundScrap, ...]) -> tuple[str, ...]:
    alone = sum(image.framed is None for scrap in scraps for image in scrap.images)
    if not alone:
        return ()
    things = "1 stamped image fits" if alone == 1 else f"{alone} stamped images fit"
    return (f"{things} none of the dies: lay its die over it by hand",)
