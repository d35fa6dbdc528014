"""One bed: lay these dies over these sheets so that every clearance holds, or say that it was not found.

A job is told in outlines and poses; the answer is checked on the true outlines before it is given.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from layout.geometry.field import Floats
from layout.nesting.hopeless import key_of
from layout.nesting.job import BedAnswer, BedJob, DieJob, Effort, SheetJob
from layout.nesting.opening import Opening
from layout.nesting.scene import Ints
from layout.nesting.search import separate
from layout.nesting.setting import Setting
from layout.nesting.touching import fitted

SLACKS = (0.04, 0.08, 0.15)
EASE = (0.5, 0.25, 0.12)
WORKERS = 2
PROMISING = 2.5  # energy: what is no more in the way may be drawn to a fit, or is worth as many rounds again
OPENED_ROUNDS = 20  # a beginning that was well laid is mended soon or never


def lay(job: BedJob, effort: Effort) -> BedAnswer | None:
    """Find poses for a bed; None where none was found within the effort. The same seed gives the same answer."""
    if any(effort.hopeless.knows(key_of(s, mine)) for s, mine in _each_sheets_dies(job)):
        return None
    setting = Setting(job)
    opening = Opening(setting, SLACKS[0], effort) if sum(s.held is None for s in job.sheets) > 1 else None
    for first in range(0, effort.starts, WORKERS):
        found = _throw(setting, opening, effort, first)
        if found is not None:
            return found
        if opening is not None:
            effort.hopeless.take(opening.seen)
        if effort.stop[0]:
            return None
    return None


def _each_sheets_dies(job: BedJob) -> Iterator[tuple[SheetJob, list[DieJob]]]:
    """The sheets that may move, each with the dies that can be cut from no other."""
    for number, sheet in enumerate(job.sheets):
        if sheet.held is None:
            yield sheet, [d for d in job.dies if d.hosts == (number,) and d.held is None]


def _throw(setting: Setting, opening: Opening | None, effort: Effort, first: int) -> BedAnswer | None:
    """Start a few searches side by side; the answer of the lowest number wins, whichever is ready first."""
    numbers = range(first, min(first + WORKERS, effort.starts))
    tasks: list[Callable[[], BedAnswer | None]] = [lambda n=n: _search(setting, opening, effort, n) for n in numbers]  # type: ignore[misc]
    if effort.pool is None or len(tasks) == 1:
        return next((found for found in (task() for task in tasks) if found is not None), None)
    waiting = [effort.pool.submit(task) for task in tasks]
    return next((found for found in [w.result() for w in waiting] if found is not None), None)


def _search(setting: Setting, opening: Opening | None, effort: Effort, number: int) -> BedAnswer | None:
    scene = setting.scene
    stands, poses = scene.stands(), setting.poses.copy()
    fresh, rounds = setting.job.begin is None or number > 0, effort.rounds
    seed = (effort.seed * 7919 + number * 104729) % 2**31
    if fresh and opening is not None and opening.begin(poses, seed, effort.stop):
        fresh, rounds = False, min(rounds, OPENED_ROUNDS)
    for slack in SLACKS:
        _, energy = separate(scene, stands, poses, seed, rounds, slack, fresh, effort.stop)
        if 0.0 < energy < PROMISING:
            exact = _fit(setting, stands, poses)
            if exact is not None:
                return exact
            _, energy = separate(scene, stands, poses, seed + 1, rounds, slack, False, effort.stop)
        if energy > 0.0:
            return _fit(setting, stands, poses) if energy < PROMISING else None
        answer = setting.answer(stands, poses)
        if not setting.faults(answer):
            return _ease(setting, stands, poses, answer, effort)
        fresh, rounds = False, 12
    return None


def _fit(setting: Setting, stands: Ints, poses: Floats) -> BedAnswer | None:
    """Draw what all but fits into an exact fit: the search keeps a little more than the clearance."""
    exact = fitted(setting.job, setting.answer(stands, poses))
    return None if exact is None or setting.faults(exact) else exact


def _ease(setting: Setting, stands: Ints, poses: Floats, answer: BedAnswer, effort: Effort) -> BedAnswer:
    """Spread things out a little where there is room: a plan that is taped down by hand wants some."""
    for slack in EASE:
        tried_stands, tried = stands.copy(), poses.copy()
        _, energy = separate(setting.scene, tried_stands, tried, effort.seed, 2, slack, False, effort.stop)
        if energy > 0.0:
            continue
        eased = setting.answer(tried_stands, tried)
        if not setting.faults(eased):
            return eased
    return answer
