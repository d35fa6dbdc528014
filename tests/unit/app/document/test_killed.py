"""A window's session killed at any moment (a real process, SIGKILL) is back to its last gesture; drawer and file agree.

`PLATEFUL_KILLS=200` kills so often.
"""

from __future__ import annotations

import os
import shutil
from multiprocessing.context import BaseContext
from pathlib import Path

import pytest

from app.start import DEMO
from layout.formats.project_file import read_project, write_project
from layout.model.plan import Plan
from layout.workshop import open_workshop
from tests.support.killing import breeder_of, told_until_killed
from tests.support.window_session import Desk, told, work_into

KILLS = int(os.environ.get("PLATEFUL_KILLS", "6"))
FRESH = 20  # kills after which another project and workshop is begun: the plan is used up
MOST_TOLD = 24  # words heard before the kill; 0: while workshop and project are opened
MOMENT = 0.15  # seconds: longer than a gesture takes on a quick machine


@pytest.fixture(scope="module")
def breeder() -> BaseContext:
    """Return what makes children that have loaded everything already, where the system can."""
    return breeder_of("tests.support.window_session")


def begin(home: Path) -> Path:
    """Put the demo's project and plan into a folder, its sheets into a new workshop."""
    home.mkdir()
    path = home / "night.json"
    with open_workshop(home) as shop:
        write_project(shop.take_over(read_project(DEMO)), path)
    shutil.copy(DEMO.with_name("night-garden.plan.json"), home / "night.plan.json")
    return path


def is_nothing_missing(words: list[str], before: str, found: str) -> bool:
    """Whether what is found is the last state that was over, or the one on its way."""
    at = max((i for i, word in enumerate(words) if word.startswith("over")), default=-1)
    last, coming = (words[at].split(" ", 1)[1] if at >= 0 else before), words[at + 1 :]
    return found in (last, *(word.split(" ", 1)[1] for word in coming))


@pytest.mark.timeout(60 + 10 * KILLS)
@pytest.mark.usefixtures("qapp")
def test_a_window_killed_at_any_moment_is_back_to_its_last_gesture(tmp_path: Path, breeder: BaseContext) -> None:
    gestures = on_the_way = 0
    for kill in range(KILLS):
        if kill % FRESH == 0:
            home = tmp_path / f"{kill}"
            path = begin(home)
            before = told(Desk(home, path).document.state)
        words = told_until_killed(breeder, work_into, (home, path, kill), kill, MOST_TOLD, MOMENT)
        gestures += sum(word.startswith("over") for word in words)
        on_the_way += bool(words) and words[-1].startswith("arriving")
        desk = Desk(home, path)
        found = told(desk.document.state)
        assert is_nothing_missing(words, before, found), (kill, words[-5:], found)
        assert desk.told == []
        before = found
        project = desk.document.project
        assert desk.keeper.store.notices == ()
        assert desk.keeper.store.base.ask("PRAGMA integrity_check") == [("ok",)]
        again = desk.keeper.store.agree(project, Plan(), path)
        assert (again.project, again.notices) == (project, ())
        desk.keeping.drop()
        desk.keeper.close()
    assert gestures > KILLS
    print(f"{KILLS} kills, {gestures} gestures over, {on_the_way} kills while one was on its way")
