"""What a project asks: the machine, the dies and punches, the papers and scraps, and the pieces wanted.

Lengths are mm, angles degrees counter-clockwise. `extra` keeps fields that this version does not know,
so that a file comes out with everything it came in with.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose

if TYPE_CHECKING:
    from layout.model.done import DoneRun

Extra = Mapping[str, Any]


class Nothing(Mapping[str, Any]):
    """An empty mapping that may be a default, a key, and sent to another process."""

    __slots__ = ()

    def __getitem__(self, key: str) -> Any:
        raise KeyError(key)

    def __iter__(self) -> Iterator[str]:
        return iter(())

    def __len__(self) -> int:
        return 0

    def __hash__(self) -> int:
        return 0

    def __repr__(self) -> str:
        return "{}"


NOTHING: Extra = Nothing()
PLAIN_UP = 90.0


@dataclass(frozen=True, slots=True)
class Machine:
    """A hand-crank roller machine and the bed that its plate offers."""

    name: str = ""
    bed_width: float = 152.0
    bed_length: float = 220.0
    bed_margin: float = 0.0
    overhang_across: float = 0.0
    overhang_along: float = math.inf
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Clearances:
    """The distances that keep pieces whole; defaults are the contract's."""

    body_gap: float = 1.0
    paper_edge: float = 2.0
    web: float = 1.5
    image_tolerance: float = 0.5
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Die:
    """A thin metal die: its metal (`body`) and what it cuts (`cut`), both in the die's own frame."""

    id: str
    name: str
    body: Outline
    cut: Outline
    copies: int = 1
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Punch:
    """A hand punch: the paper goes in along +y and stops at y = `reach`; `mouth` is the throat's width."""

    id: str
    name: str
    cut: Outline
    reach: float
    mouth: float = math.inf
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Paper:
    """A kind of paper: g/m2, caliper in mm, and how many sheets of it one pass cuts."""

    id: str
    name: str
    grammage: float = 0.0
    caliper: float = 0.0
    layers: int = 1
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Image:
    """An image stamped on a scrap: the pose of the die that frames it, and the ink no other piece may cut."""

    image: str
    pose: Pose
    outline: Outline | None = None
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Scrap:
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
    extra: Extra = field(default=NOTHING, hash=False)
    uncut: Outline | None = None


@dataclass(frozen=True, slots=True)
class Panel:
    """A blank cut by hand: its outline and the lines to be scored."""

    id: str
    name: str
    outline: Outline
    scores: tuple[tuple[tuple[float, float], tuple[float, float]], ...] = ()
    extra: Extra = field(default=NOTHING, hash=False)


Turn = Literal["any", "upright"] | tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """A piece the project needs: its shape (a die, a punch or a panel), how many per kit, and how it must lie."""

    id: str
    shape: str
    count: int = 1
    paper: str | None = None
    turn: Turn = "any"
    turn_tolerance: float | None = None
    image: str | None = None
    more_is_fine: bool = False
    extra: Extra = field(default=NOTHING, hash=False)

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


@dataclass(frozen=True, slots=True)
class Done:
    """What was cut already: the project's lasting id (empty until its first mark), and every pass made."""

    project: str = ""
    runs: tuple[DoneRun, ...] = ()
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Project:
    """Everything a plan is made from. `spares`: the tin alone, without the pieces made in passes that are done."""

    machine: Machine = field(default_factory=Machine)
    clearances: Clearances = field(default_factory=Clearances)
    dies: tuple[Die, ...] = ()
    punches: tuple[Punch, ...] = ()
    papers: tuple[Paper, ...] = ()
    scraps: tuple[Scrap, ...] = ()
    panels: tuple[Panel, ...] = ()
    wanted: tuple[Wanted, ...] = ()
    kits: int = 1
    spares: Mapping[str, int] = field(default_factory=dict, hash=False)
    name: str = ""
    known_passes: int | None = None
    done: Done = field(default_factory=Done, hash=False)
    extra: Extra = field(default=NOTHING, hash=False)

    def due(self, wanted: Wanted) -> int:
        """How many of a piece are to be made: count per kit times kits, less the spares in the tin and those made."""
        return max(0, wanted.count * self.kits - self.spares.get(wanted.id, 0) - self.made(wanted.id))

    def made(self, wanted: str) -> int:
        """How many of a piece the passes that are done have made for this project."""
        return sum(run.made.get(wanted, 0) for run in self.done.runs)
