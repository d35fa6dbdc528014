"""Blanks set one after the other into the free places of a sheet, in an order that is changed a little at a time.

A filling is known by the order of the blanks, by which of them lie across, and along which side of each the longer cut
goes. One of these changes at a time, and the change is kept where it is no worse than the filling before it or than
the one some hundred steps ago (late acceptance: Burke and Bykov, European Journal of Operational Research 258, 2017,
70-78). Lengths are mm.
"""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass, field

from layout.planning.cut_tree import HAIR, Blank, Free, Leaf, Split, Tree, ways

_STEPS_PER_EFFORT = 80
_AGO = 300
_STEPS_FOR_THE_REST = 300  # once everything is placed, only the largest remaining piece is left to better

Worth = tuple[float, float]
Rest = tuple[bool, float, tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Filling:
    """The order of the blanks, which of them lie across, and beside which the longer cut is upright."""

    order: list[int]
    across: dict[int, bool]
    upright: dict[int, bool]

    def changed(self, dice: random.Random) -> Filling:
        """Return a filling that differs in one thing."""
        change, number = dice.random(), dice.choice(self.order)
        if change < 0.6:
            return Filling(self._moved(dice, swap=change < 0.4), self.across, self.upright)
        if change < 0.8:
            return Filling(self.order, {**self.across, number: not self.across[number]}, self.upright)
        return Filling(self.order, self.across, {**self.upright, number: not self.upright[number]})

    def _moved(self, dice: random.Random, *, swap: bool) -> list[int]:
        order = list(self.order)
        a, b = dice.randrange(len(order)), dice.randrange(len(order))
        if swap:
            order[a], order[b] = order[b], order[a]
        else:
            order.insert(b, order.pop(a))
        return order


def filled(
    blanks: Sequence[Blank], numbers: Sequence[int], width: float, length: float, effort: int, seed: int
) -> Tree:
    """Return the cuts that give the most blanks by area, and among those the largest remaining piece."""
    sheet = _Sheet(blanks, (width, length))
    dice = random.Random(seed)
    now = _first(blanks, numbers)
    worth = sheet.worth(now)
    best, most = now, worth
    before = [worth] * _AGO
    everything = round(min(sum(blanks[k].area for k in numbers), width * length), 6)
    last = effort * _STEPS_PER_EFFORT
    for step in range(last):
        if most[0] >= everything:
            last = min(last, step + _STEPS_FOR_THE_REST)
        if step >= last or most[0] >= width * length - HAIR:
            break
        other = now.changed(dice)
        found = sheet.worth(other)
        if found >= min(worth, before[step % _AGO]):
            now, worth = other, found
        before[step % _AGO] = worth
        if worth > most:
            best, most = now, worth
    return sheet.cuts(best)


def _first(blanks: Sequence[Blank], numbers: Sequence[int]) -> Filling:
    """Begin with the large ones."""
    order = sorted(numbers, key=lambda k: (-blanks[k].area, k))
    return Filling(order, dict.fromkeys(numbers, False), dict.fromkeys(numbers, False))


@dataclass
class _Sheet:
    """The sheet to fill, and how each blank may lie: as it is first, or across first."""

    blanks: Sequence[Blank]
    sides: tuple[float, float]
    lies: list[tuple[list[tuple[float, float, bool]], list[tuple[float, float, bool]]]] = field(init=False)
    rest: float = 0.0

    def __post_init__(self) -> None:
        self.lies = [(w, w[::-1]) for w in map(ways, self.blanks)]

    def worth(self, filling: Filling) -> Worth:
        """Return the area cut and the largest piece that remains."""
        self.rest = 0.0
        cut = self._area(filling, list(filling.order), *self.sides)
        return round(cut, 6), self.rest

    def cuts(self, filling: Filling) -> Tree:
        """Return the tree of cuts."""
        return self._tree(filling, list(filling.order), *self.sides)

    def _next(self, filling: Filling, order: list[int], width: float, length: float) -> tuple[int, float, float, bool]:
        """Take the first blank that fits out of the order: its number (-1: none), its sides, whether across."""
        width, length = width + HAIR, length + HAIR
        for place, number in enumerate(order):
            for w, h, turned in self.lies[number][filling.across[number]]:
                if w <= width and h <= length:
                    del order[place]
                    return number, w, h, turned
        return -1, 0.0, 0.0, False

    def _area(self, filling: Filling, order: list[int], width: float, length: float) -> float:
        """Fill a place and return the area cut: `_tree` without the tree, for speed."""
        number, w, h, _ = self._next(filling, order, width, length)
        if number < 0:
            self.rest = max(self.rest, width * length)
            return 0.0
        cut = w * h
        for _, _, place in _rests(filling.upright[number], w, h, width, length):
            if min(place) > HAIR:
                cut += self._area(filling, order, *place)
        return cut

    def _tree(self, filling: Filling, order: list[int], width: float, length: float) -> Tree:
        """Fill a place and return its cuts."""
        number, w, h, turned = self._next(filling, order, width, length)
        tree: Tree = Leaf(number, turned) if number >= 0 else Free()
        if number >= 0:
            for upright, at, place in _rests(filling.upright[number], w, h, width, length):
                if min(place) > HAIR:
                    tree = Split(upright, at, tree, self._tree(filling, order, *place))
        return tree


def _rests(upright: bool, w: float, h: float, width: float, length: float) -> tuple[Rest, Rest]:
    """Return what a blank in the corner leaves, the rest of its strip first: how and where it is cut off, its sides."""
    if upright:
        return (False, h, (w, length - h)), (True, w, (width - w, length))
    return (True, w, (width - w, h)), (False, h, (width, length - h))
