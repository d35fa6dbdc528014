"""A project's ticks and the workshop go together, or not at all; what cannot be told now is told later."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from app.document.files import open_into, save
from app.document.state import State
from app.workshop import keeper
from layout.formats.plan_file import write_plan
from layout.formats.project_file import write_project
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.workshop import open_workshop
from layout.workshop.store import Drawer
from tests.support.simple_plans import simple_plan, simple_project
from tests.support.window_session import Desk

pytestmark = pytest.mark.usefixtures("qapp")


def begin(home: Path, *names: str) -> list[Path]:
    """Write projects that share the sheets of a new workshop, each with a plan of one pass."""
    paths = [home / f"{name}.json" for name in names]
    with open_workshop(home) as shop:
        project = shop.take_over(simple_project())
    for path in paths:
        write_project(replace(project, name=path.stem), path)
        write_plan(simple_plan(punched=()), path.with_name(f"{path.stem}.plan.json"))
    return paths


def sheets(home: Path) -> dict[str, int]:
    with open_workshop(home) as shop:
        return {t.name: t.count for t in shop.things("scrap")}


def marks(desk: Desk) -> int:
    return len(desk.document.project.done.runs)


def test_a_tick_whose_sheets_were_cut_for_another_project_is_not_made(tmp_path: Path) -> None:
    desks = [Desk(tmp_path, path) for path in begin(tmp_path, "a", "b", "c", "d")]
    for desk in desks[:3]:
        desk.marking.mark(0, 0)
    ticked: list[object] = []
    desks[3].marking.done.connect(ticked.append)
    before = desks[3].document.state
    desks[3].marking.mark(0, 0)
    assert desks[3].document.state == before
    assert ticked == []
    assert [marks(desk) for desk in desks] == [1, 1, 1, 0]
    (told,) = desks[3].told
    assert "scrap s was cut elsewhere meanwhile: none of its sheets is left" in told
    desks[0].document.undo.undo()
    desks[3].document.undo.redo()  # there is a sheet again
    assert [marks(desk) for desk in desks] == [0, 1, 1, 1]
    assert sheets(tmp_path)["s left"] == 1


def test_an_undo_that_the_drawer_does_not_allow_is_gone_back_on(tmp_path: Path) -> None:
    (path,) = begin(tmp_path, "a")
    desk = Desk(tmp_path, path)
    desk.marking.mark(0, 0)
    ticked = desk.document.state
    shop = desk.keeper.store
    (left,) = [t for t in shop.things("scrap") if t.name == "s left"]
    shop.put(replace(shop.load(left.id), up=10.0), name=left.id)  # as when another project changed it
    desk.document.undo.undo()
    assert desk.document.state == ticked
    assert "scrap s left was cut or changed since in the workshop" in desk.told[-1]
    assert shop.agree(desk.document.project, Plan(), path).notices == ()


def test_hand_work_ticked_together_is_refused_together(tmp_path: Path) -> None:
    (path,) = begin(tmp_path, "a")
    write_plan(simple_plan(), path.with_name("a.plan.json"))
    desk = Desk(tmp_path, path)
    for thing in desk.keeper.store.things("scrap"):
        model = desk.keeper.store.load(thing.id)
        if thing.name == "s":
            desk.keeper.store.put(replace(model, count=0), name=thing.id)
    desk.document.undo.beginMacro("Two ticks")
    desk.marking.mark_hand("punched", 0)
    desk.document.change("Kits", State(replace(desk.document.project, kits=7), desk.document.plan))
    desk.document.undo.endMacro()
    assert (marks(desk), desk.document.project.kits) == (0, 1)
    (told,) = desk.told
    assert "none of its sheets is left" in told


def test_ticks_of_a_project_are_never_taken_for_anothers(tmp_path: Path) -> None:
    first, second = begin(tmp_path, "a", "b")
    Desk(tmp_path, first).marking.mark(0, 0)
    other = Desk(tmp_path, second)
    assert (marks(other), other.told) == (0, [])


@pytest.fixture
def busy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Return a function by which another program holds the workshop, and lets it go."""
    monkeypatch.setattr("layout.workshop.store.WAIT", 0.05)
    monkeypatch.setattr(Drawer.__init__, "__defaults__", (0.05,))
    held: list[sqlite3.Connection] = []

    def turn() -> None:
        if held:
            held.pop().close()
        else:
            held.append(sqlite3.connect(tmp_path / "workshop.db", isolation_level=None))
            held[0].execute("BEGIN EXCLUSIVE")

    yield turn
    if held:
        turn()


def test_what_a_busy_workshop_did_not_hear_it_hears_later(tmp_path: Path, busy, monkeypatch, qtbot) -> None:
    monkeypatch.setattr(keeper, "AGAIN_MS", 30)
    (path,) = begin(tmp_path, "a")
    desk = Desk(tmp_path, path)
    _ = desk.keeper.store
    busy()
    desk.marking.mark(0, 0)
    assert marks(desk) == 1
    assert "wait a moment and try again" in desk.told[0]
    qtbot.wait(120)
    assert len(desk.told) == 1  # nobody is told of every try
    busy()
    qtbot.waitUntil(lambda: desk.marking.owed() is None)
    assert sheets(tmp_path) == {"s": 2, "s left": 1, "t": 1}


