"""What a machine can take, learnt from passes that a person marks: no force is claimed, only lengths compared."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

How = Literal["easy", "hard", "stalled"]
HOWS: tuple[How, ...] = ("easy", "hard", "stalled")


@dataclass(frozen=True, slots=True)
class Mark:
    """How a pass went whose peak was so many mm of blade."""

    peak: float
    how: How


@dataclass(frozen=True, slots=True)
class Limit:
    """The longest peak that went easily below all that did not, and the shortest that went hard or stalled (mm)."""

    easy: float | None = None
    hard: float | None = None
    stalled: float | None = None

    def says(self, peak: float) -> str:
        """Say in a sentence what earlier passes let expect of a peak (mm)."""
        if self.stalled is not None and peak >= self.stalled:
            return f"A pass with {self.stalled:.0f} mm stalled: take a die off or turn one."
        if self.hard is not None and peak >= self.hard:
            return f"A pass with {self.hard:.0f} mm went hard: crank slowly."
        if self.easy is not None and peak <= self.easy:
            return f"A pass with {self.easy:.0f} mm went easily: so should this one."
        return "No pass like this one was marked yet."


def learnt(marks: Iterable[Mark]) -> Limit:
    """Return what marks teach; where an easy pass was longer than a hard one, the hard one counts."""
    found = list(marks)
    stalled = min((m.peak for m in found if m.how == "stalled"), default=None)
    hard = min((m.peak for m in found if m.how == "hard"), default=None)
    worst = min((p for p in (stalled, hard) if p is not None), default=float("inf"))
    easy = max((m.peak for m in found if m.how == "easy" and m.peak < worst), default=None)
    return Limit(easy, hard, stalled)
