"""Rectangles out of a rectangle by cuts from edge to edge.

Up to `MOST_EXACT` blanks exactly: every block of blanks is two smaller blocks beside or above each other (Wang,
Operations Research 31, 1983, 573-586), and of each set only the blocks matter that no other undercuts in both sides.
More blanks: blocks without waste first and strips of them, then fillings changed a little at a time. Lengths are mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from layout.planning.blocks import Block, joined, laid
from layout.planning.cut_tree import HAIR, Blank, Free, Tree, fits, merit, ways
from layout.planning.filling import filled
from layout.planning.whole_blocks import without_waste

MOST_EXACT = 7


def cut_up(blanks: Sequence[Blank], width: float, length: float, *, effort: int = 400, seed: int = 0) -> Tree:
    """Return cuts that give the most blanks by area out of a sheet, and leave one large piece rather than slivers."""
    fitting = [k for k, b in enumerate(blanks) if any(fits(w, h, width, length) for w, h, _ in ways(b))]
    if not fitting:
        return Free()
    if len(fitting) <= MOST_EXACT:
        return _exact(blanks, fitting, width, length)
    trees = [filled(blanks, fitting, width, length, effort, seed)]
    if whole := without_waste(blanks, fitting, width, length, effort):
        trees.append(whole)
    return max(trees, key=lambda t: merit(t, blanks, width, length))


# ---- exactly, for few blanks -------------------------------------------------------------------------------------


def _exact(blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float) -> Tree:
    fronts = _fronts(blanks, numbers, width, length)
    trees = [laid(b, width, length) for front in _largest(fronts, blanks, numbers) for b in front]
    return max(trees, key=lambda t: merit(t, blanks, width, length))


def _largest(fronts: dict[int, list[Block]], blanks: Sequence[Blank], numbers: Sequence[int]) -> list[list[Block]]:
    """Return the fronts of the sets that have the largest area."""
    area = {m: sum(blanks[k].area for i, k in enumerate(numbers) if m >> i & 1) for m, front in fronts.items() if front}
    most = max(area.values())
    return [fronts[m] for m, a in area.items() if a >= most - HAIR]


def _fronts(blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float) -> dict[int, list[Block]]:
    """Return for every set of blanks the blocks that fit and that no other block undercuts."""
    fronts: dict[int, list[Block]] = {}
    for bits in range(1, 1 << len(numbers)):
        found = _singles(blanks, numbers, bits) if bits & (bits - 1) == 0 else _joins(fronts, bits, width, length)
        fronts[bits] = _undercut([b for b in found if fits(b.width, b.length, width, length)])
    return fronts


def _singles(blanks: Sequence[Blank], numbers: Sequence[int], bits: int) -> list[Block]:
    number = numbers[bits.bit_length() - 1]
    return [Block(w, h, bits, number, turned=t) for w, h, t in ways(blanks[number])]


def _joins(fronts: dict[int, list[Block]], bits: int, width: float, length: float) -> Iterator[Block]:
    part = (bits - 1) & bits
    while part:
        rest = bits ^ part
        if part < rest:
            for a in fronts[part]:
                for b in fronts[rest]:
                    yield from joined(a, b, width, length)
        part = (part - 1) & bits


def _undercut(blocks: Iterable[Block]) -> list[Block]:
    """Keep the blocks that no other is at most as wide and as long as."""
    kept: list[Block] = []
    for block in sorted(blocks, key=lambda b: (b.width, b.length)):
        if not kept or block.length < kept[-1].length - HAIR:
            kept.append(block)
    return kept
