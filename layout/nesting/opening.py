"""How a search begins where several sheets share a bed: the sheets first, then the dies of one sheet after another.

Laid alone, the sheets soon lie well, and the dies of one sheet are packed on it in a twentieth of the time that a heap
of all takes; the search over everything then has little left to mend. Measured on beds of three sheets: four to seven
times fewer seconds for an answer than from dies thrown anywhere.
"""

from __future__ import annotations

from shapely.geometry import box

from layout.geometry.field import Floats
from layout.geometry.pose import Pose
from layout.geometry.value import Value, replace
from layout.nesting.hopeless import Key, key_of
from layout.nesting.job import BedJob, Effort
from layout.nesting.scene import Ints
from layout.nesting.search import separate
from layout.nesting.setting import Setting, told

ARRANGEMENTS = 10
SHEET_ROUNDS = 12
TRIES = 3  # of one sheet's dies; what still does not fit begins as it fits best
TRY_ROUNDS = 25
WORTH_IT = 24  # rounds that one is ready to spend on all dies: a quick look does without


class _Alone(Value, frozen=True):
    """One sheet with its own dies: their numbers, and the scene of them alone with the sheet held."""

    sheet: int
    dies: tuple[int, ...]
    setting: Setting
    fill: float
    key: Key


class Opening:
    """The beginnings of a job in which at least two sheets move."""

    def __init__(self, setting: Setting, slack: float, effort: Effort) -> None:
        self._setting, self._slack = setting, slack
        self._sheets = Setting(replace(setting.job, dies=(), begin=None))
        ask_dies = effort.rounds >= WORTH_IT
        found = (self._alone(k) for k in range(len(setting.job.sheets)) if ask_dies)
        self._alones = sorted((a for a in found if a is not None), key=lambda a: -a.fill)
        self.seen: list[tuple[Key, float]] = []  # by searches side by side, which must not learn from each other

    def begin(self, poses: Floats, seed: int, stop: Ints) -> bool:
        """Write a beginning into `poses`; False, and nothing written, where no way was found to lay the sheets."""
        sheets = self._lay_sheets(seed, stop)
        if sheets is None:
            return False
        poses[: len(sheets)] = sheets
        for alone in self._alones:
            least = self._lay_dies(alone, poses, seed, stop)
            if not stop[0]:
                self.seen.append((alone.key, least))
        return True

    def _alone(self, number: int) -> _Alone | None:
        job = self._setting.job
        mine = tuple(k for k, d in enumerate(job.dies) if d.hosts == (number,) and d.held is None)
        if all(job.dies[k].on_sheet for k in mine):
            return None
        sheet = job.sheets[number]
        dies = tuple(replace(job.dies[k], hosts=(0,)) for k in mine)
        held = replace(sheet, held=sheet.held or Pose())
        fill = sum(d.metal.area for d in dies) / sheet.outline.area
        setting = Setting(BedJob(job.bed, job.rollers, job.gap, dies, (held,)))
        return _Alone(number, mine, setting, fill, key_of(sheet, dies))

    def _lay_dies(self, alone: _Alone, poses: Floats, seed: int, stop: Ints) -> float:
        """Lay one sheet's dies on it, on the bed, as if no others were there; what the best of a few tries leaves."""
        first, least = len(self._setting.job.sheets), float("inf")
        for attempt in range(TRIES):
            tried, stands = alone.setting.poses.copy(), alone.setting.scene.stands()
            tried[0] = poses[alone.sheet]
            scene, throw = alone.setting.scene, (seed + 31 * attempt) % 2**31
            _, energy = separate(scene, stands, tried, throw, TRY_ROUNDS, self._slack, True, stop)
            if energy < least:
                least = energy
                for row, die in enumerate(alone.dies, 1):
                    poses[first + die] = tried[row]
            if least == 0.0 or stop[0]:
                break
        return least

    def _lay_sheets(self, seed: int, stop: Ints) -> Floats | None:
        """Lay the sheets in the rollers, each with as much on the bed as its dies ask; None where no way was found."""
        best, most = None, 0.0
        for throw in range(ARRANGEMENTS):
            tried = self._arrangement((seed + 7907 * throw) % 2**31, stop)
            share = 0.0 if tried is None else self._least_share(tried)
            if share > most:
                best, most = tried, share
            if stop[0]:
                break
        return best

    def _arrangement(self, seed: int, stop: Ints) -> Floats | None:
        scene, tried = self._sheets.scene, self._sheets.poses.copy()
        _, energy = separate(scene, scene.stands(), tried, seed, SHEET_ROUNDS, self._slack, True, stop)
        return None if energy > 0.0 else tried

    def _least_share(self, tried: Floats) -> float:
        """For the sheet that has least of it: paper on the bed over what its dies ask, at most 2."""
        job = self._setting.job
        on_bed = box(*job.bed)
        shares = [2.0]
        for number, sheet in enumerate(job.sheets):
            asked = sum(d.metal.area for d in job.dies if d.hosts == (number,))
            if asked > 0.0:
                there = told(tried[number], self._setting.sheet_mid[number]).outline(sheet.outline).polygon
                # Turned, a sheet with a very thin neck may touch itself, which shapely's intersection cannot bear.
                shares.append(there.buffer(0.0).intersection(on_bed).area / asked)
        return min(shares)
