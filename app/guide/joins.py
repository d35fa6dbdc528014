"""Marks by which the sheets of one plate are joined."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from app.guide.ink import Ink
from app.guide.sheet import Box
from app.guide.tiles import OVERLAP, Tile

ARM = 3.0
SHARES = (0.15, 0.85)
"""Where along a seam its two crosses lie."""
XY = tuple[float, float]


def paint_joins(ink: Ink, tile: Tile) -> None:
    """Paint the lines to cut along, crosses in the overlaps, each with a letter pair, and the small map of sheets."""
    for seam in _seams(tile):
        ink.line(seam.line, 0.1, (0.5, 2.5))
        for number, at in enumerate(seam.crosses, 1):
            _cross(ink, at, f"{seam.pair}{number}")
    _map(ink, tile)


def join_spots(tile: Tile) -> list[Box]:
    """Return where crosses and their names stand, and the lines to cut along, so that no other words do."""
    crosses = [Box(x - ARM, y - 4.2, 12.0, 4.2 + ARM) for seam in _seams(tile) for x, y in seam.crosses]
    lines = [
        Box(a[0] - 0.5, a[1] - 0.5, b[0] - a[0] + 1.0, b[1] - a[1] + 1.0)
        for a, b in (seam.line for seam in _seams(tile))
    ]
    return crosses + lines


@dataclass(frozen=True, slots=True)
class _Seam:
    """Where two sheets are joined: the line to cut along, the crosses on it, and the letters of the two."""

    line: tuple[XY, XY]
    crosses: tuple[XY, ...]
    pair: str


def _seams(tile: Tile) -> Iterator[_Seam]:
    window = tile.window
    if tile.column > 0:
        yield _upright(window.x + OVERLAP / 2, window, tile.neighbour(-1, 0) + tile.letter)
    if tile.column < tile.columns - 1:
        yield _upright(window.right - OVERLAP / 2, window, tile.letter + tile.neighbour(1, 0))
    if tile.row > 0:
        yield _across(window.y + OVERLAP / 2, window, tile.neighbour(0, -1) + tile.letter)
    if tile.row < tile.rows - 1:
        yield _across(window.bottom - OVERLAP / 2, window, tile.letter + tile.neighbour(0, 1))


def _upright(x: float, window: Box, pair: str) -> _Seam:
    crosses = tuple((x, window.y + window.height * share) for share in SHARES)
    return _Seam(((x, window.y), (x, window.bottom)), crosses, pair)


def _across(y: float, window: Box, pair: str) -> _Seam:
    crosses = tuple((window.x + window.width * share, y) for share in SHARES)
    return _Seam(((window.x, y), (window.right, y)), crosses, pair)


def _cross(ink: Ink, at: tuple[float, float], words: str) -> None:
    x, y = at
    ink.circle(at, 1.8, 0.15)
    ink.line([(x - ARM, y), (x + ARM, y)], 0.15)
    ink.line([(x, y - ARM), (x, y + ARM)], 0.15)
    ink.text((x + 2.2, y - 1.2), words, 2.4, bold=True)


def _map(ink: Ink, tile: Tile) -> None:
    """Show which sheet of the plate this is, in the head of the page."""
    side = 3.6
    left = tile.sheet.usable.right - 66 - tile.columns * side
    top = tile.sheet.usable.y + 4.2
    size = min(side, 7.2 / tile.rows)
    for row in range(tile.rows):
        for column in range(tile.columns):
            own = (row, column) == (tile.row, tile.column)
            box = Box(left + column * side, top + row * size, side, size)
            ink.box(box, 0.5 if own else 0.15)
            letter = chr(ord("A") + row * tile.columns + column)
            ink.text((box.x + side / 2, box.y + size * 0.78), letter, size * 0.75, bold=own, align="middle")
