"""A box blank with its mats as panels of a project: what the form for it adds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from app.document.asking import free_id
from layout.geometry.blanks.drawn import Drawn
from layout.geometry.blanks.faces import BlankError
from layout.geometry.blanks.kinds import KINDS, Sizes, read_blank
from layout.geometry.blanks.scoring import mats
from layout.geometry.outline import Outline
from layout.geometry.value import replace
from layout.model.project import Panel, Project, Wanted

SHARED = 0.05  # mm: mats that differ less are one kind


@dataclass(frozen=True, slots=True)
class Mats:
    """Which walls get a mat, of which paper, and the border (mm) left at every side."""

    walls: Sequence[str] = ()
    border: float = 1.5875
    paper: str | None = None


def with_box(
    project: Project,
    sizes: Sizes | Drawn,
    name: str,
    count: int = 1,
    paper: str | None = None,
    covers: Mats | None = None,
) -> Project:
    """Return the project with a blank, and its mats, wanted `count` times a kit; raises BlankError."""
    name = name.strip() or (KINDS[sizes.kind].name if isinstance(sizes, Sizes) else "blank")
    blank = sizes.blank()
    panel = Panel(_free(project, name), name, blank.outline, blank.scores, extra={"blank": sizes.kept()})
    made = with_panel(project, panel, count, paper)
    return (
        made
        if covers is None or not covers.walls or isinstance(sizes, Drawn)
        else with_mats(made, sizes, name, count, covers)
    )


def with_mats(project: Project, sizes: Sizes, name: str, count: int, covers: Mats) -> Project:
    """Return the project with mats for a box, alike walls sharing one kind of mat; raises BlankError."""
    kinds: dict[tuple[float, float], list[str]] = {}
    for mat in mats(sizes.blank(), covers.border, covers.walls):
        known = next((k for k in kinds if max(abs(k[0] - mat.width), abs(k[1] - mat.length)) < SHARED), None)
        kinds.setdefault(known or (mat.width, mat.length), []).append(mat.wall)
    for (width, length), walls in kinds.items():
        called = f"{name}, mat for {' and '.join(walls)}"
        panel = Panel(_free(project, called), called, Outline.rectangle(width, length))
        project = with_panel(project, panel, count * len(walls), covers.paper)
    return project


def walls_of(panel: Panel) -> tuple[str, ...]:
    """Return the walls of a panel that show when it is folded; none where it is no box that is known."""
    sizes = read_blank(panel.extra.get("blank"))
    try:
        return sizes.blank().shown if isinstance(sizes, Sizes) else ()
    except BlankError:
        return ()


def with_mats_for(project: Project, panel: Panel, covers: Mats) -> Project:
    """Return the project with mats for one of its panels: for walls of a box, or for all of it; raises BlankError."""
    count = sum(w.count for w in project.wanted if w.shape == panel.id) or 1
    name = panel.name or panel.id
    sizes = read_blank(panel.extra.get("blank"))
    if isinstance(sizes, Sizes) and covers.walls:
        return with_mats(project, sizes, name, count, covers)
    x0, y0, x1, y1 = panel.outline.bounds
    width, length = x1 - x0 - 2 * covers.border, y1 - y0 - 2 * covers.border
    if min(width, length) <= 0.0:
        raise BlankError(f"a border of {covers.border:g} mm leaves nothing of {name}")
    called = f"{name}, mat"
    mat = Panel(_free(project, called), called, Outline.rectangle(width, length))
    return with_panel(project, mat, count, covers.paper)


def with_panel(project: Project, panel: Panel, count: int, paper: str | None) -> Project:
    """Return the project with one more panel, wanted so many times a kit."""
    wanted = Wanted(free_id([w.id for w in project.wanted], panel.id), panel.id, count, paper)
    return replace(project, panels=(*project.panels, panel), wanted=(*project.wanted, wanted))


def _free(project: Project, name: str) -> str:
    return free_id([s.id for s in (*project.dies, *project.punches, *project.panels)], name)
