"""Rule 6: shape, paper, turn and image are as wanted; a turn is measured in the scrap's frame from its print's up."""

from __future__ import annotations

import math

from layout.geometry.pose import Pose, angle_between
from layout.model.project import PLAIN_UP, Image, Scrap, Wanted
from layout.rules import words
from layout.rules.book import Book
from layout.rules.finding import ANGLE_SLACK, SLACK, Finding
from layout.rules.laid import Piece


def piece_wishes(book: Book, piece: Piece) -> list[Finding]:
    """Find how a piece is not what was wanted."""
    wanted, scrap = book.wanted.get(piece.wanted), book.scraps[piece.scrap]
    if wanted is None:
        return []
    place = (piece.where, piece.thing)
    found = (
        other_shape(book, wanted, piece.tool, place),
        other_paper(book, wanted, scrap, place),
        turned_wrong(book, wanted, scrap, piece.pose, place),
        misses_image(book, wanted, piece),
    )
    return [f for f in found if f is not None]


def other_shape(book: Book, wanted: Wanted, tool: str, place: tuple[str, str]) -> Finding | None:
    """Find whether a piece is cut with something else than the wanted shape."""
    if wanted.shape == tool:
        return None
    what = f"{wanted.id} wants {book.name(wanted.shape)}, it is cut with {book.name(tool)}"
    return Finding("wishes", place[0], what, things=(place[1],))


def other_paper(book: Book, wanted: Wanted, scrap: Scrap, place: tuple[str, str]) -> Finding | None:
    """Find whether a piece comes out of another paper than wanted."""
    if wanted.paper in (None, scrap.paper):
        return None
    want = book.paper_name(wanted.paper or "")
    what = f"{book.name(wanted.shape)} wants {want}, it lies on {book.scrap_name(scrap.id)}"
    return Finding("wishes", place[0], what, things=(place[1],))


def turned_wrong(book: Book, wanted: Wanted, scrap: Scrap, pose: Pose, place: tuple[str, str]) -> Finding | None:
    """Find whether a piece is turned against its print further than its tolerance; `pose` in the scrap's frame."""
    if wanted.angles is None:
        return None
    give = wanted.tolerance
    turn = pose.turn - (scrap.up - PLAIN_UP)
    off = min(angle_between(turn, angle) for angle in wanted.angles)
    if off <= give + ANGLE_SLACK:
        return None
    allowed = " or ".join(words.angle(a) for a in wanted.angles)
    what = f"{book.name(wanted.shape)} is turned {words.angle(turn % 360.0)} against the print, {allowed} is wanted"
    return Finding("wishes", place[0], what, off, give, (place[1],))


def misses_image(book: Book, wanted: Wanted, piece: Piece) -> Finding | None:
    """Find whether a piece is not where its stamped image asks its die to be."""
    if wanted.image is None:
        return None
    images = [image for image, _ in book.inks(piece.scrap) if image.image == wanted.image]
    if any(is_its_image(book, piece, image) for image in images):
        return None
    name, scrap = book.name(wanted.shape), book.scrap_name(piece.scrap)
    if not images:
        what = f"{name} wants the image {wanted.image}, which is not on {scrap}"
        return Finding("wishes", piece.where, what, things=(piece.thing,))
    off, turn = min(_off(piece.pose, image.pose) for image in images)
    what = f"{name} is {book.length(off)} and {words.angle(turn)} off the image {wanted.image} of {scrap}"
    limit = f"{book.number(book.gaps.image_tolerance)} and {words.angle(wanted.image_turn_tolerance)} are allowed"
    return Finding("wishes", piece.where, f"{what}, {limit}", off, book.gaps.image_tolerance, (piece.thing,))


def is_its_image(book: Book, piece: Piece, image: Image) -> bool:
    """Whether an image is the one that a piece wants, and the piece frames it."""
    wanted = book.wanted.get(piece.wanted)
    if wanted is None or image.image != wanted.image:
        return False
    off, turn = _off(piece.pose, image.pose)
    give = wanted.image_turn_tolerance + ANGLE_SLACK
    return off <= book.gaps.image_tolerance + SLACK and turn <= give


def _off(pose: Pose, at: Pose) -> tuple[float, float]:
    return math.hypot(pose.x - at.x, pose.y - at.y), angle_between(pose.turn, at.turn)
