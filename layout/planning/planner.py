"""The anytime planner: a first valid plan at once, then better ones, until it is proven or told to stop."""

from __future__ import annotations

import math
import os
import threading
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from layout.geometry.value import replace
from layout.model.flat_profiles import wants_flat
from layout.model.plan import Plan, Unplaced
from layout.model.project import Project
from layout.nesting.bed import WORKERS
from layout.nesting.hopeless import Hopeless
from layout.nesting.job import Box, Effort
from layout.nesting.scene import Ints
from layout.nesting.warming import warm_up
from layout.planning.bedding import Bench
from layout.planning.bounds import Bound, lower_bound
from layout.planning.construct import Builder, Drive, Taped
from layout.planning.cutting_down import Panelled, cut_panels
from layout.planning.embossing import embossed
from layout.planning.flattening import flatten
from layout.planning.holding import Held, hold_of
from layout.planning.mixing import Mixer, Pool
from layout.planning.oversize import cut_oversize
from layout.planning.reasons import reason
from layout.planning.renewing import Renewer
from layout.rules import check

Report = Callable[[Plan], None]

STOPPED, TIME_IS_UP = 1, 2
NEW_BEDS = 4
FEW = 12  # passes: what has more takes long to build from nothing, and gains little by it
GIVEN_UP = (2, 3, 4)  # passes built anew at a time
FOR_PASSES = 0.7  # of the time, where the rest goes into flat roller profiles
CUT_SHORT = "planning was stopped before a place was found"
LOOKING = "no place found yet, still looking"
STRICT = bool(os.environ.get("PLATEFUL_STRICT"))  # tests: a draft that breaks a rule is an error, not thrown away


@dataclass(slots=True)
class Limits:
    """When to stop: after so many seconds (the clock) or attempts (for tests), or when `stop[0]` is set.

    `hold`: a plan whose parts marked as held stay exactly where they are.
    """

    seconds: float = 10.0
    attempts: int = 1000
    seed: int = 0
    hold: Plan | None = None
    stop: Ints = field(default_factory=lambda: np.zeros(1, dtype=np.int64))


def make_plan(project: Project, limits: Limits, report: Report = lambda _: None) -> Plan:
    """Find the best plan within the limits; every plan reported or returned keeps every rule.

    The time begins once the compiled loops are ready, which takes most of a minute on a machine that never planned.
    """
    warm_up()
    until = time.monotonic() + limits.seconds
    with ThreadPoolExecutor(WORKERS) as pool:
        plan = _Planner(project, limits, report, pool).plan()
    if wants_flat(project):
        plan = flatten(project, plan, lambda: limits.stop[0] == STOPPED or time.monotonic() > until)
    return embossed(project, plan)


