"""Why a piece is not made, as a sentence for a person: what is nearest to helping, with numbers."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.project import PLAIN_UP, Die, Panel, Project, Punch, Scrap, Wanted
from layout.planning.due import bed_sides
from layout.planning.extents import extents, goes_into_box, hull, least_box, longest
from layout.planning.free_places import moves_into, moves_within, polygons
from layout.planning.supply import scraps_for, shapes_of, usable_parts
from layout.planning.words import counted, mm, no_less, number, size, tool

_STEP = 5.0


def reason(project: Project, wanted: Wanted, count: int) -> str:
    """Say why `count` of the pieces due are not made, by the first thing that stands in the way."""
    shape = shapes_of(project).get(wanted.shape)
    if shape is None:
        return f"no die, punch or panel called {wanted.shape} is in the project"
    scraps = scraps_for(project, wanted)
    if not scraps:
        return f"{_no_paper(project, wanted)} is among the scraps"
    return (
        _tool_reason(project, shape)
        or _image_reason(project, wanted, scraps)
        or _size_reason(project, wanted, shape, scraps)
        or _count_reason(project, wanted, shape, count)
    )


# ---- the tool ----------------------------------------------------------------------------------------------------


def _tool_reason(project: Project, shape: Die | Punch | Panel) -> str | None:
    if isinstance(shape, Die):
        return _die_reason(project, shape)
    return _reach_reason(project, shape) if isinstance(shape, Punch) else None


def _die_reason(project: Project, die: Die) -> str | None:
    name = tool(die.name or die.id, "die")
    if die.copies < 1:
        return f"you own no {name}"
    bed = bed_sides(project.machine)
    if goes_into_box(die.body.solid, *bed):
        return None
    width, length = least_box(die.body.solid)
    if length > max(bed) and width <= min(bed):
        return f"the {name} is {mm(length)} mm long, the bed offers {mm(max(bed))} mm"
    return f"the {name} measures {size(length, width)}, the bed offers {size(max(bed), min(bed))}"


def _reach_reason(project: Project, punch: Punch) -> str | None:
    """A piece whose deepest border is beyond the reach would come too near to the sheet's edge."""
    need = punch.cut.bounds[3] + project.clearances.paper_edge
    if need <= punch.reach:
        return None
    name = tool(punch.name or punch.id, "punch")
    edge = mm(project.clearances.paper_edge)
    return f"the {name} reaches {mm(punch.reach)} mm, it takes {mm(need)} mm to stay {edge} mm inside the paper's edge"


# ---- images ------------------------------------------------------------------------------------------------------


def _image_reason(project: Project, wanted: Wanted, scraps: Sequence[Scrap]) -> str | None:
    if wanted.image is None:
        return None
    there = sum(s.count for s in scraps for i in s.images if i.image == wanted.image)
    due = project.due(wanted)
    if there == 0:
        return f"no {_paper_name(project, wanted)}scrap carries the image {wanted.image}"
    if there < due:
        return f"the {_paper_name(project, wanted)}scraps carry the image {wanted.image} {_times(there)}, {due} are due"
    return None


def _times(n: int) -> str:
    return {1: "once", 2: "twice"}.get(n, f"{number(n)} times")


# ---- sizes -------------------------------------------------------------------------------------------------------


def _size_reason(project: Project, wanted: Wanted, shape: Die | Punch | Panel, scraps: Sequence[Scrap]) -> str | None:
    """No scrap, even whole, has room for a single piece."""
    if wanted.image is not None or any(_has_room(project, wanted, shape, s) for s in scraps):
        return None
    need = paper_needed(project, wanted, shape)
    nearest = min(scraps, key=lambda s: _lack(need, _sides(wanted, s)))
    has = _sides(wanted, nearest)
    lacks = _what_lacks(need, has, free=wanted.angles is None)
    but = "" if lacks else f" but {_flaw(nearest)}"
    which = f"{_paper_name(project, wanted)}scrap is {lacks or 'whole enough'}"
    return f"no {which}: it needs {size(*need)}, the nearest is {size(*has)}{but}"


