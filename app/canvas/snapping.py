"""A thing in hand is drawn to where it lies well: just clear of dies and margin, evenly in a row, round its image.

Sheets are drawn edge to edge.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, NamedTuple

from app.canvas.draft import Draft
from app.canvas.equal_gaps import Bounds, equal_gaps
from app.canvas.framing import image_mark, image_pose
from app.canvas.paths import posed_path
from app.canvas.scene import DieItem, Scene
from app.canvas.snapmark import SnapMark, Snapped
from layout.geometry.pose import Pose, cos_sin
from layout.model.project import Wanted

if TYPE_CHECKING:
    from shapely.geometry import Polygon

PULLS = 3  # things that may draw one die: two neighbours and an edge pin it in both directions
HAIR = 0.002  # mm beyond just clear, so that rounding never makes it too close
ACROSS, ALONG = -1, -2  # numbers of the margins, beside those of the dies
EVEN_ACROSS, EVEN_ALONG = -3, -4  # and of the equal gaps
HOLDS = 0.02  # mm within which what drew a thing first still counts after other pulls
BEYOND = 6.0  # mm by which the line along an edge sticks out of what lies on it


class Pull(NamedTuple):
    """A move in mm, and the number of the thing that asks for it."""

    dx: float
    dy: float
    who: int


class Snapper:
    """Knows where the dies of one scene lie; `gap` is the distance between dies that the project asks for."""

    def __init__(self, scene: Scene, gap: float, wanted: Sequence[Wanted] = ()) -> None:
        self._scene, self._gap, self._wanted = scene, gap + HAIR, wanted
        self._laid: dict[int, Polygon] = {}
        boxes = ((d.index, d.solid.boundingRect()) for d in scene.dies)
        self._boxes = {index: (b.left(), b.top(), b.right(), b.bottom()) for index, b in boxes}

    def snap(self, draft: Draft, reach: float) -> Snapped:
        """Return the draft moved by at most about `reach` mm; several things in hand keep their places."""
        if len(draft.scraps) == 1:
            return self._snap_sheet(draft, *next(iter(draft.scraps.items())), reach)
        if len(draft.dies) != 1 or draft.scraps:
            return Snapped(draft)
        index, pose = next(iter(draft.dies.items()))
        item = self._scene.dies[index]
        framing = image_pose(self._scene, self._wanted, item, pose, reach)
        if framing is not None:
            return Snapped(Draft({index: framing}), (image_mark(item, framing),))
        return self._snap_die(draft, item, pose, reach)

    # ---- sheets -------------------------------------------------------------------------------------------------

    def _snap_sheet(self, draft: Draft, index: int, pose: Pose, reach: float) -> Snapped:
        """Lay a sheet's edges to the bed's and to other sheets', side by side or level."""
        machine = self._scene.machine
        mine = posed_path(self._scene.scraps[index].scrap.outline, pose).boundingRect()
        others = [s.shape.boundingRect() for s in self._scene.scraps if s.index != index]
        across = [0.0, machine.bed_width, *(x for box in others for x in (box.left(), box.right()))]
        along = [0.0, machine.bed_length, *(y for box in others for y in (box.top(), box.bottom()))]
        dx, x = _nearest((mine.left(), mine.right()), across, reach)
        dy, y = _nearest((mine.top(), mine.bottom()), along, reach)
        box = (mine.left() + dx, mine.top() + dy, mine.right() + dx, mine.bottom() + dy)
        marks = [_edge_across(box, x)] if x is not None else []
        marks += [_edge_along(box, y)] if y is not None else []
        return Snapped(draft.shifted(dx, dy), tuple(marks))

    # ---- dies ---------------------------------------------------------------------------------------------------

    def _snap_die(self, draft: Draft, item: DieItem, pose: Pose, reach: float) -> Snapped:
        dx = dy = 0.0
        drawn: set[int] = set()
        body = posed(item.die.body.solid.polygon, pose)
        for _ in range(PULLS):
            pulls = sorted(self._pulls(item.index, body, reach, drawn), key=lambda p: math.hypot(p.dx, p.dy))
            best = next((p for p in pulls if self._may(item.index, body, p, drawn)), None)
            if best is None:
                break
            drawn.add(best.who)
            dx, dy = dx + best.dx, dy + best.dy
            body = posed(item.die.body.solid.polygon, Pose(pose.x + dx, pose.y + dy, pose.turn))
        return Snapped(draft.shifted(dx, dy), tuple(self._marks(item.index, body, drawn)))

    def _may(self, index: int, body: Polygon, pull: Pull, drawn: set[int]) -> bool:
        """Whether a further pull undoes nothing before it; one to an even row brings the die too near to none."""
        if pull.who in drawn or (EVEN_ACROSS in drawn and pull.dx) or (EVEN_ALONG in drawn and pull.dy):
            return False
        near = self._near(index, body, math.hypot(pull.dx, pull.dy)) if pull.who <= EVEN_ACROSS else []
        return self._keeps_clear(body, pull, drawn.union(d.index for d in near))

    def _keeps_clear(self, body: Polygon, pull: Pull, of: set[int]) -> bool:
        import shapely

        laid = [self._polygon(self._scene.dies[i]) for i in of if i >= 0]
        if not laid:
            return True
        moved = shapely.transform(body, lambda points: points + pull[:2])
        return not any(shapely.dwithin(other, moved, self._gap - HAIR / 2) for other in laid)

    def _pulls(self, index: int, body: Polygon, reach: float, drawn: set[int]) -> list[Pull]:
        """Return the moves to just clear of each thing near the die, to the margins and to equal gaps."""
        pulls = [
            pull
            for other in self._near(index, body, reach)
            if other.index not in drawn
            for pull in self._just_clear(body, other, reach)
        ]
        return pulls + _margin_pulls(self._scene, body.bounds, reach) + self._even_pulls(index, body.bounds, reach)

    def _near(self, index: int, body: Polygon, reach: float) -> list[DieItem]:
        bounds, gap = body.bounds, reach + self._gap
        return [d for d in self._scene.dies if d.index != index and _boxes_near(bounds, self._boxes[d.index], gap)]

    def _even_pulls(self, index: int, bounds: Bounds, reach: float) -> list[Pull]:
        others = [box for i, box in self._boxes.items() if i != index]
        pulls = [Pull(e.move, 0.0, EVEN_ACROSS) for e in equal_gaps(bounds, others, reach, self._gap, along=False)]
        return pulls + [Pull(0.0, e.move, EVEN_ALONG) for e in equal_gaps(bounds, others, reach, self._gap, along=True)]

    def _just_clear(self, body: Polygon, other: DieItem, reach: float) -> list[Pull]:
        import shapely

        laid = self._polygon(other)
        if not shapely.dwithin(laid, body, reach + self._gap):
            return []
        (bx, by), (ax, ay) = shapely.shortest_line(laid, body).coords
        apart = math.hypot(bx - ax, by - ay)
        if apart < 1e-9 or abs(apart - self._gap) > reach:
            return []
        k = (apart - self._gap) / apart
        return [Pull((bx - ax) * k, (by - ay) * k, other.index)]

    def _polygon(self, item: DieItem) -> Polygon:
        if item.index not in self._laid:
            import shapely

            self._laid[item.index] = posed(item.die.body.solid.polygon, item.pose)
            shapely.prepare(self._laid[item.index])
        return self._laid[item.index]

    # ---- marks --------------------------------------------------------------------------------------------------

    def _marks(self, index: int, body: Polygon, drawn: set[int]) -> list[SnapMark]:
        """Return what drew a die and still holds where it lies now."""
        import shapely

        marks = []
        for i in sorted(i for i in drawn if i >= 0):
            near, mine = shapely.shortest_line(self._polygon(self._scene.dies[i]), body).coords
            if math.dist(near, mine) - self._gap <= HOLDS:
                marks.append(SnapMark("touch", ((near, mine),)))
        for pull in _margin_pulls(self._scene, body.bounds, HOLDS):
            if pull.who in drawn:
                marks.append(_margin_mark(self._scene, body.bounds, pull.who))
        others = [box for i, box in self._boxes.items() if i != index]
        for who in {EVEN_ACROSS, EVEN_ALONG} & drawn:
            for even in equal_gaps(body.bounds, others, HOLDS, self._gap, along=who == EVEN_ALONG):
                marks.append(SnapMark("equal", even.bars, even.gap))
        return marks


