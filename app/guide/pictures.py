"""Small pictures: a scrap, a die, a pass, drawn to a scale that fits a box."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import shapely
from PySide6.QtGui import QPainterPath
from shapely import affinity, unary_union
from shapely.geometry import Polygon
from shapely.geometry import box as rectangle
from shapely.geometry.base import BaseGeometry

from app.guide.hatching import HATCHES, cross_hatch, hatch
from app.guide.ink import GREY, WHITE, Ink, path_of
from app.guide.marks import badge, paint_up
from app.guide.sheet import Box
from layout.geometry.pose import cos_sin

FINE = 0.05
COARSE = 0.4
SPOT = 0.5
"""How exactly (mm) the place with most room for a number is looked for."""


@dataclass(frozen=True, slots=True)
class Scaled:
    """A map from a thing's own frame (y up) into a box of the page (y down), at one scale for both axes."""

    scale: float
    dx: float
    dy: float
    mirrored: bool = False

    @classmethod
    def fit(cls, bounds: Sequence[float], box: Box, most: float = 1.0, mirrored: bool = False) -> Scaled:
        """Fit bounds (mm) into a box, centred, no larger than `most` of true size."""
        x0, y0, x1, y1 = bounds
        scale = min(box.width / max(x1 - x0, 1e-6), box.height / max(y1 - y0, 1e-6), most)
        middle = box.x + box.width / 2, box.y + box.height / 2
        across = (x0 + x1) / 2 * (-1 if mirrored else 1)
        return cls(scale, middle[0] - across * scale, middle[1] + (y0 + y1) / 2 * scale, mirrored)

    def shape(self, shape: BaseGeometry) -> BaseGeometry:
        """Carry a geometry to the page, without detail too fine to see there."""
        across = -self.scale if self.mirrored else self.scale
        return affinity.affine_transform(shape, [across, 0, 0, -self.scale, self.dx, self.dy]).simplify(FINE)

    def point(self, at: Sequence[float]) -> tuple[float, float]:
        """Carry a point to the page."""
        across = -self.scale if self.mirrored else self.scale
        return (self.dx + at[0] * across, self.dy - at[1] * self.scale)


def outline(ink: Ink, shape: BaseGeometry, width: float = 0.2, dash: Sequence[float] = ()) -> None:
    """Draw all borders of a polygon or several."""
    for part in getattr(shape, "geoms", [shape]):
        if isinstance(part, Polygon) and not part.is_empty:
            for ring in shapely.get_rings(part):
                ink.ring(shapely.get_coordinates(ring)[:-1], width, dash)


def paint_sheet(
    ink: Ink,
    box: Box,
    paper: Polygon,
    up: float,
    stains: Sequence[Polygon] = (),
    images: Sequence[Polygon] = (),
    gone: Sequence[BaseGeometry] = (),
) -> Scaled:
    """Draw a scrap in its own frame: border, way up, stains, stamped images, and what is cut out of it."""
    scaled = Scaled.fit(paper.bounds, box, most=0.5)
    shape = scaled.shape(paper)
    for piece in gone:
        ink.plate(scaled.shape(piece), 0.15, fill=GREY)
    for stain in stains:
        ink.strokes(cross_hatch(scaled.shape(stain), 1.0), 0.1)
    for image in images:
        outline(ink, scaled.shape(image), 0.12, (0.4, 0.6))
    outline(ink, shape, 0.3)
    if not gone and not shape.is_empty:
        spot = shape.representative_point()
        x, y = cos_sin(up)
        ink.circle((spot.x, spot.y), 3.0, 0.0, fill=WHITE)
        paint_up(ink, (spot.x, spot.y), (x, -y), 2.2)
    return scaled


@dataclass(frozen=True)
class SmallDie:
    """A die on the plate without detail too fine for a small picture: number, border, and where the number stands."""

    shown: str
    solid: Polygon
    spot: tuple[float, float]
    paths: dict[tuple[float, bool], QPainterPath] = field(default_factory=dict, compare=False)

    @classmethod
    def of(cls, shown: str, solid: Polygon, others: Sequence[Polygon]) -> SmallDie:
        """Simplify a die's border; its number stands where there is most room beside smaller dies in its opening."""
        solid = solid.simplify(COARSE)
        nested = [other for other in others if other.area < solid.area and other.intersects(solid)]
        room = solid.difference(unary_union(nested))
        spot = shapely.maximum_inscribed_circle(room, tolerance=SPOT).coords[0]
        return cls(shown, solid, (spot[0], spot[1]))

    def path(self, scale: float, mirrored: bool) -> QPainterPath:
        """Return its border round the plate's origin, worked out once for all pictures of one size."""
        if (scale, mirrored) not in self.paths:
            self.paths[scale, mirrored] = path_of(Scaled(scale, 0.0, 0.0, mirrored).shape(self.solid))
        return self.paths[scale, mirrored]


@dataclass(frozen=True)
class PassPicture:
    """What a small picture of one pass shows, in the plate frame."""

    bed: tuple[float, float]
    papers: Sequence[Polygon]
    dies: Sequence[SmallDie]
    used: Sequence[bool]
    mirrored: bool = False

    def paint(self, ink: Ink, box: Box) -> None:
        """Draw bed, papers with their hatches, dies with their numbers; dies that are lifted off are left out."""
        bed = rectangle(0, 0, *self.bed)
        scaled = Scaled.fit(bed.bounds, box.less(2, 2, 2, 2), most=0.5, mirrored=self.mirrored)
        used = [small for small, is_used in zip(self.dies, self.used, strict=True) if is_used]
        with ink.within(box):
            for number, paper in enumerate(self.papers):
                shape = scaled.shape(paper)
                angle, gap = HATCHES[number % len(HATCHES)]
                ink.strokes(hatch(shape, angle, gap * 0.5), 0.06)
                outline(ink, shape, 0.2, (1.6, 0.6))
            with ink.moved((scaled.dx, scaled.dy)):
                for small in used:
                    ink.plate(small.path(scaled.scale, scaled.mirrored), 0.15)
            for small in used:
                x, y = scaled.point(small.spot)
                ink.text((x, y + 0.9), small.shown, 2.5, bold=True, align="middle")
        outline(ink, scaled.shape(bed), 0.35)


def paint_die(ink: Ink, box: Box, body: Polygon, cut: Polygon, shown: str) -> None:
    """Draw a die small: metal, blade, and its number beside it."""
    badge(ink, (box.x + 2.8, box.y + 2.8), shown)
    scaled = Scaled.fit(body.bounds, box.less(left=6.4), most=0.4)
    outline(ink, scaled.shape(body), 0.15)
    outline(ink, scaled.shape(cut), 0.12, (0.8, 0.5))
