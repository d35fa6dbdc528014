"""Which dies were never anywhere near lying on one sheet, so that no bed that asks for it is searched again.

Laying one sheet's dies on it alone asks less than any bed with more on it. Where every try, from wherever it began,
ended with the dies deep in each other, further ones would only take the time from beds that can be laid.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from layout.nesting.job import DieJob, SheetJob

GREAT = 100.0  # energy: of dies that could be laid no try of three ended with more than a third of it
ENOUGH = 6  # searches in which no try came below

Key = Hashable


def key_of(sheet: SheetJob, dies: Sequence[DieJob]) -> Key:
    """What tells one sheet with its dies from another, whatever their order and wherever the sheet lies."""
    asked = Counter((d.metal, d.cut, d.turns, d.on_sheet, d.on_image) for d in dies)
    return (sheet.outline, sheet.edge, sheet.marks, sheet.turns, frozenset(asked.items()))


class Hopeless:
    """Counts the searches that came nowhere near; one that came nearer clears its dies for good."""

    def __init__(self) -> None:
        self._counts: dict[Key, float] = {}

    def knows(self, key: Key) -> bool:
        """Whether it is known to be hopeless."""
        return self._counts.get(key, 0) >= ENOUGH

    def take(self, seen: list[tuple[Key, float]]) -> None:
        """Remember what the best try of each search left in the way, and empty the list."""
        for key, energy in seen:
            self._counts[key] = self._counts.get(key, 0) + 1 if energy > GREAT else float("-inf")
        seen.clear()
