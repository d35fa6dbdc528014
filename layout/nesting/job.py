"""What is to lie on one bed, and how hard to try: a job told in outlines and poses, and its answer."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from msgspec import Struct, field

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import Value
from layout.nesting.hopeless import Hopeless
from layout.nesting.scene import Ints

Box = tuple[float, float, float, float]


class BedAnswer(Value, frozen=True):
    """Poses on the plate of dies and sheets, and which sheet each die cuts."""

    dies: tuple[Pose, ...]
    sheets: tuple[Pose, ...]
    hosts: tuple[int, ...]


class DieJob(Value, frozen=True):
    """A die to lay: `metal` keeps clear of other metal, `cut` stays on one of the `hosts` (numbers of sheets).

    `turns`: allowed turns against the sheet in degrees (None: any); `on_sheet`: its pose on its one host is given;
    `held`: its pose on the plate is given; `on_image`: that it suits its sheet is known already.
    """

    metal: Outline
    cut: Outline
    hosts: tuple[int, ...]
    turns: tuple[float, ...] | None = None
    on_sheet: Pose | None = None
    held: Pose | None = None
    on_image: bool = False


class SheetJob(Value, frozen=True):
    """Sheets of one scrap: `marks` are outlines no cut may come nearer to than so many mm.

    `held`: where they lie; `turns`: the turns on the plate they may have, in degrees (None: any).
    """

    outline: Outline
    edge: float
    marks: tuple[tuple[Outline, float], ...] = ()
    held: Pose | None = None
    turns: tuple[float, ...] | None = None


class BedJob(Value, frozen=True):
    """Everything that is to lie on one bed at once; boxes are x0, y0, x1, y1 in mm of the plate.

    `begin`: how the first of the dies and sheets lay before; the first search starts from there.
    """

    bed: Box
    rollers: Box
    gap: float
    dies: tuple[DieJob, ...]
    sheets: tuple[SheetJob, ...] = ()
    begin: BedAnswer | None = None


class Effort(Struct):
    """How hard to try: `starts` throws of at most `rounds` rounds each; `stop[0]` set by anyone ends the search.

    `hopeless`: what earlier searches for the same project came nowhere near.
    """

    starts: int = 4
    rounds: int = 40
    seed: int = 0
    stop: Ints = field(default_factory=lambda: np.zeros(1, dtype=np.int64))
    pool: ThreadPoolExecutor | None = None
    hopeless: Hopeless = field(default_factory=Hopeless)
