"""A window's session killed, or refused by the disk, at each single write it makes: at the first, at every one.

What a kill leaves is what lies on the disk at that moment: it is copied there, and opened afterwards as the next window
does. `PLATEFUL_LIVES=100` walks through so many sessions by chance, each beginning where one was killed.
"""

from __future__ import annotations

import errno
import os
import random
import shutil
import sqlite3
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from app.document.files import save
from app.document.state import State
from layout.formats.plan_file import write_plan
from layout.formats.project_file import write_project
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.done import Spare
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Run
from layout.workshop import open_workshop
from layout.workshop.things import reference
from layout.workshop.tin import with_more
from tests.support.simple_plans import simple_plan, simple_project, square
from tests.support.window_session import Desk, told
from tests.support.write_points import met
from tests.unit.app.document.test_killed import begin as begin_demo

pytestmark = pytest.mark.usefixtures("qapp")

LIVES = int(os.environ.get("PLATEFUL_LIVES", "3"))
LOCKS = shutil.ignore_patterns("*.lock")  # whoever is killed holds none
TIN = "tin"

Gesture = Callable[[Desk], object]


@pytest.fixture
def room(tmp_path: Path) -> Iterator[Path]:
    """Return an empty folder, in memory where there is such a place: a disk asked ten thousand times is slow."""
    memory = Path("/dev/shm")
    if not os.access(memory, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory, prefix="plateful-") as name:
        yield Path(name)


def three_passes() -> Plan:
    """Return a plan of three passes over three sheets, and a dot to punch."""
    plan = simple_plan()
    run = plan.layouts[0].runs[0]
    again = replace(run, scraps=(replace(run.scraps[0], copies=(1,)),))
    third = Layout(
        "B", (PlacedDie("leaf", Pose(30, 15)),), (Run((LaidScrap("s", Pose(0, 0)),), (Cut(0, 0, "w-leaf"),)),)
    )
    return replace(plan, layouts=(replace(plan.layouts[0], runs=(run, again)), third))


def begin(home: Path) -> Path:
    """Put a project of three passes into a folder, its sheets into a new workshop with spares in its tin."""
    home.mkdir()
    path = home / "boxes.json"
    with open_workshop(home) as shop:
        write_project(shop.take_over(simple_project(name="boxes", kits=3)), path)
        shop.put(Spare("", "fern leaf", square(20), "moss", 5), name=TIN)
    write_plan(three_passes(), home / "boxes.plan.json")
    return path


# ---- what a person does ----------------------------------------------------------------------------------------------


def tick(desk: Desk) -> None:
    desk.marking.mark(0, 0)


def tick_hand(desk: Desk) -> None:
    desk.marking.mark_hand("punched", 0)


def untick(desk: Desk) -> None:
    desk.marking.unmark_last()


def move(desk: Desk) -> None:
    desk.selection.pick(dies=frozenset({0}))
    desk.hands.nudge(1, 0, fine=False)


def more_kits(desk: Desk) -> None:
    project = desk.document.project
    desk.document.change("Kits", State(replace(project, kits=project.kits + 1), desk.document.plan))


def take_from_tin(desk: Desk) -> None:
    after = with_more(desk.document.project, TIN, "w-leaf", 1)
    desk.document.change("Pieces taken from the tin", State(after, desk.document.plan))


def undo(desk: Desk) -> None:
    desk.document.undo.undo()


def redo(desk: Desk) -> None:
    desk.document.undo.redo()


def keep_in_file(desk: Desk) -> None:
    assert desk.document.path is not None
    save(desk.document, desk.document.path)
    desk.keeping.keep()
    desk.keeper.know()


SCRIPT: tuple[Gesture, ...] = (
    *(
        tick,
        move,
        keep_in_file,
        undo,
        undo,
        redo,
        more_kits,
        keep_in_file,
        take_from_tin,
        undo,
        redo,
        keep_in_file,
        undo,
    ),
    *(tick, keep_in_file, undo, tick_hand, untick, undo),
)


# ---- killed ----------------------------------------------------------------------------------------------------------


@dataclass
class Camera:
    """Copies a folder at each write, with what was told by then."""

    home: Path
    told: list[str] = field(default_factory=list)
    pictures: list[tuple[Path, str, int]] = field(default_factory=list)
    writes: int = 0
    seen: bytes = b""
    busy: bool = False

    def meet(self, where: str) -> None:
        if self.busy:
            return
        self.busy = True
        self.writes += 1
        seen = self._look()
        if seen != self.seen:  # most statements touch no file before they are committed
            made = self.home.with_name(f"at write {self.writes}")
            shutil.copytree(self.home, made, ignore=LOCKS)
            self.pictures.append((made, where, len(self.told)))
        self.seen = seen
        self.busy = False

    def _look(self) -> bytes:
        files = sorted(path for path in self.home.rglob("*") if path.is_file() and path.suffix != ".lock")
        words = "\n".join(self.told).encode()
        return words + b"".join(bytes(path) + path.read_bytes() for path in files)

    def film(self, path: Path, does: Iterator[Gesture]) -> None:
        """Open a project and do gestures, seen at every write; then everything is let go and the folder taken away."""
        with met(self.meet):
            desk = Desk(self.home, path, self.told.append)
            self.told.append(f"over {told(desk.document.state)}")
            for gesture in does:
                gesture(desk)
                desk.program.processEvents()
                self.told.append(f"over {told(desk.document.state)}")
        assert desk.told == []
        close(desk)
        shutil.rmtree(self.home)

    def put_back(self, number: int) -> list[str]:
        """Put the folder back as it was at a write; returns what may be found there: what was over or on its way."""
        made, _, words = self.pictures[number]
        shutil.rmtree(self.home, ignore_errors=True)
        shutil.copytree(made, self.home)
        heard = self.told[:words]
        last = max((i for i, word in enumerate(heard) if word.startswith("over")), default=0)
        return [word.split(" ", 1)[1] for word in heard[last:]]


