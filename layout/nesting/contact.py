"""Contacts between things on a bed, to first order: which points must gain how much, and what moving gives them.

A mover is a sheet or a die, numbered sheets first. What lies at a given place on a sheet moves with the sheet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from layout.geometry.field import Floats
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import Value
from layout.nesting.job import BedAnswer, BedJob, Box

NEAR = 2.0  # mm beyond the clearance: what is farther off is no contact yet
SPACING = 4.0  # mm between points of a border at most
BED = -1

# columns of a row: which mover must gain, over which other (or the bed), by going and turning how, and how much (mm)
ONE, OTHER, GAINS, LACK = 0, 1, slice(2, 8), 8
WIDTH = 9


class Body(Value, frozen=True):
    """A shape where it lies now: points of its border, its edges (from, to; inside on the left), its mover's middle.

    Corners alone would not do: those of two equal squares may lie on each other's sides while the squares overlap.
    """

    mover: int
    polygon: Polygon
    points: Floats
    edges: Floats
    middle: Floats


def movers_of(job: BedJob) -> list[int]:
    """With which mover each die goes."""
    first = len(job.sheets)
    return [d.hosts[0] if d.on_sheet is not None and d.held is None else first + k for k, d in enumerate(job.dies)]


def contacts(job: BedJob, answer: BedAnswer, middles: Sequence[Floats]) -> Floats:
    """All rows of a bed as things lie; shape (contacts, 9)."""
    return np.concatenate([np.zeros((0, WIDTH)), *_rows(job, answer, middles)])


def worst(rows: Floats) -> float:
    """By how much the worst contact is too close (mm)."""
    return float(np.max(rows[:, LACK], initial=0.0))


def _rows(job: BedJob, answer: BedAnswer, middles: Sequence[Floats]) -> Iterator[Floats]:
    movers = movers_of(job)

    def body(mover: int, outline: Outline, pose: Pose) -> Body:
        return _body(mover, outline, pose, middles[mover])

    sheets = [body(k, s.outline, answer.sheets[k]) for k, s in enumerate(job.sheets)]
    metals = [body(m, d.metal, p) for m, d, p in zip(movers, job.dies, answer.dies, strict=True)]
    yield from (_in_box(m, job.bed) for m, d in zip(metals, job.dies, strict=True) if d.held is None)
    yield from (_in_box(b, job.rollers) for b, s in zip(sheets, job.sheets, strict=True) if s.held is None)
    yield from _all_apart(metals, job.gap)
    yield from _all_apart(sheets, 0.0)
    for die, mover, pose, host in zip(job.dies, movers, answer.dies, answer.hosts, strict=True):
        if die.hosts and mover != host and not die.on_image:
            sheet, cut = job.sheets[host], body(mover, die.cut, pose)
            yield _within(cut, sheets[host], sheet.edge)
            yield _apart(sheets[host], cut, sheet.edge)
            for mark, gap in sheet.marks:
                yield from _all_apart([cut, body(host, mark, answer.sheets[host])], gap)


def _body(mover: int, outline: Outline, pose: Pose, middle: Floats) -> Body:
    lying = orient(pose.outline(outline).polygon)
    points = shapely.get_coordinates(shapely.segmentize(lying, SPACING))
    rings = [np.asarray(r.coords) for r in (lying.exterior, *lying.interiors)]
    edges = np.concatenate([np.column_stack([r[:-1], r[1:]]) for r in rings])
    return Body(mover, lying, points, edges, middle)


def _in_box(body: Body, box: Box) -> Floats:
    """Points that could come over a box's border."""
    made = []
    for x, y, border in ((1.0, 0.0, box[0]), (-1.0, 0.0, -box[2]), (0.0, 1.0, box[1]), (0.0, -1.0, -box[3])):
        lack = border - body.points @ (x, y)
        near = body.points[lack > -NEAR]
        made.append(_made(body, near, np.full(near.shape, (x, y)), lack[lack > -NEAR]))
    return np.concatenate(made)


def _all_apart(bodies: Sequence[Body], gap: float) -> Iterator[Floats]:
    for one in bodies:
        yield from (_apart(one, other, gap) for other in bodies if other.mover != one.mover)


def _apart(one: Body, other: Body, gap: float) -> Floats:
    """Points of one body that could come nearer to another than `gap`."""
    room = gap + NEAR
    x0, y0, x1, y1 = other.polygon.bounds
    p = one.points
    near = p[(p[:, 0] > x0 - room) & (p[:, 0] < x1 + room) & (p[:, 1] > y0 - room) & (p[:, 1] < y1 + room)]
    if not len(near):
        return np.zeros((0, WIDTH))
    at, way, clear = _nearest(near, other)
    kept = clear < room
    return _against(_made(one, near[kept], way[kept], gap - clear[kept]), other, at[kept], way[kept])


def _within(one: Body, other: Body, edge: float) -> Floats:
    """Points of one body that could come nearer than `edge` to the border of another, in which it must stay."""
    at, way, clear = _nearest(one.points, other)
    kept = clear > -edge - NEAR
    rows = _made(one, one.points[kept], -way[kept], edge + clear[kept])
    return _against(rows, other, at[kept], -way[kept])


def _made(body: Body, points: Floats, way: Floats, lack: Floats) -> Floats:
    """Rows for points that must gain `lack` along `way`, by their mover's going and turning about its middle."""
    rows = np.zeros((len(points), WIDTH))
    rows[:, ONE], rows[:, OTHER] = body.mover, BED
    rows[:, 2:4], rows[:, 4], rows[:, LACK] = way, _turning(points - body.middle, way), lack
    return rows


def _against(rows: Floats, other: Body, at: Floats, way: Floats) -> Floats:
    """The same rows where what stands against them, at `at`, moves too."""
    rows[:, OTHER] = other.mover
    rows[:, 5:7], rows[:, 7] = -way, -_turning(at - other.middle, way)
    return rows


def _turning(arm: Floats, way: Floats) -> Floats:
    """How far along `way` the ends of arms go for a radian."""
    return arm[:, 0] * way[:, 1] - arm[:, 1] * way[:, 0]


def _nearest(points: Floats, body: Body) -> tuple[Floats, Floats, Floats]:
    """For each point the nearest place of a border, the way out of the body there, and the signed distance."""
    start, along = body.edges[:, :2], body.edges[:, 2:] - body.edges[:, :2]
    share = np.einsum("pek,ek->pe", points[:, None] - start, along) / np.einsum("ek,ek->e", along, along)
    at = start + np.clip(share, 0.0, 1.0)[..., None] * along
    apart = points[:, None] - at
    nearest = np.argmin(np.einsum("pek,pek->pe", apart, apart), axis=1)
    pick = np.arange(len(points))
    at, apart, share, along = at[pick, nearest], apart[pick, nearest], share[pick, nearest], along[nearest]
    far = np.hypot(*apart.T)
    sign = np.where(shapely.contains_xy(body.polygon, points), -1.0, 1.0)
    square = np.column_stack([along[:, 1], -along[:, 0]]) / np.hypot(*along.T)[:, None]
    at_corner = ((share <= 0.0) | (share >= 1.0)) & (far > 1e-7)
    way = np.where(at_corner[:, None], apart * (sign / np.maximum(far, 1e-12))[:, None], square)
    return at, way, sign * far
