"""One outline on its way in, and what it becomes in the project: a die, a punch or a scrap."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

from app.document.asking import free_id
from app.wayin.stamps import Stamp, magnified, on_scrap, stretched
from layout.geometry.outline import Outline, OutlineError, Point
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.model.errors import PlatefulError
from layout.model.project import PLAIN_UP, Die, Paper, Project, Punch, Scrap

Kind = Literal["die", "punch", "scrap"]
KINDS: tuple[Kind, ...] = ("die", "punch", "scrap")
USUAL_INSET = 2.0  # mm from the metal's edge to the blade, to be measured: common practice of thin dies
USUAL_REACH = 30.0
NEW_GRAMMAGE, NEW_CALIPER = 216.0, 0.25


class Found(Value, frozen=True):
    """An outline in mm where it lies on its picture, and what the person says of it.

    `metal`: the outline is a die's metal, and the cut lies `inset` mm within it; else it is the cut itself, and metal
    is laid about it where no `body` came with it. `windows`: which openings are cut too. `corners`: points that stay
    corners however straight the border runs there.
    """

    outline: Outline
    name: str
    kind: Kind = "die"
    copies: int = 1
    kept: bool = True
    metal: bool = True
    inset: float = USUAL_INSET
    windows: frozenset[int] = frozenset()
    body: Outline | None = None
    paper: str = ""
    up: float = PLAIN_UP
    reach: float = USUAL_REACH
    corners: frozenset[Point] = frozenset()
    stamps: tuple[Stamp, ...] = ()
    scale: float = 1.0


def scaled(found: Found, by: float) -> Found:
    """Return a thing with all its lengths on the picture multiplied; the inset was measured and stays."""
    body = None if found.body is None else magnified(found.body, by)
    corners = frozenset((x * by, y * by) for x, y in found.corners)
    stamps = tuple(stretched(stamp, by) for stamp in found.stamps)
    outline = magnified(found.outline, by)
    return replace(found, outline=outline, body=body, corners=corners, stamps=stamps, scale=found.scale * by)


@lru_cache(maxsize=512)
def cut_of(found: Found) -> Outline:
    """Return what a thing cuts (or, as a scrap, its border), where it lies; raises PlatefulError with a sentence."""
    if not found.metal or found.kind != "die":
        return Outline.trusted(
            found.outline.outer, tuple(h for k, h in enumerate(found.outline.holes) if _cut(found, k))
        )
    from shapely.geometry import Polygon

    from layout.formats.pictures.cut_line import cut_line
    from layout.geometry.outline import from_polygon

    try:
        cut = cut_line(found.outline, found.inset)
        for k in sorted(found.windows):
            window = Polygon(found.outline.holes[k]).buffer(found.inset, quad_segs=32).simplify(0.01)
            cut = from_polygon(cut.polygon.difference(window))
    except (PlatefulError, OutlineError, AttributeError, IndexError) as error:
        said = (
            error if isinstance(error, PlatefulError) else "a window's cut would meet the outer one; untick the window"
        )
        raise PlatefulError(f"{found.name}: {said}") from error
    return cut


def _cut(found: Found, opening: int) -> bool:
    return found.kind == "scrap" or opening in found.windows


@lru_cache(maxsize=512)
def body_of(found: Found) -> Outline:
    """Return a die's metal where it lies; raises PlatefulError with a sentence."""
    if found.metal:
        return found.outline
    if found.body is not None:
        return found.body
    from layout.geometry.rim import metal_about

    try:
        return metal_about(cut_of(found), found.inset, found.inset)
    except OutlineError as error:
        raise PlatefulError(f"{found.name}: {error}") from error


def taken_in(project: Project, things: Sequence[Found]) -> Project:
    """Return the project with every kept thing added, each centred in its own frame; raises PlatefulError."""
    for thing in things:
        if thing.kept:
            project = {"die": _with_die, "punch": _with_punch, "scrap": _with_scrap}[thing.kind](project, thing)
    return project


def tool_ids(project: Project) -> list[str]:
    """Return the ids that no new die or punch may have."""
    return [s.id for s in (*project.dies, *project.punches, *project.panels)]


def centring(outline: Outline) -> Pose:
    """Return the move that brings the middle of an outline's box to the origin."""
    left, low, right, high = outline.bounds
    return Pose(-(left + right) / 2, -(low + high) / 2)


def _with_die(project: Project, thing: Found) -> Project:
    cut, body = cut_of(thing), body_of(thing)
    home = centring(cut)
    name = free_id(tool_ids(project), thing.name)
    extra = {"inset": thing.inset}
    die = Die(name, thing.name, home.outline(body), home.outline(cut), thing.copies, extra=extra)
    return replace(project, dies=(*project.dies, die))


def _with_punch(project: Project, thing: Found) -> Project:
    cut = cut_of(thing)
    punch = Punch(free_id(tool_ids(project), thing.name), thing.name, centring(cut).outline(cut), thing.reach)
    return replace(project, punches=(*project.punches, punch))


def _with_scrap(project: Project, thing: Found) -> Project:
    project, paper = _with_paper(project, thing.paper.strip() or "paper")
    left, low, _, _ = thing.outline.bounds
    home = Pose(-left, -low)
    images, stains = on_scrap(project, thing.stamps, home)
    name = free_id([s.id for s in project.scraps], thing.name)
    outline, extra = home.outline(thing.outline), {"name": thing.name}
    scrap = Scrap(name, paper, outline, thing.copies, thing.up, stains, images, extra=extra)
    return replace(project, scraps=(*project.scraps, scrap))


def _with_paper(project: Project, name: str) -> tuple[Project, str]:
    """Return the project with a paper of this name, and the paper's id."""
    for paper in project.papers:
        if name in (paper.id, paper.name):
            return project, paper.id
    new = Paper(free_id([p.id for p in project.papers], name), name, NEW_GRAMMAGE, NEW_CALIPER)
    return replace(project, papers=(*project.papers, new)), new.id
