"""Rectangles out of a rectangle by cuts from edge to edge.

Up to `MOST_EXACT` blanks exactly: every block of blanks is two smaller blocks beside or above each other (Wang,
Operations Research 31, 1983, 573-586), and of each set only the blocks matter that no other undercuts in both sides.
More blanks: blocks without waste first and strips of them, then many fillings by free rectangles, the order shuffled
by a seed. Lengths are mm.
"""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

MOST_EXACT = 7
_HAIR = 1e-6


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


def cut_up(blanks: Sequence[Blank], width: float, length: float, *, effort: int = 400, seed: int = 0) -> Tree:
    """Return cuts that give the most blanks by area out of a sheet, and leave one large piece rather than slivers."""
    fitting = [k for k, b in enumerate(blanks) if any(_fits(w, h, width, length) for w, h, _ in _ways(b))]
    if not fitting:
        return Free()
    if len(fitting) <= MOST_EXACT:
        return _exact(blanks, fitting, width, length)
    whole = _without_waste(blanks, fitting, width, length, effort)
    return whole or _filled(blanks, fitting, width, length, effort, seed)


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


# ---- exactly, for few blanks -------------------------------------------------------------------------------------


def _exact(blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float) -> Tree:
    fronts = _fronts(blanks, numbers, width, length)
    trees = [_laid(b, width, length) for front in _largest(fronts, blanks, numbers) for b in front]
    return max(trees, key=lambda t: merit(t, blanks, width, length))


def _largest(fronts: dict[int, list[Block]], blanks: Sequence[Blank], numbers: Sequence[int]) -> list[list[Block]]:
    """Return the fronts of the sets that have the largest area."""
    area = {m: sum(blanks[k].area for i, k in enumerate(numbers) if m >> i & 1) for m, front in fronts.items() if front}
    most = max(area.values())
    return [fronts[m] for m, a in area.items() if a >= most - _HAIR]


def _fronts(blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float) -> dict[int, list[Block]]:
    """Return for every set of blanks the blocks that fit and that no other block undercuts."""
    fronts: dict[int, list[Block]] = {}
    for bits in range(1, 1 << len(numbers)):
        found = _singles(blanks, numbers, bits) if bits & (bits - 1) == 0 else _joins(fronts, bits, width, length)
        fronts[bits] = _undercut([b for b in found if _fits(b.width, b.length, width, length)])
    return fronts


def _singles(blanks: Sequence[Blank], numbers: Sequence[int], bits: int) -> list[Block]:
    number = numbers[bits.bit_length() - 1]
    return [Block(w, h, bits, number, turned=t) for w, h, t in _ways(blanks[number])]


def _joins(fronts: dict[int, list[Block]], bits: int, width: float, length: float) -> Iterator[Block]:
    part = (bits - 1) & bits
    while part:
        rest = bits ^ part
        if part < rest:
            for a in fronts[part]:
                for b in fronts[rest]:
                    yield from _joined(a, b, width, length)
        part = (part - 1) & bits


def _joined(a: Block, b: Block, width: float, length: float) -> Iterator[Block]:
    """Give the two joins, beside and above each other, where they fit."""
    if a.width + b.width <= width + _HAIR:
        yield Block(a.width + b.width, max(a.length, b.length), a.blanks + b.blanks, -1, True, a, b)
    if a.length + b.length <= length + _HAIR:
        yield Block(max(a.width, b.width), a.length + b.length, a.blanks + b.blanks, -1, False, a, b)


def _undercut(blocks: Iterable[Block]) -> list[Block]:
    """Keep the blocks that no other is at most as wide and as long as."""
    kept: list[Block] = []
    for block in sorted(blocks, key=lambda b: (b.width, b.length)):
        if not kept or block.length < kept[-1].length - _HAIR:
            kept.append(block)
    return kept


def _laid(block: Block, width: float, length: float) -> Tree:
    """Lay a block into the lower left corner of a place, the remainder cut so that its larger piece is largest."""
    beside, above = width - block.width > _HAIR, length - block.length > _HAIR
    if beside and (not above or (width - block.width) * length >= (length - block.length) * width):
        return Split(True, block.width, _laid(block, block.width, length), Free())
    if above:
        return Split(False, block.length, _laid(block, width, block.length), Free())
    if block.first is None or block.second is None:
        return Leaf(block.leaf, block.turned)
    at = block.first.width if block.upright else block.first.length
    rest = (width - at, length) if block.upright else (width, length - at)
    own = (at, length) if block.upright else (width, at)
    return Split(block.upright, at, _laid(block.first, *own), _laid(block.second, *rest))


# ---- blocks without waste ----------------------------------------------------------------------------------------

_BLOCKS_PER_EFFORT = 50
_TRIES_PER_BLOCK = 300
_PER_KIND = 8  # bits that count the blanks of a kind in a block, the topmost a guard


