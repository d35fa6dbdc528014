"""A project looked up by id: shapes as polygons that are made once, and the names that sentences use."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import Any, TypeVar, cast

import numpy as np
import shapely
from shapely.geometry import Polygon

from layout.geometry.pose import Pose, cos_sin
from layout.geometry.units import Unit
from layout.model.naming import set_off
from layout.model.project import Die, Image, Project, Punch, Scrap
from layout.rules import words
from layout.rules.finding import SLACK

Shape = Any  # a shapely geometry: a polygon, or what straight cuts leave of one

T = TypeVar("T")


class PaperShape:
    """The paper of one sheet, or of a part of it, in the scrap's frame, with what is asked of it again and again."""

    def __init__(self, area: Shape, edge: float, uncut: Shape | None = None, web: float = 0.0) -> None:
        self.area = area
        self._edge, self._uncut, self._web = edge, uncut, web

    @cached_property
    def safe(self) -> Shape:
        """Where a piece's outer border may lie: off the edge, and a web off what this project itself cut before."""
        if self._uncut is None:
            safe = self.area.buffer(-self._edge + SLACK)
        else:
            off_cuts = self.area.buffer(-min(self._web, self._edge) + SLACK)
            safe = off_cuts.intersection(self._uncut.buffer(-self._edge + SLACK))
        shapely.prepare(safe)
        return safe

    @cached_property
    def border(self) -> Shape:
        """The paper's edge."""
        return self.area.boundary


class Book:
    """Lookups over one project; the unit is the one that sentences are written in."""

    def __init__(self, project: Project, unit: Unit = "mm") -> None:
        self.project = project
        self.machine = project.machine
        self.gaps = project.clearances
        self.unit: Unit = unit
        self.dies = {d.id: d for d in project.dies}
        self.punches = {p.id: p for p in project.punches}
        self.panels = {p.id: p for p in project.panels}
        self.papers = {p.id: p for p in project.papers}
        self.scraps = {s.id: s for s in project.scraps}
        self.wanted = {w.id: w for w in project.wanted}
        self._kept: dict[tuple[str, str], Any] = {}

    def body(self, die: str) -> Polygon:
        """Return a die's metal in its own frame."""
        return self._keep("body", die, lambda: self.dies[die].body.polygon)

    def cut(self, shape: str) -> Polygon:
        """Return what a die or a punch cuts, in its own frame."""
        return self._keep("cut", shape, lambda: self._cutter(shape).cut.polygon)

    def sheet(self, scrap: str) -> PaperShape:
        """Return a whole sheet of a scrap."""
        return self._keep("sheet", scrap, lambda: self._paper(self.scraps[scrap]))

    def stains(self, scrap: str) -> list[Polygon]:
        """Return a scrap's spoiled parts, in its frame."""
        return self._keep("stains", scrap, lambda: [prepared(s.polygon) for s in self.scraps[scrap].spoiled])

    def inks(self, scrap: str) -> list[tuple[Image, Polygon | None]]:
        """Return a scrap's images, each with its ink in the scrap's frame."""
        return self._keep("inks", scrap, lambda: [(i, _ink(i)) for i in self.scraps[scrap].images])

    def name(self, shape: str) -> str:
        """Return what a die, a punch or a panel is called."""
        thing = self.dies.get(shape) or self.punches.get(shape) or self.panels.get(shape)
        return set_off((thing.name or shape) if thing else shape)

    def wanted_name(self, wanted: str) -> str:
        """Return what a wanted piece is called: the name of its shape, with its id where others want the same."""
        entry = self.wanted.get(wanted)
        if entry is None:
            return wanted
        alike = sum(other.shape == entry.shape for other in self.project.wanted)
        return self.name(entry.shape) if alike == 1 else f"{self.name(entry.shape)} ({wanted})"

    def paper_name(self, paper: str) -> str:
        """Return what a paper is called."""
        entry = self.papers.get(paper)
        return (entry.name or paper) if entry else paper

    def scrap_name(self, scrap: str) -> str:
        """Return what a scrap is called: its own name or its id, and its paper where the name does not say it."""
        entry = self.scraps.get(scrap)
        if entry is None:
            return f"scrap {scrap}"
        name, paper = str(entry.extra.get("name") or scrap), self.paper_name(entry.paper)
        return f"scrap {name}" if name.startswith(paper) else f"scrap {name} ({paper})"

    def length(self, mm: float) -> str:
        """Write a length for a sentence, with its unit."""
        return words.length(mm, self.unit)

    def number(self, mm: float) -> str:
        """Write a length for a sentence, without its unit."""
        return words.number(mm, self.unit)

    def _paper(self, scrap: Scrap) -> PaperShape:
        uncut = None if scrap.uncut is None else scrap.uncut.polygon
        return PaperShape(scrap.outline.polygon, self.gaps.paper_edge, uncut, self.gaps.web)

    def _cutter(self, shape: str) -> Die | Punch:
        return self.dies[shape] if shape in self.dies else self.punches[shape]

    def _keep(self, kind: str, key: str, make: Callable[[], T]) -> T:
        if (kind, key) not in self._kept:
            self._kept[kind, key] = make()
        return cast(T, self._kept[kind, key])


def posed(shape: Shape, pose: Pose) -> Shape:
    """Carry a geometry from the local frame to the outer one."""
    c, s = cos_sin(pose.turn)
    turn, move = np.array([[c, s], [-s, c]]), np.array([pose.x, pose.y])
    return shapely.transform(shape, lambda points: points @ turn + move)


def solid(shape: Polygon) -> Polygon:
    """Return a polygon's outer border with its openings filled."""
    return Polygon(shape.exterior) if shape.interiors else shape


def prepared(shape: Shape) -> Shape:
    """Make a geometry quick to ask many times."""
    shapely.prepare(shape)
    return shape


def overlap(a: Shape, b: Shape) -> float:
    """Return the area two geometries share, in square mm; `a` may be prepared."""
    if not shapely.intersects(a, b):
        return 0.0
    try:
        return float(shapely.intersection(a, b).area)
    except shapely.errors.GEOSException:
        # Turning can make two borders that nearly touch cross by a rounding; cleaning undoes that.
        return float(shapely.intersection(shapely.make_valid(a), shapely.make_valid(b)).area)


def _ink(image: Image) -> Polygon | None:
    return None if image.outline is None else prepared(image.outline.polygon)
