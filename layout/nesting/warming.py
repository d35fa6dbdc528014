"""Make the compiled loops ready before a clock runs: compiling them takes most of a minute, once on a machine."""

from __future__ import annotations

from functools import cache

from layout.geometry.outline import Outline
from layout.nesting.bed import lay
from layout.nesting.job import BedJob, DieJob, Effort, SheetJob

_BED = (0.0, 0.0, 40.0, 40.0)


@cache
def warm_up() -> None:
    """Lay two small dies on one small sheet, so that every loop of the search is compiled or read from the cache."""
    die = DieJob(Outline.rectangle(9.0, 6.0), Outline.rectangle(5.0, 2.0, x=2.0, y=2.0), hosts=(0,))
    lay(BedJob(_BED, _BED, 1.0, (die, die), (SheetJob(Outline.rectangle(38.0, 38.0), 2.0),)), Effort(1, 2))
