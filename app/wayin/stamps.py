"""Images stamped on a scrap on its way in: their ink, the die that frames each, and how that die lies."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from layout.geometry.outline import Outline, Point
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.model.project import Die, Image, Project

STAIN, PLAIN = " stain", " plain"  # what an image may be instead of one that a die frames; no id begins so


class Stamp(Value, frozen=True):
    """An image's ink (mm, where it lies on its picture), what frames it (a die's id, STAIN or PLAIN), and its pose."""

    ink: Outline
    die: str
    pose: Pose


def magnified(outline: Outline, by: float) -> Outline:
    """Return an outline with all its lengths from the origin multiplied."""

    def ring(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((x * by, y * by) for x, y in points)

    return Outline.trusted(ring(outline.outer), tuple(ring(h) for h in outline.holes))


def stretched(stamp: Stamp, by: float) -> Stamp:
    """Return an image where it lies on a picture that is larger; its die stays as large as it is."""
    pose = Pose(stamp.pose.x * by, stamp.pose.y * by, stamp.pose.turn)
    return replace(stamp, ink=magnified(stamp.ink, by), pose=pose)


def middle_of(stamp: Stamp, project: Project) -> Point:
    """Return the point about which an image is turned: its frame's middle, or its ink's."""
    left, low, right, high = (frame_of(stamp, project) or stamp.ink).bounds
    return (left + right) / 2, (low + high) / 2


def frame_of(stamp: Stamp, project: Project) -> Outline | None:
    """Return what the die that frames an image cuts round it, where it lies on the picture."""
    die = die_by_id(project, stamp.die)
    return None if die is None else _laid(stamp.pose, die.cut)


@lru_cache(maxsize=256)
def _laid(pose: Pose, cut: Outline) -> Outline:
    return pose.outline(Outline.trusted(cut.outer))


def moved(stamp: Stamp, dx: float, dy: float) -> Stamp:
    """Return an image whose frame lies elsewhere; the ink stays where it is seen."""
    return replace(stamp, pose=Pose(stamp.pose.x + dx, stamp.pose.y + dy, stamp.pose.turn))


def turned(stamp: Stamp, project: Project, degrees: float) -> Stamp:
    """Return an image whose frame is turned about its middle."""
    x, y = middle_of(stamp, project)
    return replace(stamp, pose=Pose(x, y, degrees).after(Pose(-x, -y).after(stamp.pose)))


def framed_by(stamp: Stamp, project: Project, die: str) -> Stamp:
    """Return an image framed by another die, laid with its middle on the ink's as it was turned before."""
    other = die_by_id(project, die)
    if other is None:
        return replace(stamp, die=die)
    left, low, right, high = stamp.ink.bounds
    a, b, c, d = Pose(0, 0, stamp.pose.turn).outline(other.cut).bounds
    pose = Pose((left + right - a - c) / 2, (low + high - b - d) / 2, stamp.pose.turn)
    return replace(stamp, die=die, pose=pose)


def laid_by_hand(project: Project, die: str, at: Point) -> Stamp | None:
    """Return an image that was not found, its die's middle at a point; its ink is all that the die cuts."""
    known = die_by_id(project, die)
    if known is None:
        return None
    left, low, right, high = known.cut.bounds
    pose = Pose(at[0] - (left + right) / 2, at[1] - (low + high) / 2)
    return Stamp(pose.outline(Outline.trusted(known.cut.outer)), die, pose)


def on_scrap(project: Project, stamps: Sequence[Stamp], home: Pose) -> tuple[tuple[Image, ...], tuple[Outline, ...]]:
    """Return the images and the stains of a scrap that is carried by `home` from its picture to its own frame."""
    images = []
    for stamp in stamps:
        die = die_by_id(project, stamp.die)
        if die is not None:
            images.append(Image(name_of(project, die), home.after(stamp.pose), home.outline(stamp.ink)))
    stains = tuple(home.outline(s.ink) for s in stamps if s.die == STAIN)
    return tuple(images), stains


def name_of(project: Project, die: Die) -> str:
    """Return what an image framed by a die is called: as the project asks for it, else after the die."""
    return next((w.image for w in project.wanted if w.shape == die.id and w.image), f"{die.name} image")


def die_by_id(project: Project, name: str) -> Die | None:
    """Return a die of the project."""
    return next((d for d in project.dies if d.id == name), None)
