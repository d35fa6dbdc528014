"""From the plate's frame (x across, y along the feed) to a page, plain or mirrored."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry import LinearRing, Polygon

from app.guide.sheet import Box
from layout.geometry.outline import Outline, Point, Ring


@dataclass(frozen=True, slots=True)
class PlateMap:
    """Where the bed's lower left corner lies on the page (mm from the upper left, y down), and whether it is mirrored.

    Mirrored is left for right across the feed: what a person sees who looks at blades that point up.
    """

    left: float
    bottom: float
    bed_width: float
    bed_length: float
    mirrored: bool = False

    def point(self, at: Point) -> Point:
        """Carry a point from the plate to the page."""
        across = self.bed_width - at[0] if self.mirrored else at[0]
        return (self.left + across, self.bottom - at[1])

    def ring(self, ring: Ring) -> Ring:
        """Carry a ring from the plate to the page."""
        return tuple(self.point(p) for p in ring)

    def polygon(self, outline: Outline) -> Polygon:
        """Carry an outline from the plate to the page, as a polygon of the page."""
        return Polygon(self.ring(outline.outer), [self.ring(hole) for hole in outline.holes])

    def carry(self, shape: Polygon) -> Polygon:
        """Carry a polygon of the plate to the page."""
        across, left = (-1.0, self.left + self.bed_width) if self.mirrored else (1.0, self.left)
        return shapely.transform(shape, lambda at: at * (across, -1.0) + (left, self.bottom))

    @property
    def bed_ring(self) -> LinearRing:
        """The bed's border on the page."""
        return Polygon.from_bounds(
            self.left, self.bottom - self.bed_length, self.left + self.bed_width, self.bottom
        ).exterior

    @property
    def bed(self) -> Box:
        """The bed on the page."""
        return Box(self.left, self.bottom - self.bed_length, self.bed_width, self.bed_length)