@pytest.mark.parametrize("saved", [False, True])
def test_what_a_busy_workshop_did_not_hear_outlasts_a_kill(tmp_path: Path, busy, saved: bool) -> None:
    (path,) = begin(tmp_path, "a")
    desk = Desk(tmp_path, path)
    desk.marking.mark(0, 0)
    busy()
    desk.document.undo.undo()
    desk.marking.mark(0, 0)
    desk.marking.unmark_last()
    assert desk.document.path is not None
    if saved:
        save(desk.document, path)
    desk.keeping.drop()  # as the end of the process does
    busy()
    again = Desk(tmp_path, path)
    assert (marks(again), again.told) == (0, [])
    assert sheets(tmp_path) == {"s": 3, "t": 1}


def test_ticks_made_in_another_workshop_stay_and_take_nothing_from_this_one(tmp_path: Path) -> None:
    home, here = tmp_path / "home", tmp_path / "here"
    home.mkdir()
    (path,) = begin(home, "a")
    desk = Desk(home, path)
    desk.marking.mark(0, 0)
    save(desk.document, path)
    here.mkdir()
    open_workshop(here).close()
    brought = Path(shutil.copy(path, here))
    other = Desk(here, brought)
    assert (marks(other), other.told, sheets(here)) == (1, [], {})
    other.marking.unmark_last()
    assert (marks(other), other.told, sheets(here)) == (0, [], {})


def test_a_tick_that_the_drawer_does_not_know_of_and_does_not_allow_is_taken_back_at_opening(tmp_path: Path) -> None:
    paths = begin(tmp_path, "a", "b", "c", "d")
    alone = tmp_path / "alone"
    alone.mkdir()
    desk = Desk(alone, paths[3])  # ticked while the workshop was elsewhere
    desk.marking.mark(0, 0)
    save(desk.document, paths[3])
    for path in paths[:3]:
        Desk(tmp_path, path).marking.mark(0, 0)
    other = Desk(tmp_path, paths[3])
    assert marks(other) == 0
    assert (
        "none of its sheets is left; take others and plan again; the tick on that pass is taken back" in other.told[0]
    )
    assert other.document.plan.passes == 1
    open_into(other.document, paths[3])
    other.keeper.agree()
    assert marks(other) == 0


def test_a_tick_told_late_that_the_drawer_no_longer_allows_is_taken_back_and_nothing_else(
    tmp_path: Path, busy, monkeypatch, qtbot
) -> None:
    monkeypatch.setattr(keeper, "AGAIN_MS", 30)
    *others, path = begin(tmp_path, "a", "b", "c", "d")
    desk = Desk(tmp_path, path)
    _ = desk.keeper.store
    busy()
    desk.marking.mark(0, 0)
    busy()
    desk.keeper._again.stop()
    for other in others:
        Desk(tmp_path, other).marking.mark(0, 0)
    desk.document.change("Kits", State(replace(desk.document.project, kits=7), desk.document.plan))
    qtbot.waitUntil(lambda: marks(desk) == 0)
    assert desk.document.project.kits == 7


def two_windows(home: Path) -> tuple[Desk, Desk]:
    """Return two windows on one project."""
    (path,) = begin(home, "a")
    return Desk(home, path), Desk(home, path)


@pytest.mark.parametrize("named", [False, True])
def test_two_windows_on_one_project_tick_a_pass_once(tmp_path: Path, qtbot, named: bool) -> None:
    one, two = two_windows(tmp_path)
    if named:
        for desk in (one, two):
            project = replace(desk.document.project, done=replace(desk.document.project.done, project="boxes"))
            desk.document.start_with(State(project, desk.document.plan), desk.document.path)
    one.marking.mark(0, 0)
    two.marking.mark(0, 0)
    assert (marks(two), two.document.plan.passes) == (0, 1)  # the step was gone back on
    assert "a was marked in another window meanwhile; that is taken over now" in two.told[0]
    qtbot.waitUntil(lambda: marks(two) == 1)
    assert two.document.project.done == one.document.project.done
    assert two.document.plan.passes == 0
    assert sheets(tmp_path) == {"s": 2, "s left": 1, "t": 1}


def test_what_one_window_took_back_the_other_takes_over_before_it_goes_on(tmp_path: Path, qtbot) -> None:
    one, two = two_windows(tmp_path)
    one.marking.mark(0, 0)
    two.keeper.agree()
    assert marks(two) == 1
    one.document.undo.undo()
    kits = replace(two.document.project, kits=3)
    two.document.change("Kits", State(kits, two.document.plan))  # no mark: nobody is asked
    two.marking.unmark_last()
    qtbot.waitUntil(lambda: marks(two) == 0)
    assert two.document.project.kits == 3
    assert sheets(tmp_path) == {"s": 3, "t": 1}
