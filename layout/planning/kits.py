"""Kits in figures: what is made, what is left, what to fetch for it, what goes into each, and how long it will take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from statistics import median

from layout.model.done import DoneRun
from layout.model.plan import Layout, PlacedDie, Plan
from layout.model.project import Project, Wanted

SHORTEST, LONGEST = 5.0, 2700.0  # seconds: passes ticked off at once, and a break, tell nothing of the pace


@dataclass(frozen=True, slots=True)
class Line:
    """One wanted piece over all kits: asked = ready (made, or from the tin) + left; left = planned + missing."""

    wanted: Wanted
    asked: int
    made: int
    spares: int
    planned: int

    @property
    def ready(self) -> int:
        """How many are at hand, never more than are asked for."""
        return min(self.asked, self.made + self.spares)

    @property
    def left(self) -> int:
        """How many are still to be cut."""
        return self.asked - self.ready

    @property
    def missing(self) -> int:
        """How many of those no pass to come will cut."""
        return max(0, self.left - self.planned)


@dataclass(frozen=True, slots=True)
class ToFetch:
    """What the passes to come ask for: sheets by scrap, how many of each die at once, punches."""

    sheets: tuple[tuple[str, int], ...] = ()
    dies: tuple[tuple[str, int], ...] = ()
    punches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Gap:
    """The seconds between two passes ticked off; `taped`: other dies were taped down for the second."""

    seconds: float
    taped: bool


def lines(project: Project, plan: Plan) -> tuple[Line, ...]:
    """Return how each wanted piece stands, in the project's order."""
    planned = plan.made
    return tuple(
        Line(w, w.count * project.kits, project.made(w.id), project.spares.get(w.id, 0), planned[w.id])
        for w in project.wanted
    )


def whole_kits(project: Project) -> int:
    """Return how many kits can be packed with what is made and what the tin holds."""
    ready = [(project.made(w.id) + project.spares.get(w.id, 0)) // w.count for w in project.wanted if w.count > 0]
    return min([project.kits, *ready]) if ready else 0


def pack_list(project: Project) -> tuple[tuple[Wanted, int], ...]:
    """Return what goes into one kit, in the project's order."""
    return tuple((w, w.count) for w in project.wanted if w.count > 0)


def to_fetch(plan: Plan) -> ToFetch:
    """Return what the passes, punchings and panels still to be made ask for."""
    used = {(s.scrap, c) for layout in plan.layouts for run in layout.runs for s in run.scraps for c in s.copies}
    used |= {(p.scrap, p.copy) for p in plan.punched} | {(p.scrap, p.copy) for p in plan.panels}
    sheets = Counter(scrap for scrap, _ in sorted(used))
    most: Counter[str] = Counter()
    for layout in plan.layouts:
        most |= Counter(d.die for d in layout.dies)  # the larger of the two counts: layouts follow one another
    punches = dict.fromkeys(p.punch for p in plan.punched)
    return ToFetch(tuple(sorted(sheets.items())), tuple(sorted(most.items())), tuple(punches))


def gaps(done: Sequence[DoneRun]) -> tuple[Gap, ...]:
    """Return the times between passes that were ticked off one after the other; breaks are left out."""
    passes = sorted(((at, run) for run in done if run.layout and (at := _moment(run.when))), key=lambda p: p[0])
    found = []
    for (before, earlier), (after, later) in pairwise(passes):
        seconds = (after - before).total_seconds()
        if SHORTEST <= seconds <= LONGEST:
            found.append(Gap(seconds, _dies(earlier.layout) != _dies(later.layout)))
    return tuple(found)


def seconds_left(project: Project, plan: Plan, known: Iterable[Gap]) -> float | None:
    """Return how long the passes to come take at the pace known; None where no pace is known.

    The middle value of the gaps counts, apart for passes with dies newly taped down and for repeats.
    """
    told = tuple(known)
    if not told:
        return None
    every = [g.seconds for g in told]
    taping = median([g.seconds for g in told if g.taped] or every)
    again = median([g.seconds for g in told if not g.taped] or every)
    passes = [run for run in project.done.runs if run.layout]
    last = _dies(max(passes, key=lambda r: r.when).layout) if passes else ()
    total = 0.0
    for layout in plan.layouts:
        taped = 1 if layout.runs and _dies(layout) != last else 0
        total += taped * taping + (len(layout.runs) - taped) * again
        last = _dies(layout)
    return total


def _dies(layout: Layout | None) -> tuple[PlacedDie, ...]:
    return layout.dies if layout is not None else ()


def _moment(when: str) -> datetime | None:
    """Read a moment as the store writes it; what was written otherwise tells no time."""
    try:
        moment = datetime.fromisoformat(when)
    except ValueError:
        return None
    return moment.replace(tzinfo=None) if moment.tzinfo is None else moment.astimezone().replace(tzinfo=None)
