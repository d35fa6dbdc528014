"""Cuts from edge to edge as a tree: a place is a blank, or remains, or is split into two places. Lengths are mm."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

HAIR = 1e-6


@dataclass(frozen=True, slots=True)
class Blank:
    """A rectangle to be cut; `turnable`: it may lie across as well."""

    width: float
    length: float
    turnable: bool = True

    @property
    def area(self) -> float:
        """Area in square mm."""
        return self.width * self.length


@dataclass(frozen=True, slots=True)
class Leaf:
    """A blank by its number, lying across where `turned`."""

    blank: int
    turned: bool


@dataclass(frozen=True, slots=True)
class Free:
    """What remains of the sheet."""


@dataclass(frozen=True, slots=True)
class Split:
    """A cut from edge to edge, `at` mm from the left (upright) or lower edge; `first` lies left or below."""

    upright: bool
    at: float
    first: Tree
    second: Tree


Tree = Leaf | Free | Split


def leaves(
    tree: Tree, x: float, y: float, width: float, length: float
) -> Iterator[tuple[Leaf | Free, float, float, float, float]]:
    """Give every leaf with the corner and the sides of its place."""
    if not isinstance(tree, Split):
        yield tree, x, y, width, length
    elif tree.upright:
        yield from leaves(tree.first, x, y, tree.at, length)
        yield from leaves(tree.second, x + tree.at, y, width - tree.at, length)
    else:
        yield from leaves(tree.first, x, y, width, tree.at)
        yield from leaves(tree.second, x, y + tree.at, width, length - tree.at)


def placed(tree: Tree) -> set[int]:
    """Return the numbers of the blanks that are cut."""
    return {leaf.blank for leaf, *_ in leaves(tree, 0, 0, 0, 0) if isinstance(leaf, Leaf)}


def merit(tree: Tree, blanks: Sequence[Blank], width: float, length: float) -> tuple[float, float]:
    """Return the area cut and the largest piece left over: more is better."""
    cut, rest = 0.0, 0.0
    for leaf, _, _, w, h in leaves(tree, 0.0, 0.0, width, length):
        if isinstance(leaf, Leaf):
            cut += blanks[leaf.blank].area
        else:
            rest = max(rest, w * h)
    return round(cut, 6), rest


def ways(blank: Blank) -> list[tuple[float, float, bool]]:
    """Return how a blank may lie: its sides, and whether it lies across."""
    ways = [(blank.width, blank.length, False)]
    if blank.turnable and abs(blank.width - blank.length) > HAIR:
        ways.append((blank.length, blank.width, True))
    return ways


def fits(w: float, h: float, width: float, length: float) -> bool:
    """Tell whether a rectangle of w by h lies in a place, unturned."""
    return w <= width + HAIR and h <= length + HAIR
