"""Hand-punched pieces: found places on what the dies have left of the sheets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose, angle_between
from layout.model.plan import Punched
from layout.model.project import PLAIN_UP, Image, Project, Punch, Scrap, Wanted
from layout.planning.extents import hull
from layout.planning.free_places import best_corner, moves_into, moves_within, out_of_reach, outward_turns
from layout.planning.stock import kept_edge
from layout.planning.supply import most_by_room

Lying = Mapping[tuple[str, int], Sequence[tuple[str, Polygon]]]
Parts = Mapping[tuple[str, int], Sequence[tuple[int, Polygon]]]
Kind = tuple[str, int | None, float, bool]
_MOST_TURNS = 12
_HAIR = 0.002  # what a search gives away so that an exact fit is more than a line
_SLACK = 0.004  # what the last check grants, within the 0.005 that rounding may cost
_ROUND = 24
_COARSE = 0.02
_AREA_HAIR = 0.01


@dataclass(slots=True)
class Sheet:
    """One sheet (or a part of one) and what has been cut from it, in the scrap's frame."""

    scrap: Scrap
    copy: int
    part: int | None
    shape: Polygon
    pieces: list[Polygon] = field(default_factory=list)
    touched: bool = False

    @property
    def kind(self) -> Kind:
        """Sheets of one kind are alike as long as nothing was cut from them."""
        return self.scrap.id, self.part, round(self.shape.area, 3), self.touched


def punch_pieces(
    project: Project, needs: Mapping[str, int], lying: Lying, parts: Parts | None = None
) -> tuple[list[Punched], dict[str, int]]:
    """Place as many of the needed pieces (wanted id: count) as go on the sheets; also return what is left over.

    `lying` holds the pieces already on each (scrap, copy), in the scrap's frame; `parts` the parts (number, shape) of
    sheets that were cut down; where it is given, sheets that neither of the two names are gone. Sheets that are
    touched already come first, then small ones, whole large ones last.
    """
    punches = {p.id: p for p in project.punches}
    tasks = [(w, punches[w.shape]) for w in project.wanted if w.shape in punches and needs.get(w.id, 0) > 0]
    tasks.sort(key=lambda t: (t[0].image is None, -t[1].cut.solid.area))
    sheets = _sheets(project, lying, parts)
    made, left = [], {}
    for wanted, punch in tasks:
        found = _punch_one_kind(project, wanted, punch, needs[wanted.id], sheets)
        made += found
        if len(found) < needs[wanted.id]:
            left[wanted.id] = needs[wanted.id] - len(found)
    return made, left


def _sheets(project: Project, lying: Lying, parts: Parts | None) -> list[Sheet]:
    found = []
    for scrap in project.scraps:
        for copy in range(scrap.count):
            cut = list(lying.get((scrap.id, copy), ()))
            for number, shape in _shapes(scrap, copy, lying, parts):
                pieces = [p for _, p in cut if shape.intersects(p)]
                found.append(Sheet(scrap, copy, number, shape, pieces, bool(cut)))
    return found


def _shapes(scrap: Scrap, copy: int, lying: Lying, parts: Parts | None) -> Sequence[tuple[int | None, Polygon]]:
    """Return what there is of one sheet: the whole, its parts, or nothing where it is gone."""
    whole = [(None, scrap.outline.polygon)]
    if parts is None:
        return whole
    return parts.get((scrap.id, copy)) or (whole if (scrap.id, copy) in lying else ())


def _punch_one_kind(
    project: Project, wanted: Wanted, punch: Punch, count: int, sheets: Sequence[Sheet]
) -> list[Punched]:
    made: list[Punched] = []
    full: dict[Kind, list[Pose]] = {}
    usable = [s for s in sheets if wanted.paper in (None, s.scrap.paper)]
    for sheet in sorted(usable, key=lambda s: (not s.touched, s.shape.area)):
        left = count - len(made)
        if left <= 0:
            break
        kind = sheet.kind
        if kind in full and len(full[kind]) <= left:
            poses = _again(punch, sheet, full[kind])
        else:
            poses = _poses_on(project, wanted, punch, sheet, left)
        made += [Punched(wanted.id, punch.id, sheet.scrap.id, pose, sheet.copy, sheet.part) for pose in poses]
        if not sheet.touched and len(poses) < left:
            full[kind] = poses
        sheet.touched = sheet.touched or bool(poses)
    return made


def _again(punch: Punch, sheet: Sheet, poses: list[Pose]) -> list[Pose]:
    """Punch a sheet as its like was punched before."""
    sheet.pieces += [p.outline(punch.cut).polygon for p in poses]
    return poses


