"""Small random projects whose fewest passes can be found by trying everything, on a grid of square cells.

A body is a set of cells drawn in by half the gap, so that bodies on neighbouring cells lie exactly one gap apart.
"""

from __future__ import annotations

import random
from functools import cache
from itertools import product

from shapely.geometry import box
from shapely.ops import unary_union

from layout.geometry.outline import Outline, from_polygon
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted

CELL = 10.0
GAP = 1.0
Cells = frozenset[tuple[int, int]]

SHAPES: tuple[Cells, ...] = tuple(
    frozenset((x, y) for y, row in enumerate(rows) for x, mark in enumerate(row) if mark == "#")
    for rows in (
        ("#",), ("##",), ("###",), ("####",), ("##", "##"), ("###", "###"), ("##", "#."), ("###", "#.."),
        ("###", ".#."), ("###", "#.#"), ("###", "#.#", "###"), ("####", "#..#", "####"), ("###", "###", "###"),
        ("####", "####"), ("##.", ".##"), ("#####",), ("####", "####", "####"),
    )
)  # fmt: skip


def body(cells: Cells) -> Outline:
    """Return the body that stands on these cells, its origin at their corner."""
    squares = [box(x * CELL, y * CELL, (x + 1) * CELL, (y + 1) * CELL) for x, y in cells]
    return from_polygon(unary_union(squares).buffer(-GAP / 2, join_style="mitre"))


def small_project(seed: int) -> tuple[Project, tuple[tuple[Cells, int, int], ...], tuple[int, int]]:
    """Return a project, its dies as (cells, copies, uses needed), and the bed in cells; paper abounds."""
    dice = random.Random(seed)
    bed = (dice.randint(2, 5), dice.randint(2, 4))
    layers = dice.choice((1, 1, 2, 3))
    chosen = [s for s in dice.sample(SHAPES, dice.randint(1, 4)) if _places(s, bed)]
    counts = [dice.randint(1, 5) for _ in chosen]
    copies = [dice.choice((1, 1, 1, 2)) for _ in chosen]
    dies = tuple(
        Die(f"die-{k}", f"die {k}", body(s), Outline.rectangle(4, 4, x=3, y=3), copies[k]) for k, s in enumerate(chosen)
    )
    project = Project(
        machine=Machine("", bed[0] * CELL - GAP, bed[1] * CELL - GAP),
        dies=dies,
        papers=(Paper("cream", "cream", layers=layers),),
        scraps=(Scrap("sheet", "cream", Outline.rectangle(400, 400), count=30),),
        wanted=tuple(Wanted(f"w-{k}", d.id, n, "cream") for k, (d, n) in enumerate(zip(dies, counts, strict=True))),
    )
    needs = tuple((s, c, -(-n // layers)) for s, c, n in zip(chosen, copies, counts, strict=True))
    return project, needs, bed


def fewest_passes(needs: tuple[tuple[Cells, int, int], ...], bed: tuple[int, int]) -> int:
    """Return the fewest passes with bodies on whole cells in quarter turns, by trying everything."""
    loads = [load for load in product(*(range(c + 1) for _, c, _ in needs)) if any(load) and _fits(needs, load, bed)]

    @cache
    def left(uses: tuple[int, ...]) -> int:
        if not any(uses):
            return 0
        after = {tuple(max(0, u - k) for u, k in zip(uses, load, strict=True)) for load in loads}
        return 1 + min(left(a) for a in after if a != uses)

    return left(tuple(u for _, _, u in needs))


def _fits(needs: tuple[tuple[Cells, int, int], ...], load: tuple[int, ...], bed: tuple[int, int]) -> bool:
    wanted = [s for (s, _, _), n in zip(needs, load, strict=True) for _ in range(n)]
    wanted.sort(key=len, reverse=True)

    def put(k: int, taken: int) -> bool:
        if k == len(wanted):
            return True
        return any(not place & taken and put(k + 1, taken | place) for place in _places(wanted[k], bed))

    return put(0, 0)


@cache
def _places(cells: Cells, bed: tuple[int, int]) -> tuple[int, ...]:
    """Return all places of a shape on the bed in its four turns, as bit masks."""
    found = set()
    for _ in range(4):
        cells = frozenset((y, -x) for x, y in cells)
        for dx, dy in product(range(-5, bed[0] + 5), range(-5, bed[1] + 5)):
            at = [(x + dx, y + dy) for x, y in cells]
            if all(0 <= x < bed[0] and 0 <= y < bed[1] for x, y in at):
                found.add(sum(1 << (y * bed[0] + x) for x, y in at))
    return tuple(sorted(found))
