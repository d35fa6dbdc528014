"""Blocks: blanks joined beside or above each other, each join a cut from edge to edge. Lengths are mm."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from layout.planning.cut_tree import HAIR, Free, Leaf, Split, Tree


@dataclass(frozen=True, slots=True)
class Block:
    """Blanks joined without overlap: the sides of their box, what they are (bits), and how they are joined."""

    width: float
    length: float
    blanks: int
    leaf: int = -1
    upright: bool = False
    first: Block | None = None
    second: Block | None = None
    turned: bool = False


def joined(a: Block, b: Block, width: float, length: float) -> Iterator[Block]:
    """Give the two joins, beside and above each other, where they fit."""
    if a.width + b.width <= width + HAIR:
        yield Block(a.width + b.width, max(a.length, b.length), a.blanks + b.blanks, -1, True, a, b)
    if a.length + b.length <= length + HAIR:
        yield Block(max(a.width, b.width), a.length + b.length, a.blanks + b.blanks, -1, False, a, b)


def laid(block: Block, width: float, length: float) -> Tree:
    """Lay a block into the lower left corner of a place, the remainder cut so that its larger piece is largest."""
    beside, above = width - block.width > HAIR, length - block.length > HAIR
    if beside and (not above or (width - block.width) * length >= (length - block.length) * width):
        return Split(True, block.width, laid(block, block.width, length), Free())
    if above:
        return Split(False, block.length, laid(block, width, block.length), Free())
    if block.first is None or block.second is None:
        return Leaf(block.leaf, block.turned)
    at = block.first.width if block.upright else block.first.length
    rest = (width - at, length) if block.upright else (width, length - at)
    own = (at, length) if block.upright else (width, at)
    return Split(block.upright, at, laid(block.first, *own), laid(block.second, *rest))
