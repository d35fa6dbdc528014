"""What a pass that is done uses up: sheets lose what was cut, what remains is kept or trimmed, pieces are counted.

Pure: from a project and its plan to the ones afterwards. The geometry is exact: the area of every sheet is what
remains, what was cut and what was trimmed away together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import shapely
from shapely.geometry import Point, Polygon

from layout.geometry.outline import Outline, from_polygon
from layout.geometry.value import replace
from layout.model.done import Spare
from layout.model.project import Image, Project, Scrap, Wanted

WORTH_KEEPING = 25.0  # mm: the circle that must go on a piece of paper for it to be kept; 'common practice'
DUST = 1e-3  # square mm: below this, what is left is a rounding

Shape = Any  # a shapely geometry


@dataclass(frozen=True, slots=True)
class Remains:
    """What is left of one sheet: pieces of paper worth keeping, and the areas (square mm) cut out and trimmed away."""

    kept: tuple[Scrap, ...]
    cut: float
    trimmed: float


def remains_of(
    scrap: Scrap, sheet: Shape, pieces: Sequence[Outline], worth_keeping: float, needed: Sequence[Point] = ()
) -> Remains:
    """Take pieces out of one sheet (both in the scrap's frame); a part that holds a `needed` point is kept anyway."""
    cut = shapely.union_all([piece.polygon for piece in pieces]) if pieces else Polygon()
    rest = shapely.difference(sheet, cut)
    taken = max(0.0, float(sheet.area - rest.area))  # a difference of areas: where nothing is cut it may round below
    parts = [p for p in _polygons(rest) if _is_kept(p, worth_keeping, needed)]
    kept = tuple(_scrap_of(scrap, part) for part in parts)
    return Remains(kept, taken, max(0.0, float(rest.area) - sum(k.outline.area for k in kept)))


def _is_kept(part: Polygon, worth_keeping: float, needed: Sequence[Point]) -> bool:
    if part.area <= DUST:
        return False
    return is_worth_keeping(part, worth_keeping) or any(part.covers(point) for point in needed)


def is_worth_keeping(part: Polygon, worth_keeping: float) -> bool:
    """Whether a circle of so many mm goes on a piece of paper."""
    return not part.buffer(-worth_keeping / 2).is_empty


def _polygons(shape: Shape) -> Iterator[Polygon]:
    if isinstance(shape, Polygon):
        if not shape.is_empty:
            yield shape
        return
    for part in getattr(shape, "geoms", ()):
        yield from _polygons(part)


def _scrap_of(scrap: Scrap, part: Polygon) -> Scrap:
    """One part of a sheet with its print's direction, its stains and its images; half of an image is a stain."""
    images = tuple(i for i in scrap.images if _is_whole_on(part, i))
    halves = [ink for i in scrap.images if i not in images for ink in _ink_left(part, i)]
    spoiled = tuple(s for s in scrap.spoiled if part.intersection(s.polygon).area > DUST)
    return replace(scrap, outline=from_polygon(part), count=1, spoiled=(*spoiled, *halves), images=images)


def _is_whole_on(part: Polygon, image: Image) -> bool:
    if image.outline is None:
        return bool(part.covers(Point(image.pose.x, image.pose.y)))
    return float(image.outline.polygon.difference(part).area) <= DUST


def _ink_left(part: Polygon, image: Image) -> list[Outline]:
    if image.outline is None:
        return []
    return [from_polygon(p) for p in _polygons(part.intersection(image.outline.polygon)) if p.area > DUST]


# ---- pieces --------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece that comes off a sheet, in the scrap's frame, and how many of it: one from each sheet of a stack."""

    wanted: str
    name: str
    cut: Outline
    paper: str
    count: int


def share_out(project: Project, pieces: Sequence[Piece]) -> tuple[dict[str, int], tuple[Spare, ...]]:
    """Part the pieces made into those that are due and the surplus; together they are all of them."""
    asked = {w.id: w for w in project.wanted}
    shapes = {die.id: die.cut for die in project.dies} | {punch.id: punch.cut for punch in project.punches}
    shapes |= {panel.id: panel.outline for panel in project.panels}
    made: dict[str, int] = {}
    spares: list[Spare] = []
    for piece in pieces:
        wanted = asked.get(piece.wanted)
        used = min(piece.count, _still_due(project, wanted, made)) if wanted is not None else 0
        if used:
            made[piece.wanted] = made.get(piece.wanted, 0) + used
        if piece.count > used:
            image = None if wanted is None else wanted.image
            own = shapes.get(wanted.shape, piece.cut) if wanted is not None else piece.cut
            spares.append(Spare(piece.wanted, piece.name, own, piece.paper, piece.count - used, image))
    return made, _gathered(spares)


def _gathered(spares: Sequence[Spare]) -> tuple[Spare, ...]:
    """Count alike pieces together: in the tin it no longer matters how they lay on their sheets."""
    alike: dict[tuple[Any, ...], Spare] = {}
    for spare in spares:
        key = spare.wanted, spare.name, spare.cut, spare.paper, spare.image
        alike[key] = replace(spare, count=spare.count + (alike[key].count if key in alike else 0))
    return tuple(alike.values())


def _still_due(project: Project, wanted: Wanted, made: dict[str, int]) -> int:
    return max(0, project.due(wanted) - made.get(wanted.id, 0))


def new_ids(project: Project, base: str, count: int, also: Sequence[str] = ()) -> list[str]:
    """Return names for what is left of a scrap: "moss-2 left", "moss-2 left 2", none of which was ever used before."""
    used = {s.id for s in project.scraps} | set(also)
    used |= {left.scrap.id for run in project.done.runs for left in run.left}
    used |= {taken.scrap.id for run in project.done.runs for taken in run.taken}
    stem = re.sub(r" left( \d+)?$", "", base) + " left"
    found: list[str] = []
    number = 1
    while len(found) < count:
        name = stem if number == 1 else f"{stem} {number}"
        if name not in used:
            found.append(name)
        number += 1
    return found