def _what_lacks(need: tuple[float, float], has: tuple[float, float], *, free: bool) -> str:
    """Name the side that is wanting: free to turn, the longer side stands first, bound, the width."""
    if need[0] > has[0] and need[1] > has[1]:
        return "large enough"
    if need[0] > has[0]:
        return "long enough" if free else "wide enough"
    if need[1] > has[1]:
        return "wide enough" if free else "long enough"
    return ""


def _flaw(scrap: Scrap) -> str:
    if scrap.spoiled or scrap.images:
        return f"has {'stains' if scrap.spoiled else 'images'} in the way"
    return "odd in outline"


def _lack(need: tuple[float, float], has: tuple[float, float]) -> float:
    return max(0.0, need[0] - has[0]) + max(0.0, need[1] - has[1])


def paper_needed(project: Project, wanted: Wanted, shape: Die | Punch | Panel) -> tuple[float, float]:
    """Return the sides (mm) of the least paper for one piece; the print's width first where the turn is bound."""
    outline = shape.outline if isinstance(shape, Panel) else shape.cut
    edge = 0.0 if isinstance(shape, Panel) else 2 * project.clearances.paper_edge
    width, length = _sides_at(outline, wanted.angles)
    return no_less(width + edge), no_less(length + edge)


def _sides(wanted: Wanted, scrap: Scrap) -> tuple[float, float]:
    upright = [PLAIN_UP - scrap.up] if wanted.angles is not None else None
    return _sides_at(scrap.outline, upright)


def _sides_at(outline: Outline, turns: Sequence[float] | None) -> tuple[float, float]:
    """Return width and length at the first of the turns; free to turn: the longer side first."""
    if turns is None:
        width, length = least_box(outline.solid)
        return max(width, length), min(width, length)
    widths, lengths = extents(hull(outline), np.asarray(list(turns[:1]), dtype=np.float64))
    return float(widths[0]), float(lengths[0])


def _has_room(project: Project, wanted: Wanted, shape: Die | Punch | Panel, scrap: Scrap) -> bool:
    """Tell whether the whole scrap has a place for one piece, stains and images heeded."""
    outline = shape.outline if isinstance(shape, Panel) else shape.cut
    edge = 0.0 if isinstance(shape, Panel) else project.clearances.paper_edge
    if longest(outline) > longest(scrap.outline):
        return False
    marks = [s.polygon for s in scrap.spoiled]
    marks += [i.outline.polygon for i in scrap.images if i.outline is not None]
    for turn in _turns(wanted, scrap):
        corners = hull(Pose(0.0, 0.0, turn).outline(outline))
        for part in usable_parts(scrap.outline, edge):
            if polygons(moves_within(part, corners).difference(moves_into(marks, corners))):
                return True
    return False


def _turns(wanted: Wanted, scrap: Scrap) -> list[float]:
    if wanted.angles is not None:
        return [a + scrap.up - PLAIN_UP for a in wanted.angles]
    return [float(t) for t in np.arange(0.0, 360.0, _STEP)]


# ---- counts ------------------------------------------------------------------------------------------------------


def _count_reason(project: Project, wanted: Wanted, shape: Die | Punch | Panel, count: int) -> str:
    due = project.due(wanted)
    where = f"on the {_paper_name(project, wanted)}scraps beside the other pieces"
    need = size(*paper_needed(project, wanted, shape))
    return f"{_placed(due, count)} {where}; {counted(count, 'more piece')} of {need} would do"


def _placed(due: int, missing: int) -> str:
    if due == 1:
        return "it found no place"
    return f"{f'only {number(due - missing)}' if missing < due else 'none'} of {number(due)} found a place"


def _paper_name(project: Project, wanted: Wanted) -> str:
    """Return the paper's name and a blank, nothing where any paper will do."""
    if wanted.paper is None:
        return ""
    return f"{next((p.name or p.id for p in project.papers if p.id == wanted.paper), wanted.paper)} "


def _no_paper(project: Project, wanted: Wanted) -> str:
    name = _paper_name(project, wanted).rstrip()
    return "no paper at all" if not name else f"no {name}" if name.endswith("paper") else f"no {name} paper"
