"""Rule 7: a punched piece is within reach of the sheet's edge: nothing of the sheet lies in the throat behind it."""

from __future__ import annotations

import shapely

from layout.model.project import Punch
from layout.rules import words
from layout.rules.book import Book, overlap, posed
from layout.rules.finding import AREA_SLACK, SLACK, Finding
from layout.rules.laid import Piece


def reach(book: Book, punched: list[Piece]) -> list[Finding]:
    """Find punched pieces that the punch cannot reach; the pieces' poses are the punch's."""
    found = [out_of_reach(book, piece) for piece in punched]
    return [f for f in found if f is not None]


def out_of_reach(book: Book, piece: Piece) -> Finding | None:
    """Find whether paper lies beyond y = reach, in the mouth's width, as the punch sees it."""
    punch = book.punches[piece.tool]
    sheet = posed(piece.paper.area, piece.pose.inverse())
    blocked = overlap(sheet, _behind(punch, sheet))
    if blocked <= AREA_SLACK:
        return None
    name, scrap = book.name(punch.id), book.scrap_name(piece.scrap)
    what = f"{name} does not reach that far into {scrap}: {words.cut_off(blocked, 2)} mm² of it is in the way"
    return Finding("reach", piece.where, what, blocked, 0.0, (piece.thing,))


def _behind(punch: Punch, sheet: shapely.Geometry) -> shapely.Geometry:
    """Return the throat behind the reach, as far as this sheet goes, in the punch's frame."""
    x0, _, x1, y1 = sheet.bounds
    start = punch.reach + SLACK
    half = punch.mouth / 2.0
    return shapely.box(max(-half, x0 - 1.0), start, min(half, x1 + 1.0), max(y1, start) + 1.0)
