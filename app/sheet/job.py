"""One project sheet to be made: what the guide knows, and how the sheet is inked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from PySide6.QtGui import QColor

from app.guide.job import Job
from app.look.papers import paper_looks
from layout.model.project import Panel, Wanted

OWN_STEPS = "work"
"""The project's field for the person's own order of work: steps of `words` and, if any, `picture` (a data address)."""


@dataclass(frozen=True)
class SheetJob(Job):
    """Everything a page of the project sheet needs; `template`: also the blanks at true size."""

    colour: bool = True
    template: bool = False

    @cached_property
    def panels(self) -> dict[str, Panel]:
        """Panels by id."""
        return {panel.id: panel for panel in self.project.panels}

    def tint(self, paper: str | None) -> QColor:
        """Return the ground of a paper: its colour, or a grey like it, light enough to write on."""
        looks = paper_looks(self.project.papers)
        if paper is None or paper not in looks:
            return QColor(255, 255, 255)
        ground = QColor(looks[paper].ground)
        grey = (ground.red() * 11 + ground.green() * 16 + ground.blue() * 5) // 64 + 128
        return ground if self.colour else QColor(grey, grey, grey)

    def paper_words(self, paper: str | None) -> str:
        """Name the paper of a piece."""
        return next((p.name or p.id for p in self.project.papers if p.id == paper), "any paper")

    def kits_words(self) -> str:
        """Say for how many kits the second number counts."""
        return "for one kit" if self.project.kits == 1 else f"for {self.project.kits} kits"

    def own_steps(self) -> list[tuple[str, str]]:
        """Return the person's own order of work: words and picture of every step."""
        kept = self.project.extra.get(OWN_STEPS)
        steps = [s for s in kept if isinstance(s, Mapping)] if isinstance(kept, list | tuple) else []
        return [(str(s.get("words", "")), str(s.get("picture", ""))) for s in steps]


def how_made(job: Job, wanted: Wanted) -> str:
    """Say how a piece is made."""
    if wanted.shape in job.dies:
        return f"die {job.names.die_numbers[wanted.shape]}"
    if any(punch.id == wanted.shape for punch in job.project.punches):
        return "hand punch"
    return "trimmed"