class _Planner:
    def __init__(self, project: Project, limits: Limits, report: Report, pool: ThreadPoolExecutor) -> None:
        self.project, self.limits, self.report, self.pool = project, limits, report, pool
        self._hopeless = Hopeless()
        self.bench = Bench(project)
        self.held = hold_of(project, limits.hold)
        self.begun = begin(project, self.bench, self.held)
        self.halved: dict[int, Panelled] = {}
        self.beds = Pool(self.begun.stock)
        self.tries = 0  # from nothing
        self.best: Plan | None = None
        self.taped: list[Taped] = []  # of the best, where it is built from all sheets as they are
        self.bound: Bound = lower_bound(project)

    def plan(self) -> Plan:
        """A quick plan, then ever harder tries for fewer passes, until it is proven or time is up."""
        seconds = self.limits.seconds * (FOR_PASSES if wants_flat(self.project) else 1.0)
        timer = threading.Timer(max(0.9 * seconds, seconds - 1.0), self._time_is_up)
        timer.daemon = True
        timer.start()
        try:
            early = self._consider if self.limits.hold is None else None
            self._try(Drive(self._effort(1, 8, 0), sheet_tries=1, quick=True, early=early))
            for attempt in range(self.limits.attempts):
                if self._done():
                    break
                if not self._bettered(attempt):
                    self._try(self._drive(self.tries), self._sheets(self.tries))
                    self.tries += 1
        finally:
            timer.cancel()
        return self._with_reasons(self.best if self.best is not None else self._told(Plan(), self._all_missing()))

    def _bettered(self, attempt: int) -> bool:
        """Work on the best plan instead of building one from nothing; False where that is due, or all there is."""
        best = self.best
        if best is None or self.limits.hold is not None or best.passes <= max(2, self.bound.passes):
            return False
        if attempt % (4 if best.passes <= FEW else 16) == 2:
            return False
        return (attempt % 4 == 0 and self._mix(attempt)) or self._renew(attempt)

    def _drive(self, attempt: int) -> Drive:
        """Aim at the bound, now and then at one pass fewer than the best, now and then at no goal but more pieces."""
        best = self.best
        goal: int | None = self.bound.passes
        if best is not None and attempt % 3 == 1 and best.passes - 1 > self.bound.passes and not best.unplaced:
            goal = best.passes - 1
        if best is None or (best.unplaced and attempt % 3 == 2) or attempt == 3:
            goal = None
        rounds = min(120, 30 + 15 * attempt)
        shuffle = 0.0 if attempt < 4 else 0.3
        effort = self._effort(2, rounds, attempt)
        return Drive(effort, goal, sheet_tries=2 + attempt % 5, shuffle=shuffle, improving=best is not None)

    def _sheets(self, attempt: int) -> Panelled:
        """The sheets to plan with: now and then cut smaller than the rollers ask for, so that several share a bed."""
        best = self.best
        if attempt % 4 != 1 or best is None or self.limits.hold is not None or not self._may_share():
            return self.begun
        parts = 2 if attempt % 8 == 1 else 4
        if parts not in self.halved:
            self.halved[parts] = begin(self.project, self.bench, self.held, parts)
        return self.halved[parts]

    def _mix(self, attempt: int) -> bool:
        """Grow the pool by beds that the pass programme pays for; build the best mix where it spares a pass.

        False where fresh sheets do not do for what is due: the programme knows no others.
        """
        assert self.best is not None
        rounds = min(100, 40 + 10 * attempt)
        drive = Drive(self._effort(2, rounds, attempt), sheet_tries=1, improving=True)
        mixer = Mixer(self.bench, self.begun, self.held, drive)
        due = mixer.pieces_due()
        if self.beds.prices(due) is None:
            for bedded in mixer.alone():
                self.beds.add(bedded)
        prices = self.beds.prices(due)
        if prices is None:
            return False
        for k in range(NEW_BEDS):
            drive.effort, drive.shuffle = self._effort(2, rounds, attempt + 500 * (k + 1)), 0.2 * k
            grown = mixer.grown(prices.pieces)
            if grown is not None and self.beds.add(grown):
                prices = self.beds.prices(due) or prices
        if math.ceil(prices.passes - 1e-6) < self.best.passes or self.best.unplaced:
            mixed = mixer.mixed(self.beds.choose(due, lambda: bool(self.limits.stop[0])))
            self._consider(mixed, mixer)
        return True

    def _renew(self, attempt: int) -> bool:
        """Give up a few passes of the best plan and build what they made in one fewer; False where it cannot be."""
        assert self.best is not None
        if not self.taped:
            return False
        goal = None if self.best.unplaced else self.best.passes - 1
        rounds = min(100, 30 + 2 * attempt)
        drive = Drive(self._effort(2, rounds, attempt), goal, sheet_tries=2 + attempt % 2, shuffle=0.2, improving=True)
        renewer = Renewer(self.bench, self.begun, self.held, drive)
        self._consider(renewer.renewed(self.taped, GIVEN_UP[attempt % len(GIVEN_UP)]), renewer)
        return True

    def _may_share(self) -> bool:
        """Whether one pass could need more than one sheet: several papers, or stacks of several heights."""
        due = [w for w in self.project.wanted if self.project.due(w) > 0]
        return len({w.paper for w in due}) > 1 or any(p.layers > 1 for p in self.project.papers)

    def _effort(self, starts: int, rounds: int, attempt: int) -> Effort:
        seed = self.limits.seed * 1000 + attempt
        return Effort(starts, rounds, seed, self.limits.stop, self.pool, self._hopeless)

    def _time_is_up(self) -> None:
        """A little before the time is up, so that reasons can still be worked out in it."""
        if not self.limits.stop[0]:
            self.limits.stop[0] = TIME_IS_UP

    def _done(self) -> bool:
        if self.limits.stop[0]:
            return True
        return self.best is not None and self.best.proven and not self.best.unplaced

    def _try(self, drive: Drive, begun: Panelled | None = None) -> None:
        if self._done() and self.best is not None:
            return
        builder = Builder(self.bench, begun or self.begun, self.held, drive)
        built = builder.build()
        if begun is None or begun is self.begun:
            for taped in builder.taped:
                if taped.last is not None:
                    self.beds.add(taped.last)
        self._consider(built, builder if builder.begun is self.begun else None)

    def _consider(self, built: tuple[Plan, dict[str, int]] | None, builder: Builder | None = None) -> None:
        """Keep a draft that is better than the best and breaks no rule, and how its builder taped it."""
        if built is None:
            return
        plan = self._told(*built)
        if self.best is not None and rank(self.project, plan) >= rank(self.project, self.best):
            return
        faults = check(self.project, plan)
        if faults:
            if STRICT:
                raise AssertionError(f"{faults[0].rule}: {faults[0].where}: {faults[0].what}")
            return
        self.best, self.taped = plan, builder.taped if builder is not None else []
        self.report(plan)

    def _all_missing(self) -> dict[str, int]:
        return {w.id: self.project.due(w) for w in self.project.wanted if self.project.due(w) > 0}

    def _told(self, draft: Plan, missing: dict[str, int]) -> Plan:
        """The draft with what is missing and the bound for what is there."""
        unplaced = tuple(Unplaced(w.id, missing[w.id], LOOKING) for w in self.project.wanted if missing.get(w.id))
        bound = lower_bound(self.project, sum(missing.values())) if missing else self.bound
        return replace(draft, unplaced=unplaced, lower_bound=min(bound.passes, draft.passes), because=bound.because)

    def _with_reasons(self, plan: Plan) -> Plan:
        """The plan with the reason for each missing piece: worked out once, at the end, since it takes a while."""
        if self.limits.stop[0] == STOPPED:
            return replace(plan, unplaced=tuple(replace(u, reason=CUT_SHORT) for u in plan.unplaced))
        asked = {w.id: w for w in self.project.wanted}
        told = tuple(replace(u, reason=reason(self.project, asked[u.wanted], u.count)) for u in plan.unplaced)
        return replace(plan, unplaced=told)