def close(desk: Desk) -> None:
    desk.keeping.drop()
    desk.keeper.close()


def found_whole(home: Path, path: Path) -> str:
    """Open what is there, see that drawer and project hold the same, and return what stands."""
    desk = Desk(home, path)
    shop, project = desk.keeper.store, desk.document.project
    assert desk.told == []
    assert shop.notices == ()
    assert shop.base.ask("PRAGMA integrity_check") == [("ok",)]
    again = shop.agree(project, Plan(), path)
    assert (again.project, again.notices) == (project, ())
    sheets = {reference(s): s.count for s in project.scraps if reference(s)}
    assert sheets == {t.id: t.count for t in shop.things("scrap", limit=-1)}
    taken = sum(n for each in project.extra.get("from_tin", {}).values() for n in each.values())
    assert [t.count for t in shop.things("spare", limit=-1) if t.id == TIN] in ([5 - taken], [])
    close(desk)
    return told(desk.document.state)


@pytest.mark.timeout(120)
def test_killed_at_any_single_write_a_window_is_back_before_or_after_that_gesture(room: Path) -> None:
    home = room / "home"
    path = begin(home)
    camera = Camera(home, [f"over {told(Desk(home, path).document.state)}"])
    camera.film(path, iter(SCRIPT))
    assert camera.writes > 10 * len(SCRIPT)
    for number, (picture, where, _) in enumerate(camera.pictures):
        may_be = camera.put_back(number)
        assert found_whole(home, path) in may_be, (picture.name, where)


@pytest.mark.timeout(60 + 30 * LIVES)
def test_killed_again_and_again_nothing_is_lost_by_coming_back_either(room: Path) -> None:
    """Sessions by chance, with the demo; each goes on where the one before was killed, at a write drawn by lot."""
    dice = random.Random(LIVES)
    home = room / "0" / "home"
    home.parent.mkdir()
    path = begin_demo(home)
    before = told(Desk(home, path).document.state)
    for life in range(LIVES):
        camera = Camera(home, [f"over {before}"])
        camera.film(path, (lambda desk: desk.gesture(dice) for _ in range(dice.randint(2, 9))))
        for number in dice.sample(range(len(camera.pictures)), min(6, len(camera.pictures))):
            may_be = camera.put_back(number)
            before = found_whole(home, path)
            assert before in may_be, (life, number, camera.pictures[number][1], camera.told)
        for picture, _, _ in camera.pictures:
            shutil.rmtree(picture)


# ---- refused ---------------------------------------------------------------------------------------------------------


class Disk:
    """Refuses the write of a number, and so many after it."""

    def __init__(self, first: int, many: int) -> None:
        self.first, self.many, self.met, self.opening = first, many, 0, True

    def meet(self, where: str) -> None:
        self.met += 1
        if self.opening or where in ("unlink", "remove", "ROLLBACK", "RELEASE"):
            return  # a full disk lets things go
        if self.first <= self.met < self.first + self.many:
            if where.isupper():
                error = sqlite3.OperationalError("database or disk is full")
                error.sqlite_errorcode = sqlite3.SQLITE_FULL
                raise error
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


@pytest.mark.timeout(240)
@pytest.mark.parametrize("many", [1, 12])
def test_a_write_refused_anywhere_costs_nothing_once_the_disk_has_room_again(room: Path, many: int) -> None:
    does: tuple[Gesture, ...] = (tick, take_from_tin, undo, untick)
    start = room / "start"
    begin(start)
    home = room / "home"
    path = home / "boxes.json"
    first, ended = 1, False
    while not ended:
        shutil.rmtree(home, ignore_errors=True)
        shutil.copytree(start, home)
        disk = Disk(first, many)
        with met(disk.meet):
            desk = Desk(home, path)
            disk.met, disk.opening = 0, False  # from now on it refuses, in the opened store's statements too
            for gesture in does:
                gesture(desk)
                desk.program.processEvents()
        ended = disk.met < first
        stands = told(desk.document.state)
        assert desk.document.undo.count() == 2  # tick and untick: nothing of the work was gone back on
        desk.keeping.keep()  # room again
        close(desk)
        assert found_whole(home, path) == stands, (first, desk.told)
        first += many
