"""Ready pieces taken out of the spares tin for a project, noted in the project so that taking them can be undone."""

from __future__ import annotations

from collections.abc import Mapping

from layout.geometry.outline import Outline
from layout.geometry.value import replace
from layout.model.done import Spare
from layout.model.project import Project, Wanted

FIELD = "from_tin"
Taken = Mapping[str, Mapping[str, int]]  # by the tin's id of the pieces, how many for which wanted piece
ALIKE = 0.5  # mm, and square mm per mm of side: the same shape may be drawn again a little otherwise


def taken(project: Project) -> dict[str, dict[str, int]]:
    """Return what the project took out of the tin; what is written otherwise there is passed over."""
    noted = project.extra.get(FIELD)
    found: dict[str, dict[str, int]] = {}
    for spare, each in noted.items() if isinstance(noted, Mapping) else ():
        if isinstance(each, Mapping):
            counts = {w: n for w, n in each.items() if isinstance(n, int) and n > 0}
            if counts:
                found[spare] = counts
    return found


def with_taken(project: Project, after: Taken) -> Project:
    """Return the project as if it had taken this, its ready pieces being so many more or fewer."""
    before = taken(project)
    spares = dict(project.spares)
    for wanted in dict.fromkeys(w for each in (*before.values(), *after.values()) for w in each):
        spares[wanted] = max(0, spares.get(wanted, 0) + _of(after, wanted) - _of(before, wanted))
    noted = {spare: dict(each) for spare, each in after.items() if each}
    extra = {key: value for key, value in project.extra.items() if key != FIELD}
    return replace(project, spares=spares, extra={**extra, FIELD: noted} if noted else extra)


def with_more(project: Project, spare: str, wanted: str, count: int) -> Project:
    """Return the project with so many more pieces taken."""
    before = taken(project)
    each = before.get(spare, {})
    return with_taken(project, {**before, spare: {**each, wanted: each.get(wanted, 0) + count}})


def fewer_or_more(before: Project, after: Project) -> dict[str, int]:
    """Return by how much more of which pieces the second has taken."""
    one, two = taken(before), taken(after)
    counts = {s: sum(two.get(s, {}).values()) - sum(one.get(s, {}).values()) for s in {**one, **two}}
    return {spare: n for spare, n in counts.items() if n}


def fitting(project: Project, spare: Spare) -> tuple[Wanted, ...]:
    """Return the wanted pieces that such pieces can be: still due, of the same shape, from the same paper."""
    shapes = {d.id: d.cut for d in project.dies} | {p.id: p.cut for p in project.punches}
    shapes |= {p.id: p.outline for p in project.panels}
    papers = {p.id: p.name for p in project.papers}
    return tuple(
        w
        for w in project.wanted
        if w.shape in shapes
        and project.due(w) > 0
        and (w.paper is None or papers.get(w.paper, w.paper) == spare.paper)
        and w.image == spare.image
        and _alike(shapes[w.shape], spare.cut)
    )


def _of(each: Taken, wanted: str) -> int:
    return sum(counts.get(wanted, 0) for counts in each.values())


def _alike(one: Outline, other: Outline) -> bool:
    """Whether two outlines are the same shape, however turned: by area and by the length of the border."""
    a, b = one.polygon, other.polygon
    return bool(abs(a.length - b.length) <= ALIKE * 4 and abs(a.area - b.area) <= ALIKE * max(a.length, b.length) / 4)
