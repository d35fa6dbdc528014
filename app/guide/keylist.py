"""The list beside the plate: which die lies on which scrap, which way up, and what the lines mean."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from shapely.geometry import box as rectangle

from app.guide.drawing import Drawing
from app.guide.hatching import HATCHES, STAIN_GAP, Strokes, cross_hatch, hatch
from app.guide.ink import Ink, wrap
from app.guide.marks import (
    BED_LINE,
    CUT_DASH,
    CUT_LINE,
    HOLE_DASH,
    IMAGE_DASH,
    METAL_LINE,
    SCRAP_DASH,
    SCRAP_LINE,
    TAPE_DASH,
    TAPE_LINE,
    badge,
    paint_up,
)
from app.guide.sheet import Box

SIZE = 2.7
ROW = SIZE * 1.3
HEAD = 6.2
SWATCH, SMALL_SWATCH = (5.0, 6.0), (7.5, 3.4)
LINES: tuple[tuple[str, float, Sequence[float]], ...] = (
    ("edge of the bed", BED_LINE, ()),
    ("edge of the metal", METAL_LINE, ()),
    ("blade", CUT_LINE, CUT_DASH),
    ("edge of a scrap", SCRAP_LINE, SCRAP_DASH),
)
IMAGE = ("stamped image", 0.12, IMAGE_DASH)
HOLE = ("hole made before", 0.15, HOLE_DASH)
THIRDS = ("⅓ and ⅔ of the bed: two ticks on each side", 0.0, ())
Sign = Callable[[Ink, float, float], None]


@dataclass(frozen=True)
class Entry:
    """One entry: a sign `indent` mm wide, a name in bold, and words below it."""

    name: str
    words: str
    indent: float
    sign: Sign
    least: float = ROW

    def height(self, width: float) -> float:
        """How high the entry is in a column of this width."""
        rows = wrap(self.name, width - self.indent, SIZE, True) + wrap(self.words, width - self.indent, SIZE)
        return max(self.least, ROW * len(rows)) + 0.8

    def paint(self, ink: Ink, box: Box) -> None:
        """Paint the entry at the top of a box."""
        self.sign(ink, box.x, box.y)
        column = box.less(left=self.indent)
        below = ink.paragraph(column, self.name, SIZE, bold=True)
        ink.paragraph(Box(column.x, below, column.width, ROW), self.words, SIZE)


def arranged(drawing: Drawing, columns: Sequence[Box]) -> list[list[tuple[Box, str, Entry]]]:
    """Set the list from one column into the next, on as many pages as it needs: boxes, headings where new, entries."""
    pages: list[list[tuple[Box, str, Entry]]] = [[]]
    left = list(columns)
    box = left.pop(0)
    y = box.y
    for heading, entries in _groups(drawing):
        for place, entry in enumerate(entries):
            need = entry.height(box.width) + (HEAD if place == 0 else 0.0)
            if y + need > box.bottom and y > box.y:
                if not left:
                    pages.append([])
                    left = list(columns)
                box = left.pop(0)
                y = box.y
            pages[-1].append((Box(box.x, y, box.width, need), heading if place == 0 else "", entry))
            y += need
        y += 2
    return pages


def paint_list(ink: Ink, drawing: Drawing, columns: Sequence[Box], part: int = 0) -> None:
    """Paint the list, or that part of it that is on one of its pages."""
    for box, heading, entry in arranged(drawing, columns)[part]:
        if heading:
            _head(ink, box, heading)
        entry.paint(ink, box.less(top=HEAD if heading else 0.0))


def _groups(drawing: Drawing) -> Iterator[tuple[str, list[Entry]]]:
    yield "Scraps", [_scrap(drawing, number) for number in range(len(drawing.run.scraps))]
    numbers = drawing.job.names.die_numbers
    order = sorted(range(len(drawing.layout.dies)), key=lambda place: numbers[drawing.layout.dies[place].die])
    yield "Dies", [_die(drawing, place) for place in order]
    yield "Lines", list(_lines(drawing))


def _lines(drawing: Drawing) -> Iterator[Entry]:
    """Give what the lines of this plate mean, no others."""
    images = [IMAGE] if drawing.images else []
    holes = [] if all(hole.is_empty for hole in drawing.holes) else [HOLE]
    yield from (_line(*line) for line in (*LINES, *images, *holes, THIRDS))
    if not all(stain.is_empty for stain in drawing.stains):
        yield Entry("", "stain: nothing is cut here", 9.0, _stain_sign, least=4.4)
    yield Entry("", "tape here, no blade", 9.0, _tape_sign, least=4.4)


def _head(ink: Ink, box: Box, words: str) -> None:
    ink.text((box.x, box.y + 3.6), words, 3.6, bold=True)
    ink.line([(box.x, box.y + 4.8), (box.right, box.y + 4.8)], 0.2)


def _scrap(drawing: Drawing, number: int) -> Entry:
    laid = drawing.run.scraps[number]

    def sign(ink: Ink, x: float, y: float) -> None:
        with ink.moved((x, y + 0.4)):
            ink.strokes(_swatch(*HATCHES[number % len(HATCHES)]), 0.1)
        ink.box(Box(x, y + 0.4, *SWATCH), 0.2)
        paint_up(ink, (x + 9.0, y + 3.4), drawing.up(laid))

    beyond = drawing.beyond(number)
    words = drawing.job.paper_name(laid.scrap)
    words += f"; goes on {drawing.job.length(beyond)} below the page" if beyond > 2.0 else ""
    return Entry(drawing.paper_words(number), words, 13.0, sign, least=7.4)


@cache
def _swatch(angle: float, gap: float) -> Strokes:
    return hatch(rectangle(0.0, 0.0, *SWATCH), angle, gap)


def _die(drawing: Drawing, number: int) -> Entry:
    die = drawing.layout.dies[number].die
    shown = str(drawing.job.names.die_numbers[die])
    words = drawing.source_words(number)
    return Entry(
        drawing.job.names.dies[die], words, 7.0, lambda ink, x, y: badge(ink, (x + 2.8, y + 3.2), shown), least=6.4
    )


def _stain_sign(ink: Ink, x: float, y: float) -> None:
    with ink.moved((x, y)):
        ink.strokes(_stain_swatch(), 0.12)
    ink.box(Box(x, y, *SMALL_SWATCH), 0.15)


@cache
def _stain_swatch() -> Strokes:
    return cross_hatch(rectangle(0.0, 0.0, *SMALL_SWATCH), STAIN_GAP)


def _tape_sign(ink: Ink, x: float, y: float) -> None:
    ink.box(Box(x, y, *SMALL_SWATCH), TAPE_LINE, TAPE_DASH)


def _line(words: str, width: float, dash: Sequence[float]) -> Entry:
    def sign(ink: Ink, x: float, y: float) -> None:
        ink.line([(x, y + 1.8), (x + (7.5 if width else 2.0), y + 1.8)], width or BED_LINE, dash)

    return Entry("", words, 9.0, sign)
