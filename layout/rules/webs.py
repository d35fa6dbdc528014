"""Rule 5: pieces off one sheet, in all runs and punchings, are a web apart; one may lie in another's window."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

import shapely
from shapely import STRtree

from layout.rules.book import Book
from layout.rules.finding import SLACK, Finding
from layout.rules.laid import Piece


def webs(book: Book, pieces: list[Piece]) -> Iterator[list[Finding]]:
    """Find pieces off one sheet that come too close, each pair once and in the order of the pieces."""
    per_sheet: dict[tuple[str, int], list[int]] = defaultdict(list)
    for i, piece in enumerate(pieces):
        for copy in set(piece.copies):
            per_sheet[piece.scrap, copy].append(i)
    pairs: set[tuple[int, int]] = set()
    for indices in per_sheet.values():
        pairs.update(_near(book, pieces, indices))
        yield []
    for i, j in sorted(pairs):
        found = pieces_too_close(book, pieces[i], pieces[j])
        yield [] if found is None else [found]


def pieces_too_close(book: Book, a: Piece, b: Piece) -> Finding | None:
    """Find whether two pieces off one sheet are nearer than the web."""
    need = book.gaps.web
    limit = need - SLACK
    if limit <= 0.0 or not shapely.dwithin(a.shape, b.shape, limit):
        return None
    gap = float(shapely.distance(a.shape, b.shape))
    if gap >= limit:
        return None
    one, other, scrap = book.name(a.tool), book.name(b.tool), book.scrap_name(a.scrap)
    elsewhere = "" if a.where == b.where else f" (the second is cut in {b.where})"
    if gap == 0.0:
        what = f"{one} and {other} touch or overlap on {scrap}, a gap of {book.length(need)} is needed{elsewhere}"
    else:
        what = f"{one} and {other} are {book.length(gap)} apart on {scrap}, {book.number(need)} is needed{elsewhere}"
    return Finding("webs", a.where, what, gap, need, (a.thing, b.thing))


def _near(book: Book, pieces: list[Piece], indices: list[int]) -> Iterator[tuple[int, int]]:
    if len(indices) < 2:
        return
    boxes = [shapely.box(*pieces[i].shape.bounds) for i in indices]
    for a, b in STRtree(boxes).query(boxes, predicate="dwithin", distance=book.gaps.web).T.tolist():
        if a < b:
            yield indices[a], indices[b]