def begin(project: Project, bench: Bench, held: Held, parts: int = 1) -> Panelled:
    """Panels first, while sheets are whole; then what is too big for the rollers is cut down.

    `parts`: cut down to a half (2) or a quarter (4) of the bed, so that so many sheets can share it.
    """
    panelled = cut_panels(project, held.stock, held=(held.cut_downs, held.panels))
    share = bench.rollers if parts == 1 else _share(bench.bed, parts)
    stock, cut_downs = cut_oversize(panelled.stock, share, panelled.cut_downs)
    return replace(panelled, stock=stock, cut_downs=cut_downs)


def _share(bed: Box, parts: int) -> Box:
    x0, y0, x1, y1 = bed
    return x0, y0, x0 + (x1 - x0) / (2 if parts > 2 else 1), y0 + (y1 - y0) / 2


def rank(project: Project, plan: Plan) -> tuple[float, ...]:
    """The contract's order of merit: all pieces, fewest passes, fewest layouts, least good paper; smaller is better."""
    missing = sum(u.count for u in plan.unplaced)
    return missing, plan.passes, len(plan.layouts), round(paper_used(project, plan), 1)


def paper_used(project: Project, plan: Plan) -> float:
    """Area (square mm) of the sheets that a plan touches: whole sheets weigh most, small scraps least."""
    area = {s.id: s.outline.area for s in project.scraps}
    touched = {(s.scrap, c) for lay in plan.layouts for run in lay.runs for s in run.scraps for c in s.copies}
    touched |= {(p.scrap, p.copy) for p in plan.punched} | {(p.scrap, p.copy) for p in plan.panels}
    return sum(area[scrap] for scrap, _ in touched)
