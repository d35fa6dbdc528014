"""Outlines as painter paths, kept so that the same outline is turned into a path once."""

from __future__ import annotations

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath, QPolygonF, QTransform

from layout.geometry.outline import Outline, Ring
from layout.geometry.pose import Pose

MOST_KEPT = 4096

# Kept by identity, because hashing an outline of some hundred corners costs as much as drawing it;
# the outline is kept beside its path so that its identity cannot pass to another.
Kept = dict[int, tuple[Outline, QPainterPath]]
_kept: Kept = {}
_kept_solid: Kept = {}


def path_of(outline: Outline) -> QPainterPath:
    """Return the outline in its own frame as a path, openings left open."""
    return _path(_kept, outline, (outline.outer, *outline.holes))


def solid_path_of(outline: Outline) -> QPainterPath:
    """Return the outer border in its own frame as a path, openings filled."""
    # Kept beside the outline itself: `outline.solid` is another one at every call, whose path would serve once.
    return _path(_kept_solid, outline, (outline.outer,)) if outline.holes else path_of(outline)


def _path(kept: Kept, outline: Outline, rings: tuple[Ring, ...]) -> QPainterPath:
    found = kept.get(id(outline))
    if found is not None and found[0] is outline:
        return found[1]
    if len(kept) >= MOST_KEPT:
        kept.clear()
    path = QPainterPath()
    for ring in rings:
        path.addPolygon(polygon_of(ring))
        path.closeSubpath()
    kept[id(outline)] = (outline, path)
    return path


def polygon_of(ring: Ring) -> QPolygonF:
    """Return a ring as a Qt polygon."""
    return QPolygonF([QPointF(x, y) for x, y in ring])


def posed_path(outline: Outline, pose: Pose) -> QPainterPath:
    """Return the outline's path carried to a pose."""
    return pose_transform(pose).map(path_of(outline))


def posed_solid(outline: Outline, pose: Pose) -> QPainterPath:
    """Return the path of the outer border, openings filled, carried to a pose."""
    return pose_transform(pose).map(solid_path_of(outline))


def pose_transform(pose: Pose) -> QTransform:
    """Return Qt's transform of a pose: turn about the origin, then move."""
    return QTransform().translate(pose.x, pose.y).rotate(pose.turn)
