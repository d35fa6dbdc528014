"""What lies on the plate in one pass, ready to be drawn and to be pointed at."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPointF
from PySide6.QtGui import QPainterPath

from app.canvas.paths import posed_path, posed_solid
from app.document.edits import CutDowns, laid_sheet
from app.look.papers import PaperLook, paper_looks
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.model.plan import Layout, Plan, Run
from layout.model.project import Die, Machine, Project, Scrap


class DieItem(Value, frozen=True, eq=False):
    """A taped die; `cut_from` is the number of the scrap it cuts in this pass, None when it is lifted off.

    `index` is its place in the layout; `number` counts the drawer through, from 1, as the placement guide does.
    """

    index: int
    number: int
    die: Die
    pose: Pose
    cut_from: int | None
    held: bool
    body: QPainterPath
    cut: QPainterPath
    solid: QPainterPath

    @property
    def name(self) -> str:
        """What to write on it."""
        return self.die.name


class ScrapItem(Value, frozen=True, eq=False):
    """A scrap laid under the dies; where it is cut down, `scrap` is the part that is laid."""

    index: int
    scrap: Scrap
    pose: Pose
    sheets: int
    held: bool
    look: PaperLook
    shape: QPainterPath
    spoiled: tuple[QPainterPath, ...]
    images: tuple[QPainterPath, ...]
    has_up: bool

    @property
    def name(self) -> str:
        """What to write on it."""
        return scrap_name(self.scrap)


class Scene(Value, frozen=True, eq=False):
    """One pass as it lies on the plate; an empty plate when there is no plan."""

    machine: Machine
    dies: tuple[DieItem, ...] = ()
    scraps: tuple[ScrapItem, ...] = ()

    def die_at(self, at: QPointF) -> DieItem | None:
        """Return the topmost die at a point of the plate: metal first, then what lies inside a ring of metal."""
        for item in reversed(self.dies):
            if item.body.contains(at):
                return item
        inside = [item for item in self.dies if item.cut.contains(at)]
        return min(inside, key=lambda item: item.die.cut.area, default=None)

    def scrap_at(self, at: QPointF) -> ScrapItem | None:
        """Return the topmost scrap at a point of the plate."""
        return next((item for item in reversed(self.scraps) if item.shape.contains(at)), None)


def scene_of(project: Project, plan: Plan, layout: int, run: int) -> Scene:
    """Return one pass of a plan as a scene."""
    if not 0 <= layout < len(plan.layouts):
        return Scene(project.machine)
    shown = plan.layouts[layout]
    passed = shown.runs[run] if 0 <= run < len(shown.runs) else Run((), ())
    return Scene(
        project.machine, tuple(die_items(project, shown, passed)), tuple(scrap_items(project, plan.cut_downs, passed))
    )


def die_items(project: Project, layout: Layout, run: Run) -> Iterator[DieItem]:
    """Yield the dies of a layout as they serve in one run."""
    dies = {die.id: (number, die) for number, die in enumerate(project.dies, 1)}
    cut_from = {cut.die: cut.scrap for cut in run.cuts}
    for index, placed in enumerate(layout.dies):
        number, die = dies[placed.die]
        held = bool(placed.extra.get("held"))
        yield DieItem(index, number, die, placed.pose, cut_from.get(index), held, *_paths(die, placed.pose))


def die_item(item: DieItem, pose: Pose) -> DieItem:
    """Return a die as it would lie at another pose."""
    body, cut, solid = _paths(item.die, pose)
    return replace(item, pose=pose, body=body, cut=cut, solid=solid)


def _paths(die: Die, pose: Pose) -> tuple[QPainterPath, QPainterPath, QPainterPath]:
    """Return the paths of metal, cut line and metal with its openings filled, where a die lies."""
    body = posed_path(die.body, pose)
    return body, posed_path(die.cut, pose), posed_solid(die.body, pose) if die.body.holes else body


def scrap_items(project: Project, cut_downs: CutDowns, run: Run) -> Iterator[ScrapItem]:
    """Yield the scraps of a run."""
    looks = paper_looks(project.papers)
    upright = {w.paper for w in project.wanted if w.angles is not None}
    for index, laid in enumerate(run.scraps):
        scrap = laid_sheet(project, cut_downs, laid)
        yield ScrapItem(
            index=index,
            scrap=scrap,
            pose=laid.pose,
            sheets=len(laid.copies),
            held=bool(laid.extra.get("held")),
            look=looks[scrap.paper],
            shape=posed_path(scrap.outline, laid.pose),
            spoiled=tuple(posed_path(outline, laid.pose) for outline in scrap.spoiled),
            images=tuple(posed_path(i.outline, laid.pose) for i in scrap.images if i.outline is not None),
            has_up=scrap.paper in upright or None in upright,
        )


def scrap_item(item: ScrapItem, pose: Pose) -> ScrapItem:
    """Return a laid scrap as it would lie at another pose."""
    return replace(
        item,
        pose=pose,
        shape=posed_path(item.scrap.outline, pose),
        spoiled=tuple(posed_path(outline, pose) for outline in item.scrap.spoiled),
        images=tuple(posed_path(i.outline, pose) for i in item.scrap.images if i.outline is not None),
    )


def scrap_name(scrap: Scrap) -> str:
    """Return what a person calls a scrap."""
    return str(scrap.extra.get("name") or scrap.id)
