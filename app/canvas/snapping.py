"""A thing in hand is drawn to where it is just clear of dies and of the bed's margin; sheets are drawn edge to edge."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from app.canvas.draft import Draft
from app.canvas.paths import posed_path
from app.canvas.scene import DieItem, Scene
from layout.geometry.pose import Pose, cos_sin

if TYPE_CHECKING:
    from shapely.geometry import Polygon

PULLS = 3  # things that may draw one die: two neighbours and an edge pin it in both directions
HAIR = 0.002  # mm beyond just clear, so that rounding never makes it too close
ACROSS, ALONG = -1, -2  # numbers of the margins, beside those of the dies

Bounds = tuple[float, float, float, float]
Pull = tuple[float, float, int]  # a move in mm, and the number of the thing that asks for it


class Snapper:
    """Knows where the dies of one scene lie; `gap` is the distance between dies that the project asks for."""

    def __init__(self, scene: Scene, gap: float) -> None:
        self._scene, self._gap = scene, gap + HAIR
        self._laid: dict[int, Polygon] = {}

    def snap(self, draft: Draft, reach: float) -> Draft:
        """Return the draft moved by at most about `reach` mm; several things in hand keep their places."""
        if len(draft.scraps) == 1:
            return draft.shifted(*self._sheet_pull(*next(iter(draft.scraps.items())), reach))
        if len(draft.dies) != 1 or draft.scraps:
            return draft
        index, pose = next(iter(draft.dies.items()))
        return draft.shifted(*self._pull(self._scene.dies[index], pose, reach))

    def _sheet_pull(self, index: int, pose: Pose, reach: float) -> tuple[float, float]:
        """Return the move that lays a sheet's edges to the bed's and to other sheets', side by side or level."""
        machine = self._scene.machine
        mine = posed_path(self._scene.scraps[index].scrap.outline, pose).boundingRect()
        others = [s.shape.boundingRect() for s in self._scene.scraps if s.index != index]
        across = [0.0, machine.bed_width, *(x for box in others for x in (box.left(), box.right()))]
        along = [0.0, machine.bed_length, *(y for box in others for y in (box.top(), box.bottom()))]
        return (
            _nearest((mine.left(), mine.right()), across, reach),
            _nearest((mine.top(), mine.bottom()), along, reach),
        )

    def _pull(self, item: DieItem, pose: Pose, reach: float) -> tuple[float, float]:
        total = (0.0, 0.0)
        drawn: set[int] = set()
        for _ in range(PULLS):
            body = posed(item.die.body.solid.polygon, Pose(pose.x + total[0], pose.y + total[1], pose.turn))
            pulls = sorted(self._pulls(item.index, body, reach, drawn), key=lambda p: math.hypot(p[0], p[1]))
            best = next((p for p in pulls if p[2] not in drawn and self._keeps_clear(body, p, drawn)), None)
            if best is None:
                break
            drawn.add(best[2])
            total = (total[0] + best[0], total[1] + best[1])
        return total

    def _keeps_clear(self, body: Polygon, pull: Pull, drawn: set[int]) -> bool:
        """Whether a further pull leaves the die clear of what drew it before."""
        import shapely

        moved = shapely.transform(body, lambda points: points + pull[:2])
        return not any(shapely.dwithin(self._laid[i], moved, self._gap - HAIR / 2) for i in drawn if i >= 0)

    def _pulls(self, index: int, body: Polygon, reach: float, drawn: set[int]) -> list[Pull]:
        """Return the moves that would make the die just clear of each thing near it."""
        bounds = body.bounds
        pulls = [
            pull
            for other in self._scene.dies
            if other.index != index and other.index not in drawn and _boxes_near(bounds, other, reach + self._gap)
            for pull in self._just_clear(body, other, reach)
        ]
        return pulls + _margin_pulls(self._scene, bounds, reach)

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
        return [((bx - ax) * k, (by - ay) * k, other.index)]

    def _polygon(self, item: DieItem) -> Polygon:
        if item.index not in self._laid:
            import shapely

            self._laid[item.index] = posed(item.die.body.solid.polygon, item.pose)
            shapely.prepare(self._laid[item.index])
        return self._laid[item.index]


def _nearest(edges: tuple[float, float], lines: list[float], reach: float) -> float:
    """Return the least move that brings one of the edges onto one of the lines, 0 where none is within reach."""
    moves = [line - edge for line in lines for edge in edges if abs(line - edge) <= reach]
    return min(moves, key=abs, default=0.0)


def posed(shape: Polygon, pose: Pose) -> Polygon:
    """Return a polygon carried to a pose, all corners at once."""
    import numpy as np
    import shapely

    c, s = cos_sin(pose.turn)
    turn, shift = np.array([[c, s], [-s, c]]), np.array([pose.x, pose.y])
    return shapely.transform(shape, lambda points: points @ turn + shift)


def _boxes_near(bounds: Bounds, other: DieItem, gap: float) -> bool:
    box = other.solid.boundingRect()
    return not (
        bounds[0] > box.right() + gap
        or bounds[2] < box.left() - gap
        or bounds[1] > box.bottom() + gap
        or bounds[3] < box.top() - gap
    )


def _margin_pulls(scene: Scene, bounds: Bounds, reach: float) -> list[Pull]:
    machine = scene.machine
    m = machine.bed_margin
    across = (m - bounds[0], machine.bed_width - m - bounds[2])
    along = (m - bounds[1], machine.bed_length - m - bounds[3])
    pulls = [(d, 0.0, ACROSS) for d in across if abs(d) <= reach]
    return pulls + [(0.0, d, ALONG) for d in along if abs(d) <= reach]
