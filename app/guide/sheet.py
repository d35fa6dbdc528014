"""The sheets a home printer takes, and the part of them that every printer reaches."""

from __future__ import annotations

from dataclasses import dataclass, replace

from shapely.geometry import Polygon

EDGE = 7.0
"""Nothing is drawn nearer to the paper's edge than this (mm): home printers leave up to about 6 mm unprinted."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of printer paper in mm; `stretch_x/y` is what the painter enlarges for a printer that shrinks."""

    name: str
    width: float
    height: float
    stretch_x: float = 1.0
    stretch_y: float = 1.0
    edge_x: float = EDGE
    edge_y: float = EDGE

    @property
    def usable(self) -> Box:
        """The part that may be drawn on, in mm from the sheet's upper left corner, y downward."""
        return Box(self.edge_x, self.edge_y, self.width - 2 * self.edge_x, self.height - 2 * self.edge_y)

    def corrected(self, across: float, along: float | None = None) -> Sheet:
        """Return the sheet to lay out on when a printer makes 1 mm come out as `across` (and `along`) mm."""
        fx, fy = across, across if along is None else along
        if not (0.5 < fx < 2.0 and 0.5 < fy < 2.0):
            raise ValueError("a printer's scale is between a half and two")
        # A printer that enlarges pushes the page's edges off the sheet, half of it on each side.
        edges = (EDGE + max(0.0, fx - 1.0) * self.width / 2, EDGE + max(0.0, fy - 1.0) * self.height / 2)
        return replace(
            self,
            width=self.width * fx,
            height=self.height * fy,
            stretch_x=1 / fx,
            stretch_y=1 / fy,
            edge_x=edges[0],
            edge_y=edges[1],
        )


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the page, in mm from the upper left corner, y downward."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.y + self.height

    def less(self, left: float = 0.0, top: float = 0.0, right: float = 0.0, bottom: float = 0.0) -> Box:
        """Return the box with strips taken off its sides."""
        return Box(self.x + left, self.y + top, self.width - left - right, self.height - top - bottom)

    @property
    def polygon(self) -> Polygon:
        """The rectangle as a polygon of the page."""
        return Polygon.from_bounds(self.x, self.y, self.right, self.bottom)

    def touches(self, other: Box) -> bool:
        """Say whether two boxes share any area."""
        across = self.x < other.right and other.x < self.right
        return across and self.y < other.bottom and other.y < self.bottom


A4 = Sheet("A4", 210.0, 297.0)
LETTER = Sheet("Letter", 215.9, 279.4)
LETTER_TERRITORIES = frozenset(["US", "CA", "MX", "PH", "PR", "GT", "CR", "SV", "NI", "PA", "CO", "VE", "CL", "BZ"])
"""Where Letter is the usual sheet (as the Unicode CLDR has it, from memory); everywhere else it is A4."""
SHEETS = {"a4": A4, "letter": LETTER}


def usual_sheet() -> Sheet:
    """Return the sheet that printers take where the person lives, by the system's own setting."""
    from PySide6.QtCore import QLocale

    return sheet_of(QLocale.territoryToCode(QLocale.system().territory()))


def sheet_of(territory: str) -> Sheet:
    """Return the usual sheet of a territory by its ISO 3166 code."""
    return LETTER if territory in LETTER_TERRITORIES else A4
