"""Sheets too big for the rollers: cut down by straight cuts, from edge to edge, into parts that go through."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

from shapely.geometry import Polygon, box

from layout.geometry.outline import from_polygon
from layout.geometry.value import replace
from layout.model.plan import CutDown, Line, StraightCut
from layout.nesting.job import Box
from layout.planning.stock import Pile, Stock

SPARE = 0.0


def cut_oversize(stock: Stock, rollers: Box, before: tuple[CutDown, ...] = ()) -> tuple[Stock, tuple[CutDown, ...]]:
    """Cut every sheet (or part) that no turn brings through the rollers into parts that do; alike sheets alike.

    Sheets from which pieces were cut stay as they are: cutting down comes before everything else. So do parts of sheets
    that `before` does not name. `before`: how sheets were cut down; returned with the new cuts, the parts numbered on.
    """
    width, length = rollers[2] - rollers[0] - SPARE, rollers[3] - rollers[1] - SPARE
    piles: list[Pile] = []
    cut_downs = {(c.scrap, c.copy): c for c in before}
    for pile in stock.piles:
        known = cut_downs.get((pile.scrap.id, pile.copies[0]), CutDown(pile.scrap.id, ()))
        fixed = bool(pile.lying) or (pile.part is not None and not known.cuts)
        if fixed or goes_through(pile.outline.polygon, width, length):
            piles.append(pile)
            continue
        cuts, parts = _strips(pile, width, length)
        if not cuts:  # no straight cut leaves two whole parts
            piles.append(pile)
            continue
        number = _numbered_on(pile.part or 0, len(known.cuts) + 1)
        piles += [replace(pile, outline=from_polygon(p), part=number(k)) for k, p in enumerate(parts) if _useful(p)]
        later = tuple(replace(c, part=number(c.part)) for c in cuts)
        for copy in pile.copies:
            cut_downs[pile.scrap.id, copy] = replace(known, copy=copy, cuts=(*known.cuts, *later))
    return Stock(tuple(piles)), tuple(c for c in cut_downs.values() if c.cuts)


def _numbered_on(part: int, parts: int) -> Callable[[int], int]:
    """How the parts of a part are numbered on its sheet: the first keeps its number, the others come after all."""
    return lambda k: part if k == 0 else parts + k - 1


def goes_through(sheet: Polygon, width: float, length: float) -> bool:
    """Whether some turn of a sheet fits an opening of so many mm; a sheet fits if its turned hull's bounds do."""
    corners = list(sheet.convex_hull.exterior.coords)
    angles = [0.0, math.pi / 2]
    angles += [math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in itertools.pairwise(corners)]
    return any(_fits_turned(corners, a + q, width, length) for a in angles for q in (0.0, math.pi / 2))


def _fits_turned(corners: list[tuple[float, ...]], turn: float, width: float, length: float) -> bool:
    c, s = math.cos(turn), math.sin(turn)
    xs = [c * p[0] + s * p[1] for p in corners]
    ys = [c * p[1] - s * p[0] for p in corners]
    return max(xs) - min(xs) <= width and max(ys) - min(ys) <= length


def _strips(pile: Pile, width: float, length: float) -> tuple[tuple[StraightCut, ...], list[Polygon]]:
    """Cut the longest part across until everything goes through."""
    parts: list[Polygon] = [pile.outline.polygon]
    cuts: list[StraightCut] = []
    for _ in range(64):
        number = next((k for k, p in enumerate(parts) if not goes_through(p, width, length)), None)
        if number is None:
            break
        line = _best_line(parts[number], pile, width, length)
        left, right = _halves(parts[number], line)
        if not (_single(left) and _single(right)):
            break
        cuts.append(StraightCut(number, line))
        parts[number] = left
        parts.append(right)
    return tuple(cuts), [p for p in parts if isinstance(p, Polygon)]


def _best_line(part: Polygon, pile: Pile, width: float, length: float) -> Line:
    """Across the side that leaves the larger part whole, beside images rather than through them."""
    x0, y0, x1, y1 = part.bounds
    wide, tall = x1 - x0, y1 - y0
    upright = _wants_upright_cut(wide, tall, width, length)
    span, base = (wide, x0) if upright else (tall, y0)
    across = tall if upright else wide
    step = width if across <= length else length
    pieces = max(2, math.ceil(span / step))
    keep_out = [i.outline.bounds for i in pile.scrap.images if i.outline is not None]
    for offset in (step, span / pieces, step * 0.9, step * 0.8, step * 0.7, step * 0.6):
        at = base + min(offset, span * 0.98)
        low, high = (0, 2) if upright else (1, 3)
        if not any(b[low] < at < b[high] for b in keep_out):
            break
    return ((at, y0), (at, y1)) if upright else ((x1, at), (x0, at))


def _wants_upright_cut(wide: float, tall: float, width: float, length: float) -> bool:
    """Cut so that a strip of the rollers' width is as long as the sheet; else shorten the longer side first."""
    if tall <= length and wide > width:
        return not (wide <= length and tall < wide and tall > width)
    if wide <= length and tall > width:
        return False
    return wide > tall


def _halves(part: Polygon, line: Line) -> tuple[Polygon, Polygon]:
    """What lies left and what lies right of an axis-parallel line's direction."""
    (ax, ay), (bx, _) = line
    x0, y0, x1, y1 = (part.bounds[0] - 1, part.bounds[1] - 1, part.bounds[2] + 1, part.bounds[3] + 1)
    if ax == bx:
        return part.intersection(box(x0, y0, ax, y1)), part.intersection(box(ax, y0, x1, y1))
    return part.intersection(box(x0, y0, x1, ay)), part.intersection(box(x0, ay, x1, y1))


def _single(shape: object) -> bool:
    return isinstance(shape, Polygon) and not shape.is_empty


def _useful(part: Polygon) -> bool:
    return bool(part.area > 1.0)
