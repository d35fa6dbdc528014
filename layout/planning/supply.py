"""What the papers can give at most: how many pieces of a kind, and how many of them one use of a die can cut.

Everything here is an upper limit that holds for every plan; a piece that is refused here cannot be made at all.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from shapely.geometry import Polygon

from layout.geometry.outline import Outline
from layout.model.project import Clearances, Die, Panel, Paper, Project, Punch, Scrap, Wanted
from layout.planning.extents import goes_into_box, least_box

SLACK = 0.006
_NO_PAPER = Paper("", "")


@dataclass(frozen=True, slots=True)
class Source:
    """One scrap that may give a piece: sheets cut at once at most, and pieces on all its sheets at most."""

    scrap: str
    layers: int
    pieces: int


def shapes_of(project: Project) -> dict[str, Die | Punch | Panel]:
    """Return everything that makes a piece, by id."""
    tools: list[Die | Punch | Panel] = [*project.dies, *project.punches, *project.panels]
    return {t.id: t for t in tools}


def papers_of(project: Project) -> dict[str, Paper]:
    """Return the papers by id."""
    return {p.id: p for p in project.papers}


def scraps_for(project: Project, wanted: Wanted) -> list[Scrap]:
    """Return the scraps of the paper that is asked for, in the project's order."""
    return [s for s in project.scraps if wanted.paper in (None, s.paper)]


def sources(project: Project, wanted: Wanted, cut: Outline) -> list[Source]:
    """Return the scraps that may give this piece; a scrap that surely cannot is left out."""
    papers = papers_of(project)
    found = []
    for scrap in scraps_for(project, wanted):
        room = scrap.count * most_on_sheet(scrap, wanted, cut, project.clearances)
        layers = min(scrap.count, max(1, papers.get(scrap.paper, _NO_PAPER).layers))
        if room > 0:
            found.append(Source(scrap.id, layers, room))
    return found


def most_on_sheet(scrap: Scrap, wanted: Wanted, cut: Outline, clearances: Clearances) -> int:
    """Return how many such pieces one sheet can give at most: never fewer than it really can."""
    by_room = most_by_room(scrap.outline, cut, clearances.paper_edge, clearances.web)
    if wanted.image is None:
        return by_room
    return min(by_room, sum(1 for i in scrap.images if i.image == wanted.image))


@lru_cache(maxsize=16384)
def most_by_room(sheet: Outline, cut: Outline, paper_edge: float, web: float) -> int:
    """Return how many pieces go on a sheet at most, by widths and areas alone, in any turn."""
    half = max(0.0, web - SLACK) / 2
    grown = float(cut.polygon.buffer(half).area)
    return sum(
        int(part.buffer(half, join_style="mitre").area / grown + 1e-9)
        for part in usable_parts(sheet, paper_edge)
        if may_hold(part, cut)
    )


@lru_cache(maxsize=4096)
def usable_parts(sheet: Outline, paper_edge: float) -> tuple[Polygon, ...]:
    """Return the parts of a sheet in which pieces may lie: the sheet less its edge."""
    inner = sheet.polygon.buffer(SLACK - paper_edge, join_style="mitre")
    parts = [inner] if isinstance(inner, Polygon) else list(inner.geoms)
    return tuple(p for p in parts if not p.is_empty and p.area > 0)


def may_hold(part: Polygon, cut: Outline) -> bool:
    """Tell whether a piece may lie within a part of a sheet; False is certain, True is not."""
    if cut.solid.area > part.area + SLACK:
        return False
    width, length = least_box(Outline.trusted(tuple(part.exterior.coords[:-1])))
    return goes_into_box(cut.solid, width + SLACK, length + SLACK)
