"""A die that must frame a stamped image, and where the images of the pass ask it to lie."""

from __future__ import annotations

import math
from collections.abc import Sequence

from app.canvas.scene import DieItem, Scene
from app.canvas.snapmark import Line, SnapMark
from layout.geometry.pose import Pose, angle_between
from layout.model.project import Die, Wanted

CATCH = 3.0  # an image draws from so many times as far as an edge does: the hand aims at it
TAKEN = 1.0  # mm and degrees within which another die frames the image already
CROSS = 4.0  # mm, half the length of the cross over a framed image


def image_pose(scene: Scene, wanted: Sequence[Wanted], item: DieItem, pose: Pose, reach: float) -> Pose | None:
    """Return the pose of the nearest free image that a die at a pose is near to and must frame, None where none is."""
    asked = [(w.image, w.paper) for w in wanted if w.image is not None and w.shape == item.die.id]
    if not asked:
        return None
    heart = _heart(item.die)
    here = pose.point(heart)
    poses = [
        laid.pose.after(image.pose)
        for laid in scene.scraps
        for image in laid.scrap.images
        if (image.image, None) in asked or (image.image, laid.scrap.paper) in asked
    ]
    near = [(math.dist(here, p.point(heart)), k) for k, p in enumerate(poses) if not _taken(scene, item, p)]
    off, at = min(near, default=(math.inf, -1))
    return poses[at] if off <= CATCH * reach else None


def image_mark(item: DieItem, pose: Pose) -> SnapMark:
    """Return a cross over the middle of a framed image, as the image stands."""
    x, y = _heart(item.die)
    ends: list[Line] = [((x - CROSS, y), (x + CROSS, y)), ((x, y - CROSS), (x, y + CROSS))]
    return SnapMark("image", tuple((pose.point(a), pose.point(b)) for a, b in ends))


def _heart(die: Die) -> tuple[float, float]:
    left, low, right, high = die.cut.bounds
    return (left + right) / 2, (low + high) / 2


def _taken(scene: Scene, mine: DieItem, pose: Pose) -> bool:
    """Whether another die of the kind frames the image already."""
    return any(
        math.hypot(other.pose.x - pose.x, other.pose.y - pose.y) <= TAKEN
        and angle_between(other.pose.turn, pose.turn) <= TAKEN
        for other in scene.dies
        if other.index != mine.index and other.die.id == mine.die.id
    )
