"""A thing in hand is drawn to where it is just clear: of the nearest dies, of the sheet's edge, of the bed's margin."""

from __future__ import annotations

import math

from app.canvas.draft import Draft
from app.canvas.scene import DieItem, Scene
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.project import Project

PULLS = 3  # things that may draw one die: two neighbours and an edge pin it in both directions
HAIR = 0.002  # mm beyond just clear, so that rounding never makes it too close


def snap(project: Project, scene: Scene, draft: Draft, reach: float) -> Draft:
    """Return the draft moved by at most about `reach` mm; several things in hand keep their places to each other."""
    if len(draft.dies) != 1 or draft.scraps:
        return draft
    index, pose = next(iter(draft.dies.items()))
    dx, dy = _pull(project, scene, scene.dies[index], pose, reach)
    return draft.shifted(dx, dy)


def _pull(project: Project, scene: Scene, item: DieItem, pose: Pose, reach: float) -> tuple[float, float]:
    total = (0.0, 0.0)
    drawn: set[int] = set()
    for _ in range(PULLS):
        at = Pose(pose.x + total[0], pose.y + total[1], pose.turn)
        found = [p for p in _pulls(project, scene, item, at, reach) if p[2] not in drawn]
        if not found:
            return total
        dx, dy, key = min(found, key=lambda p: math.hypot(p[0], p[1]))
        drawn.add(key)
        total = (total[0] + dx, total[1] + dy)
    return total


def _pulls(project: Project, scene: Scene, item: DieItem, pose: Pose, reach: float) -> list[tuple[float, float, int]]:
    """Return the moves that would make the die just clear of each thing near it, with a number for the thing."""
    gap = project.clearances.body_gap + HAIR
    pulls = []
    body = pose.outline(item.die.body.solid)
    for other in scene.dies:
        if other.index != item.index and _boxes_near(body.bounds, other, reach + gap):
            pulls += _just_clear(body, other.pose.outline(other.die.body.solid), gap, reach, other.index)
    return pulls + _margin_pulls(scene, body.bounds, reach)


def _just_clear(body: Outline, other: Outline, gap: float, reach: float, key: int) -> list[tuple[float, float, int]]:
    import shapely

    line = shapely.shortest_line(shapely.Polygon(body.outer), shapely.Polygon(other.outer))
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    apart = math.hypot(bx - ax, by - ay)
    if apart < 1e-9 or abs(apart - gap) > reach:
        return []
    k = (apart - gap) / apart
    return [((bx - ax) * k, (by - ay) * k, key)]


def _boxes_near(bounds: tuple[float, float, float, float], other: DieItem, gap: float) -> bool:
    box = other.solid.boundingRect()
    return not (
        bounds[0] > box.right() + gap
        or bounds[2] < box.left() - gap
        or bounds[1] > box.bottom() + gap
        or bounds[3] < box.top() - gap
    )


def _margin_pulls(
    scene: Scene, bounds: tuple[float, float, float, float], reach: float
) -> list[tuple[float, float, int]]:
    machine = scene.machine
    m = machine.bed_margin
    across = (m - bounds[0], machine.bed_width - m - bounds[2])
    along = (m - bounds[1], machine.bed_length - m - bounds[3])
    pulls = [(d, 0.0, -1) for d in across if abs(d) <= reach]
    return pulls + [(0.0, d, -2) for d in along if abs(d) <= reach]
