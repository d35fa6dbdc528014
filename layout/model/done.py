"""What was cut already: each pass (or hand piece) that is done, with what it took and what it left, so that it can be
taken back from the project file alone.
"""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import field

from layout.geometry.outline import Outline
from layout.model.noted import Noted
from layout.model.plan import CutPanel, Layout, Punched, StraightCut
from layout.model.project import Scrap


class Taken(Noted, frozen=True):
    """Alike sheets that went into a pass: the scrap as it was, which copies, and its place among the scraps.

    `cuts`: how these sheets were cut down beforehand, empty where they were whole.
    """

    scrap: Scrap
    copies: tuple[int, ...]
    at: int = 0
    cuts: tuple[StraightCut, ...] = ()


class Left(Noted, frozen=True):
    """A scrap that remained of `Taken` number `of`, and of which part where the sheet had been cut down."""

    scrap: Scrap
    of: int
    part: int | None = None


class Spare(Noted, frozen=True):
    """Pieces made beyond what was due: they go to the spares tin."""

    wanted: str
    name: str
    cut: Outline
    paper: str
    count: int
    image: str | None = None


class DoneRun(Noted, frozen=True):
    """One pass that is done (or one punched piece, or one panel): what it took, what it left, what it made.

    `layout` holds the one run that was made; `at` and `run` are its places in the plan at that time, `lower_bound`
    the plan's. Areas are square mm over all sheets; `made` counts the pieces this project uses, `spares` the others.
    """

    unhashed = Noted.unhashed | {"made"}

    id: str
    when: str
    taken: tuple[Taken, ...]
    left: tuple[Left, ...] = ()
    made: Mapping[str, int] = field(default_factory=dict)
    spares: tuple[Spare, ...] = ()
    cut_area: float = 0.0
    trimmed: float = 0.0
    layout: Layout | None = None
    at: int = 0
    run: int = 0
    lower_bound: int = 0
    punched: Punched | None = None
    panel: CutPanel | None = None
