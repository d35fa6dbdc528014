"""Two windows' sessions in two processes at once, both editing and both marking: nothing lost, no sheet spent twice.

`PLATEFUL_PAIRS=20` lets so many pairs work.
"""

from __future__ import annotations

import os
import random
from collections import Counter
from multiprocessing.connection import Connection
from pathlib import Path

import pytest

from layout.formats.project_file import read_project
from layout.workshop.things import reference
from tests.support.killing import breeder_of
from tests.support.window_session import Desk, told
from tests.unit.app.document.test_killed import begin

PAIRS = int(os.environ.get("PLATEFUL_PAIRS", "1"))
GESTURES = 40
PLAN = "night.plan.json"


def work(home: Path, path: Path, seed: int, pipe: Connection) -> None:
    """Do some gestures, bring the project in step once more, and tell what stands in the end."""
    dice, desk = random.Random(seed), Desk(home, path)
    for _ in range(GESTURES):
        desk.gesture(dice, ("move", "kits", "tick", "tick", "untick", "undo", "redo"))
        desk.program.processEvents()
    desk.keeping.keep()
    pipe.send((told(desk.document.state), desk.told))


@pytest.mark.timeout(120)
@pytest.mark.usefixtures("qapp")
@pytest.mark.parametrize("pair", range(PAIRS))
@pytest.mark.parametrize("same", [False, True], ids=["two projects", "one project"])
def test_two_windows_editing_and_marking_at_once(tmp_path: Path, same: bool, pair: int) -> None:
    home = tmp_path / "home"
    first = begin(home)
    second = first
    if not same:
        second = home / "other.json"
        second.write_bytes(first.read_bytes())
        second.with_name("other.plan.json").write_bytes((home / PLAN).read_bytes())
    start = Counter({reference(s): s.count for s in read_project(first).scraps})
    breeder = breeder_of("tests.support.window_session")
    pipes = [breeder.Pipe(duplex=False) for _ in range(2)]
    processes = [
        breeder.Process(target=work, args=(home, path, seed, pipe[1]))  # type: ignore[attr-defined]
        for seed, (path, pipe) in enumerate(zip((first, second), pipes, strict=True), 2 * pair)
    ]
    for process in processes:
        process.start()
    ends = [mine.recv() for mine, _ in pipes]
    for process in processes:
        process.join()
        assert process.exitcode == 0
    desks = [Desk(home, path) for path in dict.fromkeys((first, second))]
    shop = desks[0].keeper.store
    assert shop.base.ask("PRAGMA integrity_check") == [("ok",)]
    if not same:  # each comes back as it was left
        assert [told(desk.document.state) for desk in desks] == [end for end, _ in ends]
    standing = {row[0] for row in shop.base.ask("SELECT id FROM runs WHERE undone = 0")}
    records = [run for desk in desks for run in desk.document.project.done.runs]
    assert sorted(standing) == sorted(run.id for run in records)
    assert records or pair  # a later pair may end with every tick taken back
    held = start.copy()
    for run in records:
        held.subtract({reference(t.scrap): len(t.copies) for t in run.taken})
        held.update({reference(left.scrap): left.scrap.count for left in run.left})
    assert min(held.values()) >= 0
    assert +held == Counter({t.id: t.count for t in shop.things("scrap", limit=-1)})
