"""An outline's inside as few convex parts: ears cut off one by one, then joined again where the whole stays convex.

Ear cutting: Meisters, American Mathematical Monthly 82 (1975) 648-651; joining: Hertel and Mehlhorn, Fundamentals of
Computation Theory, LNCS 158 (1983) 207-218.
"""

from __future__ import annotations

from itertools import pairwise

from shapely.geometry.polygon import orient

from layout.geometry.outline import Outline, Point, Ring

FLAT = 1e-9


def convex_parts(outline: Outline) -> list[Ring]:
    """Cut an outline, its openings filled, into convex rings, counter-clockwise, that share its corners."""
    plain = orient(outline.solid.polygon.simplify(0.0)).exterior
    parts = _ears([(float(x), float(y)) for x, y in plain.coords[:-1]])
    while (joined := _join_once(parts)) is not None:
        parts = joined
    return [tuple(p) for p in parts]


def cross(a: Point, b: Point, c: Point) -> float:
    """Twice the signed area of a triangle; above zero where it turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _ears(ring: list[Point]) -> list[list[Point]]:
    found, rest = [], list(ring)
    while len(rest) > 3:
        k = next((k for k in range(len(rest)) if _is_ear(rest, k)), None)
        if k is None:
            k = max(range(len(rest)), key=lambda k: cross(rest[k - 1], rest[k], rest[(k + 1) % len(rest)]))
        a, b, c = rest[k - 1], rest[k], rest[(k + 1) % len(rest)]
        if cross(a, b, c) > FLAT:
            found.append([a, b, c])
        del rest[k]
    return [*found, rest]


def _is_ear(ring: list[Point], k: int) -> bool:
    a, b, c = ring[k - 1], ring[k], ring[(k + 1) % len(ring)]
    if cross(a, b, c) <= FLAT:
        return False
    others = (p for p in ring if p not in (a, b, c))
    return not any(cross(a, b, p) >= 0 and cross(b, c, p) >= 0 and cross(c, a, p) >= 0 for p in others)


def _join_once(parts: list[list[Point]]) -> list[list[Point]] | None:
    """Join the first two parts that share an edge and make one convex part together."""
    for i, one in enumerate(parts):
        for j in range(i):
            whole = _joined(one, parts[j])
            if whole is not None:
                return [*(p for k, p in enumerate(parts) if k not in (i, j)), whole]
    return None


def _joined(one: list[Point], other: list[Point]) -> list[Point] | None:
    for k, (a, b) in enumerate(pairwise([*one, one[0]])):
        for m, (c, d) in enumerate(pairwise([*other, other[0]])):
            if a == d and b == c:
                whole = [*one[k + 1 :], *one[: k + 1], *other[m + 2 :], *other[:m]]
                whole = list(dict.fromkeys(whole))
                return whole if _is_convex(whole) else None
    return None


def _is_convex(ring: list[Point]) -> bool:
    n = len(ring)
    return all(cross(ring[k - 2], ring[k - 1], ring[k]) >= -FLAT for k in range(n))
