"""A scrap as it is being drawn: rings of corners and stamped images, every change a new value."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.model.errors import PlatefulError
from layout.model.project import PLAIN_UP, Die, Image, Project, Scrap

Point = tuple[float, float]
Ring = tuple[Point, ...]
Kind = Literal["border", "stain"]
LEAST_CORNERS = 3


class DrawnError(PlatefulError):
    """What is drawn is no scrap yet; the message says what to do."""


class Drawn(Value, frozen=True):
    """`rings[0]` is the border (empty: not drawn yet), the others are stains; lengths in mm."""

    rings: tuple[Ring, ...] = ((),)
    images: tuple[Image, ...] = ()
    up: float = PLAIN_UP

    def with_ring(self, at: int, ring: Sequence[Point]) -> Drawn:
        """Return the drawing with one ring of corners replaced, or added at the end."""
        rings = list(self.rings)
        rings[at : at + 1] = [tuple(ring)]
        return replace(self, rings=tuple(rings))

    def with_corner(self, at: int, corner: int, point: Point) -> Drawn:
        """Return the drawing with one corner elsewhere."""
        ring = self.rings[at]
        return self.with_ring(at, (*ring[:corner], point, *ring[corner + 1 :]))

    def with_more(self, at: int, after: int, point: Point) -> Drawn:
        """Return the drawing with a corner put in after another."""
        ring = self.rings[at]
        return self.with_ring(at, (*ring[: after + 1], point, *ring[after + 1 :]))

    def without_corner(self, at: int, corner: int) -> Drawn:
        """Return the drawing without a corner; a stain of two corners is none, a border keeps three."""
        ring = self.rings[at]
        left = (*ring[:corner], *ring[corner + 1 :])
        if len(left) >= LEAST_CORNERS:
            return self.with_ring(at, left)
        return self if at == 0 else self.without_ring(at)

    def without_ring(self, at: int) -> Drawn:
        """Return the drawing without a stain; a border without corners is to be drawn anew."""
        if at == 0:
            return self.with_ring(0, ())
        return replace(self, rings=(*self.rings[:at], *self.rings[at + 1 :]))

    def with_image(self, at: int, image: Image) -> Drawn:
        """Return the drawing with an image replaced, or added at the end."""
        images = list(self.images)
        images[at : at + 1] = [image]
        return replace(self, images=tuple(images))

    def without_image(self, at: int) -> Drawn:
        """Return the drawing without an image."""
        return replace(self, images=(*self.images[:at], *self.images[at + 1 :]))


def drawn_of(scrap: Scrap) -> Drawn:
    """Return a scrap ready to be mended."""
    return Drawn((scrap.outline.outer, *(stain.outer for stain in scrap.spoiled)), scrap.images, scrap.up)


def scrap_from(drawn: Drawn, old: Scrap) -> Scrap:
    """Return the scrap as drawn, all else of it as it was; raises DrawnError with a sentence."""
    if len(drawn.rings[0]) < LEAST_CORNERS:
        raise DrawnError("The scrap has no border yet: click its corners one after another, and the first one again.")
    outline = _outline(drawn.rings[0], old.outline, "The border")
    before = {stain.outer: stain for stain in old.spoiled}
    stains = tuple(
        before.get(ring) or _outline(ring, None, f"Stain {k}") for k, ring in enumerate(drawn.rings[1:], 1) if ring
    )
    return replace(old, outline=outline, spoiled=stains, images=drawn.images, up=drawn.up % 360)


def moved_image(image: Image, pose: Pose) -> Image:
    """Return an image at another pose, its ink with it."""
    ink = None if image.outline is None else pose.outline(image.pose.inverse().outline(image.outline))
    return replace(image, pose=pose, outline=ink)


def image_of(project: Project, die: Die, at: Point) -> Image:
    """Return an image framed by a die whose middle lies at a point; its ink is what the die cuts, without windows."""
    left, low, right, high = die.cut.bounds
    pose = Pose(at[0] - (left + right) / 2, at[1] - (low + high) / 2)
    named = next((w.image for w in project.wanted if w.shape == die.id and w.image), None)
    return Image(named or f"{die.name} image", pose, pose.outline(Outline(die.cut.outer)))


def die_of_image(project: Project, image: Image) -> Die | None:
    """Return the die that frames an image: the one whose wanted piece goes round it, or whose name it bears."""
    shape = next((w.shape for w in project.wanted if w.image == image.image), None)
    named = (d for d in project.dies if d.id == shape or f"{d.name} image" == image.image)
    return next(named, None)


def nearest_edge(ring: Ring, at: Point) -> tuple[int, float]:
    """Return the number of the corner before the nearest edge, and how far that edge is away in mm."""
    away = [_to_edge(at, ring[k], ring[(k + 1) % len(ring)]) for k in range(len(ring))]
    best = min(range(len(ring)), key=away.__getitem__)
    return best, away[best]


def _to_edge(at: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    long = dx * dx + dy * dy
    t = 0.0 if long == 0 else min(max(((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / long, 0.0), 1.0)
    return math.hypot(at[0] - a[0] - t * dx, at[1] - a[1] - t * dy)


def _outline(ring: Ring, before: Outline | None, name: str) -> Outline:
    if before is not None and before.outer == ring:
        return before
    try:
        return Outline(ring, before.holes if before is not None else ())
    except ValueError as error:
        raise DrawnError(f"{name} is no closed shape ({error}); move a corner so that no edges cross.") from error
