"""Small signs of the guide: numbers in circles, the way up, metal and blade, name tags."""

from __future__ import annotations

from PySide6.QtGui import QPainterPath
from shapely.geometry import Polygon, box

from app.guide.ink import BLACK, Ink
from app.guide.sheet import Box

METAL_LINE = 0.2
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


def metal(ink: Ink, body: QPainterPath, cut: QPainterPath, used: bool = True) -> None:
    """Draw a die: its metal's edges, and its blade where it cuts in this pass."""
    ink.plate(body, METAL_LINE, () if used else (1.0, 1.0))
    if used:
        ink.plate(cut, CUT_LINE, CUT_DASH, fill=None)


def badge(ink: Ink, centre: tuple[float, float], shown: str) -> None:
    """Draw a die's number in its circle."""
    ink.circle(centre, BADGE, 0.25)
    ink.text((centre[0], centre[1] + 1.15), shown, 3.2, bold=True, align="middle")


def name_tag(ink: Ink, place: Box, words: str, up: tuple[float, float]) -> None:
    """Write a scrap's name with its way up: beside each other, one under the other, or the arrow alone."""
    ink.area(box(place.x, place.y, place.right, place.bottom))
    middle = place.x + place.width / 2
    if not words:
        paint_up(ink, (middle, place.y + place.height / 2), up)
    elif place.height < 9:
        paint_up(ink, (place.x + 3.4, place.y + 3.5), up)
        ink.text((place.x + 7.2, place.y + 4.6), words, 3.2, bold=True)
    else:
        paint_up(ink, (middle, place.y + 3.4), up)
        ink.text((middle, place.y + 9.8), words, 3.2, bold=True, align="middle")


def paint_up(ink: Ink, centre: tuple[float, float], up: tuple[float, float], half: float = 2.8) -> None:
    """Draw an arrow: the way up of a scrap's print."""
    (cx, cy), (ux, uy) = centre, up
    tip, tail = (cx + ux * half, cy + uy * half), (cx - ux * half, cy - uy * half)
    neck = (tip[0] - ux * half * 0.8, tip[1] - uy * half * 0.8)
    side = half * 0.46
    ink.line([tail, neck], 0.6)
    head = [tip, (neck[0] - uy * side, neck[1] + ux * side), (neck[0] + uy * side, neck[1] - ux * side)]
    ink.area(Polygon(head), BLACK)
