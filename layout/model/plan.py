"""What a plan answers: which dies are taped where, which scraps run under them, and what is missing."""

from __future__ import annotations

from collections import Counter
from typing import Literal

from layout.geometry.pose import Pose
from layout.model.noted import Noted

Line = tuple[tuple[float, float], tuple[float, float]]


class PlacedDie(Noted, frozen=True):
    """A die taped down at a pose in the plate frame."""

    die: str
    pose: Pose


class LaidScrap(Noted, frozen=True):
    """Sheets of one scrap (several copies: stacked in layers) at a pose in the plate frame."""

    scrap: str
    pose: Pose
    copies: tuple[int, ...] = (0,)
    part: int | None = None


class Cut(Noted, frozen=True):
    """Die number `die` of the layout cuts a `wanted` piece out of scrap number `scrap` of the run."""

    die: int
    scrap: int
    wanted: str


class Run(Noted, frozen=True):
    """One pass of a layout through the rollers."""

    scraps: tuple[LaidScrap, ...]
    cuts: tuple[Cut, ...]

    @property
    def made(self) -> Counter[str]:
        """The pieces that this pass cuts, by wanted id; a stack of sheets gives one off each."""
        made: Counter[str] = Counter()
        for cut in self.cuts:
            made[cut.wanted] += len(self.scraps[cut.scrap].copies)
        return made


class Layout(Noted, frozen=True):
    """One taping-down of dies, and the passes made with it."""

    id: str
    dies: tuple[PlacedDie, ...]
    runs: tuple[Run, ...]


class Punched(Noted, frozen=True):
    """A piece punched by hand; the pose is the punch's, in the scrap's frame."""

    wanted: str
    punch: str
    scrap: str
    pose: Pose
    copy: int = 0
    part: int | None = None


class StraightCut(Noted, frozen=True):
    """A cut from edge to edge: right of the line's direction becomes the next new part."""

    part: int
    line: Line


class CutDown(Noted, frozen=True):
    """A sheet cut down before anything else; part 0 is the sheet."""

    scrap: str
    cuts: tuple[StraightCut, ...]
    copy: int = 0


class CutPanel(Noted, frozen=True):
    """A panel trimmed to its bounding rectangle; the pose is in the scrap's frame."""

    wanted: str
    panel: str
    scrap: str
    pose: Pose
    copy: int = 0
    part: int | None = None


class Unplaced(Noted, frozen=True):
    """Pieces that this plan does not make, and the reason in words."""

    wanted: str
    count: int
    reason: str


class Plan(Noted, frozen=True):
    """The whole answer. `because` says in a sentence what the lower bound rests on."""

    layouts: tuple[Layout, ...] = ()
    punched: tuple[Punched, ...] = ()
    cut_downs: tuple[CutDown, ...] = ()
    panels: tuple[CutPanel, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    lower_bound: int = 0
    because: str = ""

    @property
    def made(self) -> Counter[str]:
        """The pieces that this plan makes, by wanted id: cut, punched and trimmed."""
        made = Counter([p.wanted for p in self.punched] + [p.wanted for p in self.panels])
        for layout in self.layouts:
            for run in layout.runs:
                made.update(run.made)
        return made

    @property
    def passes(self) -> int:
        """How many times something goes through the rollers."""
        return sum(len(layout.runs) for layout in self.layouts)

    @property
    def status(self) -> Literal["complete", "partial"]:
        """Whether every piece that is due is made."""
        return "partial" if self.unplaced else "complete"

    @property
    def proven(self) -> bool:
        """Whether no plan can do with fewer passes."""
        return self.passes == self.lower_bound
