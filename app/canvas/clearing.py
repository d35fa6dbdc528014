"""The nearest place where a die in hand breaks no rule, looked for in small slices so that the hand never waits."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from PySide6.QtCore import QElapsedTimer, QObject, QTimer, Signal

from app.canvas.draft import Draft
from app.canvas.live import Live
from layout.geometry.pose import Pose

if TYPE_CHECKING:
    from layout.rules.live import LiveRules

RINGS = (0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 12.5, 15.0, 18.0, 22.0, 27.0, 33.0, 40.0)  # mm away
LEAST_DIRECTIONS, BETWEEN = 16, 2.0  # places of a ring, and mm between two of them: a strip of paper is not skipped
PAUSE_MS = 200  # a hand that rests this long may like to be helped
SLICE_MS = 12  # less than a frame


def places_around(pose: Pose) -> Iterator[Pose]:
    """Yield poses ring by ring outward, with the same turn."""
    for ring, radius in enumerate(RINGS):
        directions = max(LEAST_DIRECTIONS, round(2 * math.pi * radius / BETWEEN))
        for k in range(directions):
            angle = 2 * math.pi * (k + ring % 2 / 2) / directions
            yield Pose(pose.x + radius * math.cos(angle), pose.y + radius * math.sin(angle), pose.turn)


def is_clear(rules: LiveRules, die: int, pose: Pose) -> bool:
    """Whether a die breaks no rule at a pose."""
    return not rules.move_die(die, pose)


class ClearPlace(QObject):
    """Looks for the nearest clear place of the one die in hand while it rests in a bad one."""

    found = Signal()

    def __init__(self, live: Live, draft: Callable[[], Draft], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._live, self._draft = live, draft
        self._places: Iterator[Pose] = iter(())
        self.pose: Pose | None = None
        self.die = -1
        self._rest = QTimer(self)
        self._rest.setSingleShot(True)
        self._rest.timeout.connect(self._begin)
        self._next = QTimer(self)
        self._next.setSingleShot(True)
        self._next.timeout.connect(self._slice)

    def watch(self) -> None:
        """The draft has changed: forget what was found, and look again once the hand rests."""
        self.pose = None
        self._next.stop()
        draft = self._draft()
        if len(draft.dies) == 1 and not draft.scraps:
            self._rest.start(PAUSE_MS)
        else:
            self._rest.stop()

    def find_now(self, draft: Draft) -> Pose | None:
        """Return the nearest clear place of the one die of a draft, looked for at once."""
        self._live.finish()
        self._live.follow(draft)
        rules = self._live.rules
        die, pose = next(iter(draft.dies.items()))
        if rules is None or not rules.about_die(die):
            return pose
        found = next((p for p in places_around(pose) if is_clear(rules, die, p)), None)
        self._live.drop()
        return found

    def _begin(self) -> None:
        draft = self._draft()
        self.die, pose = next(iter(draft.dies.items()), (-1, Pose()))
        if not self._live.about(draft):
            return
        self._places = places_around(pose)
        self._next.start(0)

    def _slice(self) -> None:
        draft, rules, clock = self._draft(), self._live.rules, QElapsedTimer()
        if rules is None or self.die not in draft.dies:
            return
        clock.start()
        found = None
        for pose in self._places:
            found = pose if is_clear(rules, self.die, pose) else None
            if found is not None or clock.elapsed() >= SLICE_MS:
                break
        else:
            rules.move_die(self.die, draft.dies[self.die])
            return
        rules.move_die(self.die, draft.dies[self.die])
        if found is None:
            self._next.start(0)
            return
        self.pose = found
        self.found.emit()
