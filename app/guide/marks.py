"""Small signs of the guide: numbers in circles, the way up, metal and blade, name tags."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from app.guide.ink import BLACK, Ink, width_of, wrap
from app.guide.sheet import Box

METAL_LINE = 0.2
IDLE_DASH = (1.0, 1.0)
"""A die that is lifted off."""
CUT_LINE = 0.15
CUT_DASH = (1.6, 0.8)
SCRAP_LINE = 0.35
SCRAP_DASH = (4.0, 1.2, 0.8, 1.2)
IMAGE_DASH = (0.4, 0.8)
HOLE_DASH = (0.3, 0.5)
TAPE_LINE = 0.15
TAPE_DASH = (0.6, 0.4)
BED_LINE = 0.5
BADGE = 2.6
END = 0.5
"""Radius of the dot at the end of a line that leads to a scrap (mm)."""
TAG, TAG_ROW = 3.2, 3.9
"""Size of a scrap's name, and from one of its rows to the next (mm)."""


def badge(ink: Ink, centre: tuple[float, float], shown: str) -> None:
    """Draw a die's number in its circle."""
    ink.circle(centre, BADGE, 0.25)
    ink.text((centre[0], centre[1] + 1.15), shown, 3.2, bold=True, align="middle")


@dataclass(frozen=True, slots=True)
class NameTag:
    """A scrap's name in rows with its way up beside or above them; the arrow alone without rows."""

    rows: tuple[str, ...]
    beside: bool = True

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm."""
        wide, high = max((width_of(row, TAG, True) for row in self.rows), default=0.0), TAG_ROW * len(self.rows)
        if not self.rows:
            return 6.5, 6.5
        return (wide + 8.5, max(7.0, high + 2.0)) if self.beside else (max(wide + 1.5, 6.5), high + 7.5)

    def paint(self, ink: Ink, place: Box, up: tuple[float, float]) -> None:
        """Write it into a box of its size, on white."""
        ink.blank(place)
        middle, high = place.x + place.width / 2, place.y + place.height / 2
        if self.rows and self.beside:
            paint_up(ink, (place.x + 3.4, high), up)
            self._write(ink, (place.x + 7.2, high - TAG_ROW * len(self.rows) / 2), "left")
        else:
            paint_up(ink, (middle, place.y + 3.3), up)
            self._write(ink, (middle, place.y + 6.6), "middle")

    @property
    def bare(self) -> tuple[float, float]:
        """Width and height of the rows alone in a frame, mm."""
        return max(width_of(row, TAG, True) for row in self.rows) + 2.0, TAG_ROW * len(self.rows) + 1.2

    def paint_bare(self, ink: Ink, place: Box) -> None:
        """Write the rows alone into a box, on white in a frame: a name that stands beside its scrap."""
        ink.blank(place)
        ink.box(place, 0.15)
        self._write(ink, (place.x + place.width / 2, place.y + 0.6), "middle")

    def _write(self, ink: Ink, top: tuple[float, float], align: str) -> None:
        for number, row in enumerate(self.rows, 1):
            ink.text((top[0], top[1] + TAG_ROW * number - 0.9), row, TAG, bold=True, align=align)


@lru_cache(maxsize=512)
def name_tags(*names: str) -> tuple[NameTag, ...]:
    """Return the tags for a scrap by how much they tell: the longest name first, in few rows first, the arrow last."""
    made = []
    for words in names:
        whole = width_of(words, TAG, True)
        longest = max(width_of(word, TAG, True) for word in words.split(" "))
        broken = dict.fromkeys(wrap(words, width, TAG, True) for width in (1e4, max(longest, whole * 0.6), longest))
        made += [NameTag(rows, beside) for rows in broken for beside in (True, False)]
    return (*dict.fromkeys(made), NameTag(()))


def paint_up(ink: Ink, centre: tuple[float, float], up: tuple[float, float], half: float = 2.8) -> None:
    """Draw an arrow: the way up of a scrap's print."""
    (cx, cy), (ux, uy) = centre, up
    tip, tail = (cx + ux * half, cy + uy * half), (cx - ux * half, cy - uy * half)
    neck = (tip[0] - ux * half * 0.8, tip[1] - uy * half * 0.8)
    side = half * 0.46
    ink.line([tail, neck], 0.6)
    head = [tip, (neck[0] - uy * side, neck[1] + ux * side), (neck[0] + uy * side, neck[1] - ux * side)]
    ink.patch(head, BLACK)
