"""The dies of one layout on one sheet, in page coordinates: worked out once for all its passes."""

from __future__ import annotations

from functools import cached_property

import shapely
from PySide6.QtGui import QPainterPath
from shapely import unary_union
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from app.guide.ink import path_of
from app.guide.job import Job
from app.guide.tape import tape_spots
from app.guide.tiles import Tile
from layout.model.plan import Layout

COARSE = 0.05
CLEAR = 0.5
"""Words keep this far (mm) from lines."""


class Taped:
    """Metal, blades and tape of a layout, and the room that they leave for words."""

    def __init__(self, job: Job, layout: Layout, tile: Tile) -> None:
        plate = tile.plate
        placed = [(job.dies[p.die], p.pose) for p in layout.dies]
        self.tile = tile
        self.kept: dict[object, object] = {}
        self.bodies = [plate.polygon(pose.outline(die.body)) for die, pose in placed]
        self.cuts = [plate.polygon(pose.outline(die.cut)) for die, pose in placed]
        self.solids = [Polygon(body.exterior) for body in self.bodies]

    @classmethod
    def of(cls, job: Job, layout: Layout, tile: Tile) -> Taped:
        """Return what was worked out before for this layout and tile, or work it out."""
        key = (layout.id, tile)
        if key not in job.kept:
            job.kept[key] = cls(job, layout, tile)
        made: Taped = job.kept[key]
        return made

    @cached_property
    def view(self) -> Polygon:
        """What may be written in."""
        window = self.tile.window
        return box(window.x + 0.5, window.y + 0.5, window.right - 0.5, window.bottom - 0.5)

    @cached_property
    def metal(self) -> BaseGeometry:
        """All dies together, their openings filled; coarse, as hatches only end at it."""
        return shapely.simplify(unary_union(self.solids), COARSE)

    @cached_property
    def tape(self) -> list[list[Polygon]]:
        """The tape spots of each die."""
        return tape_spots(self.bodies, self.cuts)

    @cached_property
    def clear(self) -> BaseGeometry:
        """The part of the page that neither dies nor tape nor the bed's edge touch."""
        strips = [spot for spots in self.tape for spot in spots]
        taken = unary_union([widened(self.metal), *strips, widened(self.tile.plate.bed_ring)])
        clear = self.view.difference(taken)
        shapely.prepare(clear)
        return clear

    @cached_property
    def paths(self) -> list[tuple[QPainterPath, QPainterPath]]:
        """Metal and blade of each die, ready to be drawn."""
        return [(path_of(body), path_of(cut)) for body, cut in zip(self.bodies, self.cuts, strict=True)]

    @cached_property
    def faces(self) -> list[BaseGeometry]:
        """The parts of each die that no line crosses and no smaller die lies in."""
        return [self._face(number) for number in range(len(self.bodies))]

    @cached_property
    def room(self) -> BaseGeometry:
        """Where a number may stand that points at a die: on clear ground, or beside dies that lie in another one."""
        return unary_union([self.clear, *(face for n, face in enumerate(self.faces) if self.nested(n))])

    def nested(self, number: int) -> list[Polygon]:
        """The smaller dies that lie in a die's opening."""
        own = self.solids[number]
        return [o for n, o in enumerate(self.solids) if n != number and o.area < own.area and o.intersects(own)]

    def _face(self, number: int) -> BaseGeometry:
        own, nested = self.solids[number], self.nested(number)
        strips = [widened(spot.boundary) for spot in self.tape[number]]
        lines = [widened(self.bodies[number].boundary), widened(self.cuts[number].boundary), *strips]
        return own.intersection(self.view).difference(unary_union([*lines, *map(widened, nested)]))


def widened(shape: BaseGeometry) -> BaseGeometry:
    """Return a shape with the margin that words keep; coarse, as nothing is drawn by it."""
    return shapely.buffer(shapely.simplify(shape, 0.1), CLEAR, quad_segs=2)
