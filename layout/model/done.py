"""What was cut already: each pass (or hand piece) that is done, with what it took and what it left, so that it can be
taken back from the project file alone.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from layout.geometry.outline import Outline
from layout.model.plan import CutPanel, Layout, Punched, StraightCut
from layout.model.project import NOTHING, Extra, Scrap


@dataclass(frozen=True, slots=True)
class Taken:
    """Alike sheets that went into a pass: the scrap as it was, which copies, and its place among the scraps.

    `cuts`: how these sheets were cut down beforehand, empty where they were whole.
    """

    scrap: Scrap
    copies: tuple[int, ...]
    at: int = 0
    cuts: tuple[StraightCut, ...] = ()
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Left:
    """A scrap that remained of `Taken` number `of`, and of which part where the sheet had been cut down."""

    scrap: Scrap
    of: int
    part: int | None = None
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class Spare:
    """Pieces made beyond what was due: they go to the spares tin."""

    wanted: str
    name: str
    cut: Outline
    paper: str
    count: int
    image: str | None = None
    extra: Extra = field(default=NOTHING, hash=False)


@dataclass(frozen=True, slots=True)
class DoneRun:
    """One pass that is done (or one punched piece, or one panel): what it took, what it left, what it made.

    `layout` holds the one run that was made; `at` and `run` are its places in the plan at that time, `lower_bound`
    the plan's. Areas are square mm over all sheets; `made` counts the pieces this project uses, `spares` the others.
    """

    id: str
    when: str
    taken: tuple[Taken, ...]
    left: tuple[Left, ...] = ()
    made: Mapping[str, int] = field(default_factory=dict, hash=False)
    spares: tuple[Spare, ...] = ()
    cut_area: float = 0.0
    trimmed: float = 0.0
    layout: Layout | None = None
    at: int = 0
    run: int = 0
    lower_bound: int = 0
    punched: Punched | None = None
    panel: CutPanel | None = None
    extra: Extra = field(default=NOTHING, hash=False)
