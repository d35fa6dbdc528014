"""The dies of one layout on one sheet, in page coordinates: worked out once for all its passes."""

from __future__ import annotations

from functools import cached_property
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from PySide6.QtGui import QPainterPath
from shapely import STRtree, unary_union
from shapely.geometry import MultiPolygon, Polygon, box

from app.guide.hatching import Edges, edges
from app.guide.ink import path_of
from app.guide.job import Job
from app.guide.room import Canvas, Ground, Room
from app.guide.tape import tape_spots
from app.guide.tiles import Tile
from layout.model.plan import Layout
from layout.rules.book import posed

COARSE = 0.05


class Drawn(NamedTuple):
    """Dies ready to be drawn, each kind of line as one path: metal and blades of those that cut, the rest, the tape."""

    metal: QPainterPath
    blades: QPainterPath
    idle: QPainterPath
    tape: QPainterPath


class Taped:
    """Metal, blades and tape of a layout, and the room that they leave for words."""

    def __init__(self, job: Job, layout: Layout, tile: Tile) -> None:
        plate = tile.plate
        placed = [(job.dies[p.die], p.pose) for p in layout.dies]
        self.tile = tile
        self.kept: dict[object, object] = {}
        self._drawn: dict[frozenset[int], Drawn] = {}
        self.bodies = [plate.carry(posed(die.body.polygon, pose)) for die, pose in placed]
        self.cuts = [plate.carry(posed(die.cut.polygon, pose)) for die, pose in placed]
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
    def metal(self) -> Edges:
        """The border of all dies together, their openings filled; coarse, as hatches only end at it."""
        return edges(shapely.simplify(unary_union(self.solids), COARSE))

    @cached_property
    def tape(self) -> list[list[Polygon]]:
        """The tape spots of each die."""
        return tape_spots(self.bodies, self.cuts)

    def drawn(self, used: frozenset[int]) -> Drawn:
        """Return all dies in a few paths; those at `used` places cut, and are taped."""
        if used not in self._drawn:
            cutting = sorted(used)
            self._drawn[used] = Drawn(
                path_of(MultiPolygon([self.bodies[n] for n in cutting])),
                path_of(MultiPolygon([self.cuts[n] for n in cutting])),
                path_of(MultiPolygon([body for n, body in enumerate(self.bodies) if n not in used])),
                path_of(MultiPolygon([spot for n in cutting for spot in self.tape[n]])),
            )
        return self._drawn[used]

    @cached_property
    def owners(self) -> NDArray[np.uint32]:
        """The number of the die, from 1, that each cell of the page lies in: the inner one of two."""
        canvas = Canvas(self.tile.window)
        for number in sorted(range(len(self.solids)), key=lambda n: -self.solids[n].area):
            canvas.area(path_of(self.solids[number]), number + 1)
        return canvas.numbers()

    @cached_property
    def room(self) -> Room:
        """The room that metal, blades, tape and the bed's edge leave for words."""
        canvas = Canvas(self.tile.window)
        every = self.drawn(frozenset(range(len(self.bodies))))
        for path in (every.metal, every.blades, every.tape):
            canvas.line(path)
        canvas.line(path_of(Polygon(self.tile.plate.bed_ring)))
        return Room(self.tile.window, canvas.numbers() > 0)

    @cached_property
    def beside(self) -> Ground:
        """Where a number may stand that points at a die: on open ground, or beside dies that lie in another one."""
        outer = [0, *(number + 1 for number in range(len(self.solids)) if number in self.nests)]
        return Ground(np.isin(self.owners, outer).astype(np.uint32), 1)

    def face(self, number: int) -> Ground:
        """Return where a die may be written on: no smaller die lies there."""
        return Ground(self.owners, number + 1)

    @cached_property
    def nests(self) -> frozenset[int]:
        """The dies in whose opening smaller ones lie."""
        tree = STRtree(self.solids)
        pairs = zip(*tree.query(self.solids, predicate="intersects"), strict=True)
        return frozenset(int(a) for a, b in pairs if a != b and self.solids[b].area < self.solids[a].area)
