"""Dual feasible functions: they raise the sizes of things that waste room; whatever fits still adds up to one at most.

Fekete and Schepers, New classes of fast lower bounds for bin packing problems, Math. Programming 91 (2001).
Sizes are fractions of the room, from 0 to 1; if sizes add up to at most 1, so do their images.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

Scale = Callable[[float], float]
_ROUND = 1e-9


def steps(k: int) -> Scale:
    """Return u_k: sizes rounded down to k-ths, except the multiples of 1/(k+1), which stay."""

    def scale(x: float) -> float:
        grown = (k + 1) * x
        if abs(grown - round(grown)) < _ROUND:
            return min(x, math.floor(grown + 0.5) / (k + 1))
        return math.floor(grown) / k

    return scale


def threshold(e: float) -> Scale:
    """Return U_e (0 < e <= 1/2): 1 above 1 - e, nothing below e, the size itself between."""

    def scale(x: float) -> float:
        if x > 1.0 - e + _ROUND:
            return 1.0
        return x if x >= e else 0.0

    return scale


def shares(e: float) -> Scale:
    """Return phi_e (0 < e <= 1/2): how many things of size e the thing leaves no room for."""
    whole = math.floor(1.0 / e + _ROUND)

    def scale(x: float) -> float:
        if x > 0.5 + _ROUND:
            return 1.0 - math.floor((1.0 - x) / e + _ROUND) / whole
        return 1.0 / whole if x >= e else 0.0

    return scale


def best_total(sizes: Sequence[float], counts: Sequence[float]) -> float:
    """Return the highest sum of counts times images over the family: rooms needed, not rounded up."""
    plain = sum(s * c for s, c in zip(sizes, counts, strict=True))
    return max([plain, *(_total(f, sizes, counts) for f in _family(sizes))])


def _total(f: Scale, sizes: Sequence[float], counts: Sequence[float]) -> float:
    return sum(f(min(1.0, s)) * c for s, c in zip(sizes, counts, strict=True))


def _family(sizes: Sequence[float]) -> list[Scale]:
    """Return the functions worth trying: their breakpoints lie at the sizes that occur."""
    edges = sorted({min(s, 1.0 - s) for s in sizes if 0.0 < s < 1.0})
    useful = [e for e in edges if e <= 0.5]
    return [*(steps(k) for k in range(1, 9)), *(threshold(e) for e in useful), *(shares(e) for e in useful)]
