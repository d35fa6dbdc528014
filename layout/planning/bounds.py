"""Passes that no plan can do without.

Every bound gives each die a weight such that the dies used in one pass never weigh more than one together;
then the weights of all uses, added up and rounded up, are passes that are needed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from layout.geometry.outline import Outline
from layout.model.project import Project
from layout.planning.conflicts import cannot_share, heaviest_clique, may_lie_in, may_lie_in_opening, openings
from layout.planning.dual_feasible import best_total
from layout.planning.due import DieWork, bed_sides, die_work, impossible
from layout.planning.supply import SLACK
from layout.planning.words import cm2, counted, listed, number, piece, tool

_ROUND = 1e-6


@dataclass(frozen=True, slots=True)
class Bound:
    """A number of passes that is needed, and in a sentence what it rests on."""

    passes: int
    because: str


def lower_bound(project: Project, missing: int = 0) -> Bound:
    """Return the highest bound that holds for every plan in which at most `missing` pieces due from dies are unplaced.

    Pieces that surely cannot be made are left out by themselves; `missing` counts them too. Pieces from punches and
    panels need no pass and are not to be counted.
    """
    work = die_work(project)
    if not work:
        return Bound(0, "nothing here has to go through the rollers")
    dropped = max(0, missing - impossible(project))
    found = [_by_copies(w, dropped) for w in work]
    found.append(_by_area(project, work, dropped))
    if sum(w.uses() for w in work) - dropped > max(b.passes for b in found):
        found.append(_by_conflicts(project, work, dropped))
    best = max(found, key=lambda b: b.passes)
    return best if best.passes != 1 else Bound(1, "what a die cuts has to go through the rollers once")


def _by_copies(work: DieWork, dropped: int) -> Bound:
    """Each copy of a die cuts once in a pass, through as many layers as the paper allows."""
    passes = -(-work.uses(dropped) // work.die.copies)
    return Bound(passes, _copies_sentence(work))


def _copies_sentence(work: DieWork) -> str:
    name, need = work.die.name or work.die.id, work.pieces
    owned = f"you own {counted(work.die.copies, tool(name, 'die'))}"
    layers = max(s.layers for t in work.tasks for s in t.sources)
    each = "which cuts" if work.die.copies == 1 else "each of which cuts"
    stack = f", {each} {number(layers)} layers at most," if layers > 1 else ""
    return f"{owned}{stack} and need {counted(need, piece(name, 'die') + ' piece')}"


def _by_conflicts(project: Project, work: Sequence[DieWork], dropped: int) -> Bound:
    """Dies of which no two can share the bed need passes of their own."""
    width, length = bed_sides(project.machine)
    gap = project.clearances.body_gap

    def apart(i: int, j: int) -> bool:
        a, b = work[min(i, j)].die, work[max(i, j)].die  # in one order, for what is kept from the last time
        return cannot_share(a.body, b.body, width, length, gap)

    every = range(len(work))
    runs = [-(-w.uses() // (1 if w.die.copies > 1 and apart(k, k) else w.die.copies)) for k, w in enumerate(work)]
    conflict = [[i != j and apart(i, j) for j in every] for i in every]
    clique = heaviest_clique(runs, conflict)
    names = [tool(work[k].die.name or work[k].die.id, "die") for k in clique]
    because = f"no two of the {listed(names)} can share the bed" if len(names) > 1 else _alone_sentence(work[clique[0]])
    return Bound(max(0, sum(runs[k] for k in clique) - dropped), because)


def _alone_sentence(work: DieWork) -> str:
    return (
        f"only one {tool(work.die.name or work.die.id, 'die')} at a time goes on the bed, and {_copies_sentence(work)}"
    )


def _by_area(project: Project, work: Sequence[DieWork], dropped: int) -> Bound:
    """Bodies grown by half the gap do not overlap, so the bed has to be large enough for them."""
    bed = bed_area(project)
    return max((_area_bound(areas, bed, work, dropped) for areas in _areas(project, work)), key=lambda b: b.passes)


def _area_bound(areas: Sequence[float], bed: float, work: Sequence[DieWork], dropped: int) -> Bound:
    uses = [w.uses() for w in work]
    spared = _without_largest(areas, uses, dropped)
    rooms = best_total([a / bed for a in areas], spared)
    total = sum(a * n for a, n in zip(areas, uses, strict=True))
    passes, plainly = math.ceil(rooms - _ROUND), math.ceil(total / bed - _ROUND)
    return Bound(passes, _area_sentence(total, bed, passes > plainly))


def _area_sentence(total: float, bed: float, wasted: bool) -> str:
    more = ", and the large ones leave each other no room" if wasted else ""
    return f"the dies together need {cm2(total)} of bed, one pass offers {cm2(bed)}{more}"


def _without_largest(areas: Sequence[float], uses: Sequence[int], dropped: int) -> list[int]:
    """Take the uses of the largest dies away: each dropped piece spares one use at most."""
    left = list(uses)
    for k in sorted(range(len(areas)), key=lambda k: -areas[k]):
        spared = min(left[k], dropped)
        left[k], dropped = left[k] - spared, dropped - spared
    return left


def bed_area(project: Project) -> float:
    """Return the area (mm²) that bodies grown by half the gap may cover in one pass (Steiner's formula)."""
    width, length = (side + 2 * SLACK for side in bed_sides(project.machine))
    half = _half_gap(project)
    return width * length + 2 * (width + length) * half + math.pi * half * half


def _half_gap(project: Project) -> float:
    return max(0.0, project.clearances.body_gap - SLACK) / 2


def _areas(project: Project, work: Sequence[DieWork]) -> list[list[float]]:
    """Return ways to weigh the dies: each with what it takes from all others, or only those that lie in no opening."""
    half, gap = _half_gap(project), project.clearances.body_gap
    plain = [float(_closed(w, work, gap).polygon.buffer(half).area) for w in work]
    inner = [any(a is not w and may_lie_in_opening(a.die.body, w.die.body, gap) for a in work) for w in work]
    framed = [0.0 if i else float(w.die.body.solid.polygon.buffer(half).area) for w, i in zip(work, inner, strict=True)]
    return [plain, framed]


def _closed(work: DieWork, others: Sequence[DieWork], gap: float) -> Outline:
    """Return a body with the openings filled in which no other die can lie."""
    body = work.die.body
    open_rings = tuple(
        ring.outer
        for ring in openings(body)
        if any(o is not work and may_lie_in(ring, o.die.body, gap) for o in others)
    )
    return Outline.trusted(body.outer, open_rings)