def _nearest(edges: tuple[float, float], lines: list[float], reach: float) -> tuple[float, float | None]:
    """Return the least move that brings one of the edges onto one of the lines, and the line; 0 and None if too far."""
    moves = [(line - edge, line) for line in lines for edge in edges if abs(line - edge) <= reach]
    return min(moves, key=lambda m: abs(m[0]), default=(0.0, None))


def posed(shape: Polygon, pose: Pose) -> Polygon:
    """Return a polygon carried to a pose, all corners at once."""
    import numpy as np
    import shapely

    c, s = cos_sin(pose.turn)
    turn, shift = np.array([[c, s], [-s, c]]), np.array([pose.x, pose.y])
    return shapely.transform(shape, lambda points: points @ turn + shift)


def _boxes_near(a: Bounds, b: Bounds, gap: float) -> bool:
    return not (a[0] > b[2] + gap or a[2] < b[0] - gap or a[1] > b[3] + gap or a[3] < b[1] - gap)


def _margin_pulls(scene: Scene, bounds: Bounds, reach: float) -> list[Pull]:
    machine = scene.machine
    m = machine.bed_margin
    across = (m - bounds[0], machine.bed_width - m - bounds[2])
    along = (m - bounds[1], machine.bed_length - m - bounds[3])
    pulls = [Pull(d, 0.0, ACROSS) for d in across if abs(d) <= reach]
    return pulls + [Pull(0.0, d, ALONG) for d in along if abs(d) <= reach]


def _margin_mark(scene: Scene, bounds: Bounds, who: int) -> SnapMark:
    """Return the line along the margin on which a die lies."""
    machine = scene.machine
    m = machine.bed_margin
    if who == ACROSS:
        return _edge_across(bounds, m if abs(bounds[0] - m) <= HOLDS else machine.bed_width - m)
    return _edge_along(bounds, m if abs(bounds[1] - m) <= HOLDS else machine.bed_length - m)


def _edge_across(box: Bounds, x: float) -> SnapMark:
    return SnapMark("edge", (((x, box[1] - BEYOND), (x, box[3] + BEYOND)),))


def _edge_along(box: Bounds, y: float) -> SnapMark:
    return SnapMark("edge", (((box[0] - BEYOND, y), (box[2] + BEYOND, y)),))