def _poses_on(project: Project, wanted: Wanted, punch: Punch, sheet: Sheet, count: int) -> list[Pose]:
    """Punch up to `count` pieces from one sheet; they are added to what lies on it."""
    gaps = project.clearances
    if not most_by_room(Outline.of(sheet.shape.exterior.coords[:-1]), punch.cut, gaps.paper_edge, gaps.web):
        return []
    if wanted.image is not None:
        return _on_images(project, wanted, punch, sheet, count)
    poses: list[Pose] = []
    room = sheet.shape.buffer(_HAIR - kept_edge(project.clearances, sheet.part))
    for turn in _turns(wanted, sheet):
        if len(poses) >= count:
            break
        poses += _row(project, punch, sheet, room, turn, count - len(poses))
    return poses


def _turns(wanted: Wanted, sheet: Sheet) -> list[float]:
    """Return the turns (degrees, in the scrap's frame) worth trying."""
    if wanted.angles is not None:
        return [(a + sheet.scrap.up - PLAIN_UP) % 360.0 for a in wanted.angles]
    return outward_turns(sheet.shape, _MOST_TURNS)


def _row(project: Project, punch: Punch, sheet: Sheet, room: BaseGeometry, turn: float, count: int) -> list[Pose]:
    """Punch pieces in one turn, each as near to the edge that goes in first as it will go."""
    corners = hull(Pose(0.0, 0.0, turn).outline(punch.cut))
    places = moves_within(room, corners)
    if not places.is_empty:
        places = places.difference(out_of_reach(sheet.shape, turn, punch.reach, punch.mouth))
    if not places.is_empty:
        places = places.difference(moves_into(_taken(project, sheet), corners))
    poses: list[Pose] = []
    while len(poses) < count and (at := best_corner(places, turn)) is not None:
        pose = Pose(at[0], at[1], turn)
        piece = pose.outline(punch.cut).polygon
        places = places.difference(moves_into([_kept_clear(piece, project.clearances.web)], corners))
        if _holds(project, sheet, punch, pose, room, None):
            poses.append(pose)
            sheet.pieces.append(piece)
    return poses


def _taken(project: Project, sheet: Sheet) -> list[BaseGeometry]:
    """Return what no piece may touch: stains, inked images, and the pieces with the web about them."""
    marks: list[BaseGeometry] = [s.polygon for s in sheet.scrap.spoiled]
    marks += [i.outline.polygon for i in sheet.scrap.images if i.outline is not None]
    return [*marks, *(_kept_clear(p, project.clearances.web) for p in sheet.pieces)]


def _kept_clear(piece: Polygon, web: float) -> BaseGeometry:
    """Return a piece with the web about it; where that has hollows, with fewer corners and a hair more."""
    clear = piece.buffer(web, _ROUND)
    if clear.convex_hull.area - clear.area <= 1e-5 * clear.area:
        return clear
    return piece.buffer(web + _COARSE, _ROUND).simplify(_COARSE)


def _on_images(project: Project, wanted: Wanted, punch: Punch, sheet: Sheet, count: int) -> list[Pose]:
    """Punch round the images of the name that is asked for, exactly at their poses."""
    room = sheet.shape.buffer(_HAIR - kept_edge(project.clearances, sheet.part))
    poses: list[Pose] = []
    for image in sheet.scrap.images:
        if len(poses) >= count or image.image != wanted.image or not _turn_allowed(wanted, sheet, image.pose.turn):
            continue
        if _holds(project, sheet, punch, image.pose, room, image):
            poses.append(image.pose)
            sheet.pieces.append(image.pose.outline(punch.cut).polygon)
    return poses


def _turn_allowed(wanted: Wanted, sheet: Sheet, turn: float) -> bool:
    angles = wanted.angles
    if angles is None:
        return True
    upright = turn - (sheet.scrap.up - PLAIN_UP)
    return any(angle_between(upright, a) <= (wanted.turn_tolerance or 0.0) for a in angles)


def _holds(project: Project, sheet: Sheet, punch: Punch, pose: Pose, room: BaseGeometry, framed: Image | None) -> bool:
    """Check every rule for one piece on the true outlines."""
    cut = pose.outline(punch.cut)
    piece = cut.polygon
    marks = [s.polygon for s in sheet.scrap.spoiled]
    marks += [i.outline.polygon for i in sheet.scrap.images if i.outline is not None and i is not framed]
    return (
        bool(room.buffer(_SLACK - _HAIR).covers(cut.solid.polygon))
        and all(piece.distance(p) >= project.clearances.web - _SLACK for p in sheet.pieces)
        and all(piece.intersection(m).area <= _AREA_HAIR for m in marks)
        and _within_reach(sheet.shape, punch, pose)
    )


def _within_reach(shape: Polygon, punch: Punch, pose: Pose) -> bool:
    """Tell whether no part of the sheet lies deeper than the punch reaches, within the mouth's width."""
    seen = Outline.of(shape.exterior.coords[:-1])
    upright = pose.inverse().outline(seen)
    half = min(punch.mouth / 2, 1e5)
    behind = Polygon([(-half, punch.reach + _SLACK), (half, punch.reach + _SLACK), (half, 1e5), (-half, 1e5)])
    return bool(upright.polygon.intersection(behind).area <= _AREA_HAIR)
