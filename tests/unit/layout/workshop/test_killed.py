"""Killed at any moment (a real process, SIGKILL) nothing before the last gesture is missing.

`PLATEFUL_KILLS=200` kills so often. The children are forked from a process that has everything loaded, so that a
kill costs a fraction of a second; every moment counts, the opening of workshop and project too.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.context import BaseContext
from pathlib import Path

import pytest

from layout.formats.project_file import read_project
from layout.model.plan import Plan
from layout.workshop import Workshop, open_workshop
from tests.support.killing import breeder_of, told_until_killed
from tests.support.marking_session import begin, sheets, work

KILLS = int(os.environ.get("PLATEFUL_KILLS", "8"))
FRESH = 20  # kills after which a session goes on with another workshop: a history that grows costs time only
MOST_TOLD = 8  # gestures told before the kill; 0: while workshop and project are opened
MOMENT = 0.1  # seconds: longer than a gesture, or than the opening, takes on a quick machine
START = 1000


@dataclass(frozen=True)
class Standing:
    """What stands: edits of the project, dies in the drawer, marks."""

    edits: int = 0
    dies: int = 0
    marks: frozenset[str] = frozenset()

    @classmethod
    def told(cls, line: str) -> Standing:
        _, edits, dies, *marks = line.split()
        return cls(int(edits), int(dies), frozenset(marks[0].split(",")) if marks else frozenset())

    def gestures_after(self, other: Standing) -> int:
        """How many gestures lie between; a lost one counts far too many."""
        edits, dies = self.edits - other.edits, self.dies - other.dies
        return 1000 if min(edits, dies) < 0 else edits + dies + len(self.marks ^ other.marks)


@pytest.fixture(scope="module")
def breeder() -> BaseContext:
    """Return what makes children that have loaded everything already, where the system can."""
    return breeder_of("tests.support.marking_session")


def child(folder: Path, seed: int, path: Path, pipe: Connection) -> None:
    """Work until killed."""
    work(folder, seed, path, pipe.send)


def standing(shop: Workshop, path: Path) -> Standing:
    """Return what stands once project and drawer have met, and see that they hold the same sheets and marks."""
    project = shop.agree(read_project(path), Plan(), path).project
    again = shop.agree(project, Plan(), path)
    assert (again.project, again.notices) == (project, ())
    mine = next((s.count for s in project.scraps if s.id == "s"), 0)
    assert mine == sheets(shop, "s") == START - len(project.done.runs)
    lefts = sorted(s.id for s in project.scraps if s.id.startswith("s left"))
    assert lefts == sorted(t.name for t in shop.things("scrap", limit=-1) if "left" in t.name)
    marks = frozenset(r.id for r in project.done.runs)
    return Standing(int(project.extra.get("edits", 0)), len(shop.things("die", limit=-1)), marks)


@pytest.mark.timeout(60 + 10 * KILLS)
def test_killed_at_any_moment_nothing_before_the_last_gesture_is_missing(tmp_path: Path, breeder: BaseContext) -> None:
    over = 0
    for kill in range(KILLS):
        if kill % FRESH == 0:
            folder = tmp_path / f"{kill}"
            folder.mkdir()
            path = begin(folder, "kits")
            with open_workshop(folder) as shop:
                known = standing(shop, path)
        lines = told_until_killed(breeder, child, (folder, kill, path), kill, MOST_TOLD, MOMENT)
        over += max(0, len(lines) - 1)
        last = Standing.told(lines[-1]) if lines else known
        with open_workshop(folder) as shop:
            assert shop.notices == ()
            assert shop.base.ask("PRAGMA integrity_check") == [("ok",)]
            known = standing(shop, path)
        # One gesture more may have been over before it could be told; none may be missing.
        assert known.gestures_after(last) in (0, 1)
    assert over > KILLS / 2
    print(f"{KILLS} kills, {over} gestures told as over")
