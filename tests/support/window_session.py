"""A window's session at work without its widgets, in a process of its own, to be killed at any moment.

It opens a project as the window does, does gestures by hand, ticks, undoes, redoes and saves, and tells what stands:
`arriving` with the state that a gesture leads to before anything of it is written, `over` once the next could begin.
"""

from __future__ import annotations

import hashlib
import os
import random
from collections.abc import Callable
from multiprocessing.connection import Connection
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import shapely  # noqa: F401 (it and what follows is loaded late by the program, and here once for all children)
from PySide6.QtCore import QCoreApplication

import layout.workshop.carrying
import layout.workshop.lending
import layout.workshop.marking
import layout.workshop.mending
import layout.workshop.tin  # noqa: F401
from app.document.document import Document
from app.document.files import open_into, save
from app.document.hands import Hands
from app.document.keeping import Keeping
from app.document.marking import Marking
from app.document.selection import Selection
from app.document.state import State
from app.messages.channel import Messages
from app.workshop.keeper import Keeper
from layout.formats.plan_file import plan_bytes
from layout.formats.project_file import project_bytes
from layout.geometry.value import replace

GESTURES = ("move", "move", "kits", "tick", "untick", "undo", "redo", "save")


def digest(state: State) -> str:
    """Return a short word for all that a person sees of a state: not the project's lasting id."""
    project = replace(state.project, done=replace(state.project.done, project=""))
    return hashlib.sha256(project_bytes(project) + plan_bytes(state.plan)).hexdigest()[:16]


def asked_and_done(state: State) -> str:
    """Return what is asked and which passes are done, without how the plan puts it."""
    marks = ",".join(sorted(run.id for run in state.project.done.runs))
    return f"{state.project.kits};{marks}"


def told(state: State) -> str:
    """Return both as words."""
    return f"{digest(state)} {asked_and_done(state)}"


class Desk:
    """What the window has between its widgets and the disk, put together in the window's order."""

    def __init__(self, home: Path, path: Path, say: Callable[[str], None] = lambda _: None) -> None:
        self.program = QCoreApplication.instance() or QCoreApplication([])
        self.told: list[str] = []
        self.document = Document()
        self.document.project_changed.connect(lambda: say(f"arriving {told(self.document.state)}"))
        self.document.plan_changed.connect(lambda: say(f"arriving {told(self.document.state)}"))
        self.selection = Selection(self.document)
        self.hands = Hands(self.document, self.selection)
        self.keeping = Keeping(self.document, home / "kept", self.told.append)
        self.marking = Marking(self.document)
        self.keeping.mind(self.marking)
        self.marking.refused.connect(self.told.append)
        self.messages = Messages()
        self.messages.told.connect(lambda message: self.told.append(message.text))
        self.keeper = Keeper(self.document, self.marking, self.messages, home)
        open_into(self.document, path)
        self.keeping.bring_back()
        self.keeper.agree()

    def gesture(self, dice: random.Random, among: tuple[str, ...] = GESTURES) -> None:
        """Do one thing that a person does."""
        document, plan = self.document, self.document.plan
        does = dice.choice(among)
        if does == "move" and plan.layouts and plan.layouts[0].dies:
            self.selection.pick(dies=frozenset({dice.randrange(len(plan.layouts[0].dies))}))
            self.hands.move_to(dice.uniform(0, 100), dice.uniform(0, 100))
        elif does == "kits":
            document.change("Kits", State(replace(document.project, kits=dice.randint(8, 60)), plan))
        elif does == "tick" and plan.layouts:
            self.marking.mark(0, 0)
        elif does == "untick" and document.project.done.runs:
            self.marking.unmark_last()
        elif does == "undo":
            document.undo.undo()
        elif does == "redo":
            document.undo.redo()
        elif does == "save" and document.path is not None:
            save(document, document.path)
            self.keeping.keep()
            self.keeper.know()


def work_into(home: Path, path: Path, seed: int, pipe: Connection) -> None:
    """Open the project, and do gestures until killed."""
    dice, desk = random.Random(seed), Desk(home, path, pipe.send)
    pipe.send(f"over {told(desk.document.state)}")
    while True:
        desk.gesture(dice)
        desk.program.processEvents()
        pipe.send(f"over {told(desk.document.state)}")
