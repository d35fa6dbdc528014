"""Flat roller profiles: among plans that are equal in all else, the one whose dies lie so that the peak is lowest.

The last of the contract's merits. What is turned and moved is what the advice of `layout.rules.easing` would name, one
step after the other; nothing else of the plan changes, so passes, layouts, pieces and paper stay as they are.
"""

from __future__ import annotations

from collections.abc import Callable

from layout.model.plan import Layout, Plan
from layout.model.project import Project
from layout.rules import check
from layout.rules.easing import advise, follow
from layout.rules.rollers import BAND, run_profile

ROUNDS = 6
"""At most so many turns or moves in one layout: each takes less off than the one before."""
Stopped = Callable[[], bool]


def flatten(project: Project, plan: Plan, stopped: Stopped = lambda: False, rounds: int = ROUNDS) -> Plan:
    """Return the plan with lower peaks where turns and moves bring them; it keeps every rule that the plan kept.

    Layouts with anything held in place stay; `stopped` is asked between two steps, and what is reached by then counts.
    A plan that breaks rules comes back as it is.
    """
    if check(project, plan):
        return plan
    for number, layout in enumerate(plan.layouts):
        if not _is_held(layout):
            plan = _eased(project, plan, number, stopped, rounds)
    return plan


def highest_peak(project: Project, layout: Layout, band: float = BAND) -> float:
    """Return the highest peak (mm of blade) of a layout's passes."""
    dies = {die.id: die for die in project.dies}
    return max((run_profile(dies, layout, run).peak(band).length for run in layout.runs), default=0.0)


def _eased(project: Project, plan: Plan, number: int, stopped: Stopped, rounds: int) -> Plan:
    for _ in range(rounds):
        advice = None if stopped() else advise(project, plan, number)
        if advice is None:
            return plan
        easier = follow(plan, number, advice)
        if check(project, easier):  # the live rules look at one layout, these at all
            return plan
        plan = easier
    return plan


def _is_held(layout: Layout) -> bool:
    extras = [layout.extra, *(die.extra for die in layout.dies), *(run.extra for run in layout.runs)]
    extras += [laid.extra for run in layout.runs for laid in run.scraps]
    return any(extra.get("held") for extra in extras)
