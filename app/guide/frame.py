"""What every page carries: its head, the check bars, and the cautions."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from PySide6.QtGui import QPainterPath

from app.guide.ink import BLACK, WHITE, Ink, path_of_strokes, shortened, width_of
from app.guide.job import Job
from app.guide.sheet import Box, Sheet

HEAD = 13.0
FOOT = 18.0
LEAST_TITLE = 50.0
"""Room for title and page number beside a heading, mm."""
INCH = 25.4
TRUE_SIZE = (
    "True size? Hold a ruler to both bars. If they are not exactly 100 mm and 4 in, print again at “actual size” "
    "(100 %), never “fit to page”."
)
CAUTION = (
    "Blades cut, rollers pinch: keep fingers away. Never force the crank; if it goes hard, stop, wind back and take a "
    "layer out. The machine’s manual decides."
)


def middle(sheet: Sheet) -> Box:
    """Return the part of a page between head and foot."""
    return sheet.usable.less(top=HEAD, bottom=FOOT)


def paint_frame(
    ink: Ink, job: Job, sheet: Sheet, heading: str, number: int, pages: int, *, plate: bool = False, sub: str = ""
) -> None:
    """Paint head and foot; a page that shows the plate also says which way the blades point."""
    box = sheet.usable
    heading = shortened(heading, box.width - LEAST_TITLE, 5.2, True)
    ink.text((box.x, box.y + 4.6), heading, 5.2, bold=True)
    place = f" · page {number} of {pages}"
    title = shortened(job.title, box.width - width_of(heading, 5.2, True) - width_of(place, 2.8) - 6, 2.8)
    ink.text((box.right, box.y + 3.4), title + place, 2.8, align="right")
    if plate:
        _way(ink, box, job.blades_up)
    elif sub:
        ink.text((box.x, box.y + 9.8), sub, 3.2)
    ink.line([(box.x, box.y + HEAD - 1.6), (box.right, box.y + HEAD - 1.6)], 0.2)
    _foot(ink, box)


def _way(ink: Ink, box: Box, blades_up: bool) -> None:
    words = "BLADES UP, scraps good side DOWN" if blades_up else "BLADES DOWN, scraps good side UP"
    mark = " MIRRORED " if blades_up else " AS SEEN FROM ABOVE "
    end = width_of(mark, 3.2, True)
    ink.box(Box(box.x, box.y + 6.4, end, 4.2), 0.2, fill=BLACK if blades_up else WHITE)
    ink.text((box.x, box.y + 9.6), mark, 3.2, bold=True, colour=WHITE if blades_up else BLACK)
    ink.text((box.x + end + 2, box.y + 9.6), words, 3.2, bold=True)
    section(ink, Box(box.right - 62, box.y + 4.8, 62, 6.2), blades_up)


def section(ink: Ink, box: Box, blades_up: bool) -> None:
    """Draw a small cross-section: die, blades and paper, with the word for each."""
    top, low = box.y + 1.4, box.y + 4.4
    die, paper = (low, top) if blades_up else (top, low)
    left, right = box.x + 16, box.x + 46
    point = -1.6 if blades_up else 1.6
    ink.line([(left, die), (right, die)], 0.5)
    teeth = [
        (x + side, die, x, die + point) for x in (left + 3, left + 13, left + 17, left + 27) for side in (-0.6, 0.6)
    ]
    ink.strokes(np.array(teeth), 0.2)
    ink.line([(left - 2, paper), (right + 2, paper)], 0.25, (1.6, 0.6))
    ink.text((left - 3, die + 0.9), "die", 2.5, align="right")
    face = "good side ↓" if blades_up else "good side ↑"
    ink.text((left - 3, paper + 0.9), "paper", 2.5, align="right")
    ink.text((right + 3, paper + 0.9), face[:-2], 2.5)
    _small_arrow(ink, right + 14.6, paper, -1 if not blades_up else 1)


def _small_arrow(ink: Ink, x: float, y: float, way: int) -> None:
    tip = y + way * 1.3
    ink.line([(x, y - way * 1.3), (x, tip)], 0.3)
    ink.line([(x - 0.7, tip - way * 0.9), (x, tip), (x + 0.7, tip - way * 0.9)], 0.3)


def _foot(ink: Ink, box: Box) -> None:
    top = box.bottom - FOOT
    ink.line([(box.x, top + 0.6), (box.right, top + 0.6)], 0.2)
    bar_mm(ink, box.x + 1, top + 4.6)
    bar_in(ink, box.x + 1, top + 13.0)
    words = Box(box.x + 112, top + 1.2, box.width - 112, FOOT - 1)
    below = ink.paragraph(words, TRUE_SIZE, 2.4, bold=True)
    ink.paragraph(Box(words.x, below + 0.5, words.width, 8), CAUTION, 2.4)


def bar_mm(ink: Ink, x: float, y: float) -> None:
    """Draw the 100 mm check bar from (x, y) to the right."""
    ink.line([(x, y), (x + 100, y)], 0.25)
    ink.strokes(_comb(x, y, 10.0, 11, (2.6, 1.5), 5), 0.2)
    for step, words in ((0, "0"), (50, "50"), (100, "100 mm")):
        ink.text((x + step, y + 3.0), words, 2.6, align="left" if step == 0 else "middle")


def bar_in(ink: Ink, x: float, y: float) -> None:
    """Draw the 4 in check bar from (x, y) to the right."""
    ink.line([(x, y), (x + 4 * INCH, y)], 0.25)
    ink.strokes(_comb(x, y, INCH / 4, 17, (2.6, 1.5), 4), 0.2)
    for inch in range(5):
        words = f"{inch} in" if inch == 4 else str(inch)
        ink.text((x + inch * INCH, y + 3.0), words, 2.6, align="left" if inch == 0 else "middle")


def bar_along(ink: Ink, x: float, y: float) -> None:
    """Draw an upright 100 mm bar from (x, y) downward: some printers are true across and false along."""
    ink.line([(x, y), (x, y + 100)], 0.25)
    ink.strokes(_comb(x, y, 10.0, 11, (2.2, 1.3), 5, upright=True), 0.2)
    ink.turned_text((x + 3.4, y + 75), "100 mm along", 2.4, -90)


@lru_cache(maxsize=64)
def _comb(
    x: float, y: float, step: float, count: int, long_short: tuple[float, float], every: int, *, upright: bool = False
) -> QPainterPath:
    """Return the ticks of a bar from (x, y), up from it or to the right, each so many (`every`) a longer one."""
    at = np.arange(count) * step
    high = np.where(np.arange(count) % every == 0, *long_short)
    none = np.zeros(count)
    ends = (none, at, high, at) if upright else (at, none, at, -high)
    return path_of_strokes(np.column_stack(ends) + np.array((x, y, x, y)))
