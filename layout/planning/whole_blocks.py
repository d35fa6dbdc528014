"""Blocks without waste: blanks that share a whole side are joined, then full strips of such blocks. Lengths are mm."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence

from layout.planning.blocks import Block, joined, laid
from layout.planning.cut_tree import HAIR, Blank, Leaf, Split, Tree, fits, ways

_BLOCKS_PER_EFFORT = 50
_TRIES_PER_BLOCK = 300
_PER_KIND = 8  # bits that count the blanks of a kind in a block, the topmost a guard


def without_waste(
    blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float, effort: int
) -> Tree | None:
    """Build blocks without waste, up to a number of them; return the tree of one that holds all blanks."""
    kinds = _kinds(blanks, numbers)
    if sum(blanks[k].area for k in numbers) > width * length + HAIR or max(map(len, kinds)) > _MOST_ALIKE:
        return None
    most = sum(len(kind) << _PER_KIND * i for i, kind in enumerate(kinds))
    guards = sum(1 << _PER_KIND * (i + 1) - 1 for i in range(len(kinds)))
    join = _Join(width, length, most | guards, guards)
    singles = [
        Block(w, h, 1 << _PER_KIND * i, i, turned=t)
        for i, kind in enumerate(kinds)
        for w, h, t in ways(blanks[kind[0]])
    ]
    whole = join.whole(singles, most, effort * _BLOCKS_PER_EFFORT) or join.of_strips(most, len(kinds), effort)
    return None if whole is None else _numbered(laid(whole, width, length), [list(kind) for kind in kinds])


_STEPS_PER_EFFORT = 5000
_STACKS_PER_EFFORT = 400
_MOST_STACKED = 1500
_COUNT = (1 << _PER_KIND - 1) - 1
_MOST_ALIKE = (1 << _PER_KIND - 1) - 1


def _kinds(blanks: Sequence[Blank], numbers: Sequence[int]) -> list[list[int]]:
    """Group the numbers of equal blanks."""
    kinds: dict[Blank, list[int]] = {}
    for k in numbers:
        kinds.setdefault(blanks[k], []).append(k)
    return list(kinds.values())


def _numbered(tree: Tree, pools: list[list[int]]) -> Tree:
    """Replace kinds by the numbers of blanks."""
    if isinstance(tree, Leaf):
        return Leaf(pools[tree.blank].pop(), tree.turned)
    if isinstance(tree, Split):
        return Split(tree.upright, tree.at, _numbered(tree.first, pools), _numbered(tree.second, pools))
    return tree


def _fewest(holders: tuple[int, list[Block]]) -> int:
    return len(holders[1])


def _side_by_side(blocks: Sequence[Block], upright: bool) -> Block:
    """Join strips of one length side by side, or of one width above each other."""
    whole = blocks[0]
    for b in blocks[1:]:
        width = whole.width + b.width if upright else whole.width
        length = whole.length if upright else whole.length + b.length
        whole = Block(width, length, whole.blanks + b.blanks, -1, upright, whole, b)
    return whole


class _Join:
    """Joins blocks that have a side in common, each set of kinds and sides once."""

    def __init__(self, width: float, length: float, most: int, guards: int) -> None:
        self.width, self.length, self.most, self.guards = width, length, most, guards
        self.by_side: dict[tuple[bool, float], list[Block]] = {}
        self.seen: set[tuple[int, float, float]] = set()
        self.tried = 0
        self.steps = 0

    def whole(self, singles: Sequence[Block], everything: int, most_blocks: int) -> Block | None:
        """Return a block of everything that fits; None where the blocks run out or grow too many."""
        queue = deque(singles)
        while queue and len(self.seen) < most_blocks and self.tried < most_blocks * _TRIES_PER_BLOCK:
            block = queue.popleft()
            key = (block.blanks, round(block.width, 4), round(block.length, 4))
            if key in self.seen or not fits(block.width, block.length, self.width, self.length):
                continue
            if block.blanks == everything:
                return block
            self.seen.add(key)
            self.by_side.setdefault((True, key[2]), []).append(block)
            self.by_side.setdefault((False, key[1]), []).append(block)
            queue.extend(self._matching(block, key[1], key[2]))
        return None

    def of_strips(self, everything: int, kinds: int, effort: int) -> Block | None:
        """Return everything as strips side by side, each as long (or wide) as the sheet; None where none is found.

        An exact cover, the scarcest kind first (Knuth's algorithm X, arXiv cs/0011047), up to a number of steps.
        """
        for upright in (True, False):
            strips = self._strips(upright, effort * _STACKS_PER_EFFORT)
            holders = [[b for b in strips if b.blanks >> _PER_KIND * k & _COUNT] for k in range(kinds)]
            self.steps = effort * _STEPS_PER_EFFORT
            scarce = sorted(enumerate(holders), key=_fewest)
            chosen = self._cover(everything, scarce)
            if chosen:
                return _side_by_side(chosen, upright)
        return None

    def _strips(self, upright: bool, steps: int) -> list[Block]:
        """Stack blocks of one width to the length of the sheet (or of one length to its width), each set once."""
        side = self.length if upright else self.width
        found: dict[int, Block] = {}
        for (beside, _), blocks in self.by_side.items():
            if beside != upright:
                few = sorted(blocks, key=lambda b: -(b.length if upright else b.width))[:_MOST_STACKED]
                self.steps = steps
                self._stack(few, 0, None, side, upright, found)
        return list(found.values())

    def _stack(
        self, blocks: list[Block], start: int, low: Block | None, room: float, upright: bool, found: dict[int, Block]
    ) -> None:
        """Put every block from `start` on upon what stands there already, until the room is used up."""
        for k in range(start, len(blocks)):
            block = blocks[k]
            high = block.length if upright else block.width
            self.steps -= 1
            if self.steps < 0:
                return
            if high > room + HAIR or (low is not None and not self._enough(low, block)):
                continue
            stacked = block if low is None else _side_by_side((low, block), not upright)
            if room - high <= HAIR:
                found.setdefault(stacked.blanks, stacked)
            else:
                self._stack(blocks, k, stacked, room - high, upright, found)

    def _cover(self, left: int, holders: list[tuple[int, list[Block]]]) -> list[Block] | None:
        """Choose strips that hold exactly what is left."""
        if not left:
            return []
        having = next(blocks for kind, blocks in holders if left >> _PER_KIND * kind & _COUNT)
        guarded = left | self.guards
        for block in having:
            self.steps -= 1
            if self.steps < 0:
                return None
            if (guarded - block.blanks) & self.guards == self.guards:
                rest = self._cover(left - block.blanks, holders)
                if rest is not None:
                    return [block, *rest]
        return None

    def _matching(self, block: Block, width: float, length: float) -> Iterator[Block]:
        for other in self.by_side.get((True, length), ()):
            self.tried += 1
            if self._enough(block, other):
                yield from joined(block, other, self.width, 0.0)
        for other in self.by_side.get((False, width), ()):
            self.tried += 1
            if self._enough(block, other):
                yield from joined(block, other, 0.0, self.length)

    def _enough(self, a: Block, b: Block) -> bool:
        """Tell whether there are blanks enough of every kind for both."""
        return (self.most - a.blanks - b.blanks) & self.guards == self.guards
