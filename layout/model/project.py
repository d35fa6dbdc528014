"""What a project asks: the machine, the dies and punches, the papers and scraps, and the pieces wanted.

Lengths are mm, angles degrees counter-clockwise.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Literal

from msgspec import field

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.noted import Noted

if TYPE_CHECKING:
    from layout.model.done import DoneRun

PLAIN_UP = 90.0


class Machine(Noted, frozen=True):
    """A hand-crank roller machine and the bed that its plate offers."""

    name: str = ""
    bed_width: float = 152.0
    bed_length: float = 220.0
    bed_margin: float = 0.0
    overhang_across: float = 0.0
    overhang_along: float = math.inf


class Clearances(Noted, frozen=True):
    """The distances that keep pieces whole; defaults are the contract's."""

    body_gap: float = 1.0
    paper_edge: float = 2.0
    web: float = 1.5
    image_tolerance: float = 0.5


class Die(Noted, frozen=True):
    """A thin metal die: its metal (`body`) and what it cuts (`cut`), both in the die's own frame."""

    id: str
    name: str
    body: Outline
    cut: Outline
    copies: int = 1


class Punch(Noted, frozen=True):
    """A hand punch: the paper goes in along +y and stops at y = `reach`; `mouth` is the throat's width."""

    id: str
    name: str
    cut: Outline
    reach: float
    mouth: float = math.inf


class Paper(Noted, frozen=True):
    """A kind of paper: g/m2, caliper in mm, and how many sheets of it one pass cuts."""

    id: str
    name: str
    grammage: float = 0.0
    caliper: float = 0.0
    layers: int = 1


class Image(Noted, frozen=True):
    """An image stamped on a scrap: the pose of the die that frames it, and the ink no other piece may cut."""

    image: str
    pose: Pose
    outline: Outline | None = None


class Scrap(Noted, frozen=True):
    """One or more alike sheets of a paper, in the scrap's own frame.

    `uncut`: the sheet before this project's own passes; between two of them the web counts, not the edge.
    """

    id: str
    paper: str
    outline: Outline
    count: int = 1
    up: float = PLAIN_UP
    spoiled: tuple[Outline, ...] = ()
    images: tuple[Image, ...] = ()
    uncut: Outline | None = None


class Panel(Noted, frozen=True):
    """A blank cut by hand: its outline and the lines to be scored."""

    id: str
    name: str
    outline: Outline
    scores: tuple[tuple[tuple[float, float], tuple[float, float]], ...] = ()


Turn = Literal["any", "upright"] | tuple[float, ...]


class Wanted(Noted, frozen=True):
    """A piece the project needs: its shape (a die, a punch or a panel), how many per kit, and how it must lie."""

    id: str
    shape: str
    count: int = 1
    paper: str | None = None
    turn: Turn = "any"
    turn_tolerance: float | None = None
    image: str | None = None
    more_is_fine: bool = False

    @property
    def tolerance(self) -> float:
        """How far the turn may be off the angles wanted, in degrees: 0 where not said, with an image too."""
        return 0.0 if self.turn_tolerance is None else self.turn_tolerance

    @property
    def image_turn_tolerance(self) -> float:
        """How far the turn may be off the image's, in degrees: 1 where not said."""
        return 1.0 if self.turn_tolerance is None else self.turn_tolerance

    @property
    def angles(self) -> tuple[float, ...] | None:
        """The turns allowed against the print's upright, in degrees; None: any."""
        if self.turn == "any":
            return None
        return (0.0,) if self.turn == "upright" else tuple(self.turn)


class Done(Noted, frozen=True):
    """What was cut already: the project's lasting id (empty until its first mark), and every pass made."""

    project: str = ""
    runs: tuple[DoneRun, ...] = ()


class Project(Noted, frozen=True):
    """Everything a plan is made from. `spares`: the tin alone, without the pieces made in passes that are done."""

    unhashed = Noted.unhashed | {"spares", "done"}

    machine: Machine = Machine()
    clearances: Clearances = Clearances()
    dies: tuple[Die, ...] = ()
    punches: tuple[Punch, ...] = ()
    papers: tuple[Paper, ...] = ()
    scraps: tuple[Scrap, ...] = ()
    panels: tuple[Panel, ...] = ()
    wanted: tuple[Wanted, ...] = ()
    kits: int = 1
    spares: Mapping[str, int] = field(default_factory=dict)
    name: str = ""
    known_passes: int | None = None
    done: Done = Done()

    def due(self, wanted: Wanted) -> int:
        """How many of a piece are to be made: count per kit times kits, less the spares in the tin and those made."""
        return max(0, wanted.count * self.kits - self.spares.get(wanted.id, 0) - self.made(wanted.id))

    def made(self, wanted: str) -> int:
        """How many of a piece the passes that are done have made for this project."""
        return sum(run.made.get(wanted, 0) for run in self.done.runs)