def _without_waste(
    blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float, effort: int
) -> Tree | None:
    """Build blocks without waste, up to a number of them; return the tree of one that holds all blanks."""
    kinds = _kinds(blanks, numbers)
    if sum(blanks[k].area for k in numbers) > width * length + _HAIR or max(map(len, kinds)) > _MOST_ALIKE:
        return None
    most = sum(len(kind) << _PER_KIND * i for i, kind in enumerate(kinds))
    guards = sum(1 << _PER_KIND * (i + 1) - 1 for i in range(len(kinds)))
    join = _Join(width, length, most | guards, guards)
    singles = [
        Block(w, h, 1 << _PER_KIND * i, i, turned=t)
        for i, kind in enumerate(kinds)
        for w, h, t in _ways(blanks[kind[0]])
    ]
    whole = join.whole(singles, most, effort * _BLOCKS_PER_EFFORT) or join.of_strips(most, len(kinds), effort)
    return None if whole is None else _numbered(_laid(whole, width, length), [list(kind) for kind in kinds])


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
            if key in self.seen or not _fits(block.width, block.length, self.width, self.length):
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
            if high > room + _HAIR or (low is not None and not self._enough(low, block)):
                continue
            stacked = block if low is None else _side_by_side((low, block), not upright)
            if room - high <= _HAIR:
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
                yield from _joined(block, other, self.width, 0.0)
        for other in self.by_side.get((False, width), ()):
            self.tried += 1
            if self._enough(block, other):
                yield from _joined(block, other, 0.0, self.length)

    def _enough(self, a: Block, b: Block) -> bool:
        """Tell whether there are blanks enough of every kind for both."""
        return (self.most - a.blanks - b.blanks) & self.guards == self.guards


# ---- many blanks -------------------------------------------------------------------------------------------------


def _filled(
    blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float, effort: int, seed: int
) -> Tree:
    """Fill free rectangles in many orders and keep the best filling."""
    dice = random.Random(seed)
    best: Tree = Free()
    score = (-1.0, -1.0)
    for attempt in range(effort):
        order = _order(blanks, numbers, attempt, dice)
        tree = _fill(blanks, order, width, length, keep_long=bool(attempt & 1))
        found = merit(tree, blanks, width, length)
        if found > score:
            best, score = tree, found
        if len(placed(best)) == len(numbers) and attempt >= 8:
            break
    return best


def _order(blanks: Sequence[Blank], numbers: Sequence[int], attempt: int, dice: random.Random) -> list[int]:
    wobble = 0.0 if attempt < 8 else 0.4
    weights = {k: _weights(blanks[k])[attempt // 2 % 4] * (1.0 - wobble * dice.random()) for k in numbers}
    return sorted(numbers, key=lambda k: (-weights[k], k))


def _weights(blank: Blank) -> tuple[float, float, float, float]:
    """Return what makes a blank awkward, in four ways."""
    w, h = blank.width, blank.length
    return w * h, max(w, h), min(w, h), w + h


def _fill(blanks: Sequence[Blank], order: list[int], width: float, length: float, *, keep_long: bool) -> Tree:
    """Take the first blank of the order that fits here, cut it off, and fill the two rests likewise."""
    for position, number in enumerate(order):
        ways = [(w, h, t) for w, h, t in _ways(blanks[number]) if _fits(w, h, width, length)]
        if not ways:
            continue
        w, h, turned = min(ways, key=lambda way: min(width - way[0], length - way[1]))
        del order[position]
        beside, above = width - w > _HAIR, length - h > _HAIR
        leaf: Tree = Leaf(number, turned)
        upright = beside and (not above or (width - w >= length - h) == keep_long)
        return _cut_off(blanks, order, (width, length), (w, h), leaf, upright, keep_long=keep_long)
    return Free()


def _cut_off(
    blanks: Sequence[Blank],
    order: list[int],
    room: tuple[float, float],
    side: tuple[float, float],
    leaf: Tree,
    upright: bool,
    *,
    keep_long: bool,
) -> Tree:
    """Cut a blank from the corner of a room: first the longer cut, then the one across the strip it leaves."""
    (width, length), (w, h) = room, side
    rest_w, rest_h = width - w, length - h
    if upright:
        strip = leaf if rest_h <= _HAIR else Split(False, h, leaf, _fill(blanks, order, w, rest_h, keep_long=keep_long))
        return Split(True, w, strip, _fill(blanks, order, rest_w, length, keep_long=keep_long))
    strip = leaf if rest_w <= _HAIR else Split(True, w, leaf, _fill(blanks, order, rest_w, h, keep_long=keep_long))
    if rest_h <= _HAIR:
        return strip
    return Split(False, h, strip, _fill(blanks, order, width, rest_h, keep_long=keep_long))


# ---- small things ------------------------------------------------------------------------------------------------


def _ways(blank: Blank) -> list[tuple[float, float, bool]]:
    ways = [(blank.width, blank.length, False)]
    if blank.turnable and abs(blank.width - blank.length) > _HAIR:
        ways.append((blank.length, blank.width, True))
    return ways


def _fits(w: float, h: float, width: float, length: float) -> bool:
    return w <= width + _HAIR and h <= length + _HAIR
