"""Fitting the bed onto sheets: one where it fits, else several that overlap and are joined at marks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from app.guide.frame import middle
from app.guide.plate import PlateMap
from app.guide.sheet import Box, Sheet

RULER = 6.0
"""Room at the left for the upright check bar."""
FEED = 8.0
"""Room above the bed for the feed arrow."""
SIDE = 4.0
RIM = 6.0
"""How much round the bed is shown on tiles."""
OVERLAP = 14.0
MOST_LIST = 90.0
COLUMN = 27.0
"""The least width of the list beside the bed."""
LIST_HEIGHT = 45.0
"""The least height of the list below the bed."""


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet's share of the plate: the map onto the page and the window drawn in; row 0 is the feed end."""

    sheet: Sheet
    plate: PlateMap
    window: Box
    column: int = 0
    row: int = 0
    columns: int = 1
    rows: int = 1

    @property
    def letter(self) -> str:
        """The tile's letter, from the upper left, row by row."""
        return self.neighbour(0, 0)

    @property
    def name(self) -> str:
        """What the tile is called."""
        return f"sheet {self.letter} of {self.columns * self.rows}"

    def neighbour(self, across: int, down: int) -> str:
        """The letter of the tile so many columns to the right and rows down."""
        return chr(ord("A") + (self.row + down) * self.columns + self.column + across)

    @property
    def is_whole(self) -> bool:
        """Whether the bed is on this one sheet."""
        return self.columns * self.rows == 1

    @property
    def columns_beside(self) -> tuple[Box, ...]:
        """The columns for the list, beside the bed or below it; none where there is no room."""
        area = middle(self.sheet)
        if not self.is_whole:
            return ()
        beside = Box(self.window.right + 2, area.y + 1, area.right - self.window.right - 2, area.height - 2)
        if beside.width >= COLUMN:
            return split(beside, max(1, min(2, int(beside.width // 60))))
        below = Box(area.x, self.window.bottom + 3, area.width, area.bottom - self.window.bottom - 4)
        return split(below, 4) if below.height >= LIST_HEIGHT else ()


def split(box: Box, columns: int) -> tuple[Box, ...]:
    """Divide a box into columns 4 mm apart."""
    width = (box.width - 4 * (columns - 1)) / columns
    return tuple(Box(box.x + n * (width + 4), box.y, width, box.height) for n in range(columns))


def tiles(sheet: Sheet, bed_width: float, bed_length: float, mirrored: bool = False) -> tuple[Tile, ...]:
    """Return the fewest tiles that show the bed at true size, upright where that costs no sheet more."""
    whole = _whole(sheet, bed_width, bed_length, mirrored)
    if whole is not None:
        return (whole,)
    upright = _grid(sheet, bed_width, bed_length, mirrored)
    across = _grid(turned(sheet), bed_width, bed_length, mirrored)
    return min(upright, across, key=len)


def turned(sheet: Sheet) -> Sheet:
    """Return the sheet lying on its side."""
    return replace(
        sheet,
        width=sheet.height,
        height=sheet.width,
        stretch_x=sheet.stretch_y,
        stretch_y=sheet.stretch_x,
        edge_x=sheet.edge_y,
        edge_y=sheet.edge_x,
    )


def _whole(sheet: Sheet, width: float, length: float, mirrored: bool) -> Tile | None:
    area = middle(sheet)
    if width + RULER + SIDE + 1 > area.width or length + FEED + 1 > area.height:
        return None
    left = area.x + RULER + SIDE
    plate = PlateMap(left, area.y + FEED + length, width, length, mirrored)
    right = min(area.right, left + width + SIDE)
    height = area.height
    if area.right - right - 2 < COLUMN and area.bottom - plate.bottom - SIDE >= LIST_HEIGHT + 8:
        height = max(plate.bottom + SIDE - area.y, area.height - MOST_LIST)
    return Tile(sheet, plate, Box(area.x + RULER, area.y, right - area.x - RULER, height))


def _grid(sheet: Sheet, width: float, length: float, mirrored: bool) -> tuple[Tile, ...]:
    window = middle(sheet).less(left=RULER, top=FEED - RIM)
    columns = _count(width + 2 * RIM, window.width)
    rows = _count(length + 2 * RIM, window.height)
    step_x, step_y = window.width - OVERLAP, window.height - OVERLAP
    made = []
    for row in range(rows):
        for column in range(columns):
            left = window.x + RIM - column * step_x
            bottom = window.y + RIM + length - row * step_y
            plate = PlateMap(left, bottom, width, length, mirrored)
            made.append(Tile(sheet, plate, window, column, row, columns, rows))
    return tuple(made)


def _count(need: float, have: float) -> int:
    return max(1, math.ceil((need - OVERLAP) / (have - OVERLAP) - 1e-9))
