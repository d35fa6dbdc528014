"""Rule 4: a piece's outer border keeps off its paper's edge; it touches no spoiled part and no other piece's image."""

from __future__ import annotations

import shapely

from layout.rules import words
from layout.rules.book import Book, overlap, solid
from layout.rules.finding import AREA_SLACK, Finding
from layout.rules.laid import Piece
from layout.rules.wishes import is_its_image


def piece_margins(book: Book, piece: Piece) -> list[Finding]:
    """Find whether a piece lies too near to an edge, on a stain or on an image."""
    edge = too_near_the_edge(book, piece)
    return [f for f in (edge, *on_stains(book, piece), *on_images(book, piece)) if f is not None]


def too_near_the_edge(book: Book, piece: Piece) -> Finding | None:
    """Find whether a piece's outer border is nearer to its paper's edge than allowed, or beyond it."""
    whole = solid(piece.shape)
    if shapely.covers(piece.paper.safe, whole):
        return None
    need = book.gaps.paper_edge
    name, scrap = book.name(piece.tool), book.scrap_name(piece.scrap)
    if not shapely.covers(piece.paper.area, whole):
        what, amount = f"{name} sticks out of {scrap}, it must lie {book.length(need)} inside the edge", 0.0
    else:
        amount = float(shapely.distance(piece.paper.border, whole))
        what = f"{name} is {book.length(amount)} from the edge of {scrap}, {book.number(need)} is needed"
    return Finding("margins", piece.where, what, amount, need, (piece.thing,))


def on_stains(book: Book, piece: Piece) -> list[Finding]:
    """Find spoiled parts that a piece lies on."""
    shared = [overlap(stain, piece.shape) for stain in book.stains(piece.scrap)]
    return [_lies_on(book, piece, area, "a spoiled part") for area in shared if area > AREA_SLACK]


def on_images(book: Book, piece: Piece) -> list[Finding]:
    """Find stamped images of other pieces that a piece cuts into."""
    found = []
    for image, ink in book.inks(piece.scrap):
        if ink is None or is_its_image(book, piece, image):
            continue
        area = overlap(ink, piece.shape)
        if area > AREA_SLACK:
            found.append(_lies_on(book, piece, area, f"the image {image.image}"))
    return found


def _lies_on(book: Book, piece: Piece, area: float, on: str) -> Finding:
    place = f"{on} of {book.scrap_name(piece.scrap)}"
    what = f"{book.name(piece.tool)} takes {words.cut_off(area, 2)} mm² of {place}, it may take none"
    return Finding("margins", piece.where, what, area, 0.0, (piece.thing,))
