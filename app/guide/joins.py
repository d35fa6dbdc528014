"""Marks by which the sheets of one plate are joined."""

from __future__ import annotations

from app.guide.ink import Ink
from app.guide.sheet import Box
from app.guide.tiles import OVERLAP, Tile

ARM = 3.0


def paint_joins(ink: Ink, tile: Tile) -> None:
    """Paint crosses in the overlaps, each with a letter pair, and the small map of sheets."""
    window = tile.window
    if tile.column > 0:
        _seam(ink, window.x + OVERLAP / 2, window, (tile.neighbour(-1, 0), tile.letter))
    if tile.column < tile.columns - 1:
        _seam(ink, window.right - OVERLAP / 2, window, (tile.letter, tile.neighbour(1, 0)))
    if tile.row > 0:
        _seam_across(ink, window.y + OVERLAP / 2, window, (tile.neighbour(0, -1), tile.letter))
    if tile.row < tile.rows - 1:
        _seam_across(ink, window.bottom - OVERLAP / 2, window, (tile.letter, tile.neighbour(0, 1)))
    _map(ink, tile)


def _seam(ink: Ink, x: float, window: Box, pair: tuple[str, str]) -> None:
    ink.line([(x, window.y), (x, window.bottom)], 0.1, (0.5, 2.5))
    for number, share in enumerate((0.15, 0.85), 1):
        _cross(ink, (x, window.y + window.height * share), f"{pair[0]}{pair[1]}{number}")


def _seam_across(ink: Ink, y: float, window: Box, pair: tuple[str, str]) -> None:
    ink.line([(window.x, y), (window.right, y)], 0.1, (0.5, 2.5))
    for number, share in enumerate((0.15, 0.85), 1):
        _cross(ink, (window.x + window.width * share, y), f"{pair[0]}{pair[1]}{number}")


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
