"""Rule 1: each body lies in the bed less its margin; two bodies are a gap apart; one may lie in another's opening."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely import STRtree

from layout.model.plan import Layout
from layout.rules.book import Book
from layout.rules.finding import SLACK, Finding
from layout.rules.laid import Body, bodies_of


def layout_bodies(book: Book, layout: Layout, path: str) -> list[Finding]:
    """Find bodies of one layout that leave the bed or come too close."""
    laid = bodies_of(book, layout, path)
    off = [die_leaves_bed(book, body) for body in laid]
    close = [bodies_too_close(book, a, b) for a, b in _near(book, laid)]
    return [f for f in off + close if f is not None]


def die_leaves_bed(book: Book, body: Body) -> Finding | None:
    """Find whether a body is nearer to the bed's edge than the margin, or beyond it."""
    x0, y0, x1, y1 = body.shape.bounds
    machine = book.machine
    inside = min(x0, y0, machine.bed_width - x1, machine.bed_length - y1)
    if inside >= machine.bed_margin - SLACK:
        return None
    name, need = book.name(body.die), book.number(machine.bed_margin)
    if inside < 0.0:
        what = f"{name} sticks {book.length(-inside)} out of the bed"
    else:
        what = f"{name} is {book.length(inside)} from the edge of the bed, {need} is needed"
    return Finding("bodies", body.where, what, inside, machine.bed_margin, (body.thing,))


def bodies_too_close(book: Book, a: Body, b: Body) -> Finding | None:
    """Find whether two bodies of one layout are nearer than the gap."""
    need = book.gaps.body_gap
    limit = need - SLACK
    if limit <= 0.0 or not shapely.dwithin(a.shape, b.shape, limit):
        return None
    gap = float(shapely.distance(a.shape, b.shape))
    if gap >= limit:
        return None
    one, other = book.name(a.die), book.name(b.die)
    if gap == 0.0:
        what = f"{one} and {other} touch or overlap, a gap of {book.length(need)} is needed"
    else:
        what = f"{one} and {other} are {book.length(gap)} apart, {book.number(need)} is needed"
    return Finding("bodies", a.where, what, gap, need, (a.thing, b.thing))


def _near(book: Book, laid: list[Body]) -> Iterator[tuple[Body, Body]]:
    if len(laid) < 2:
        return
    boxes = [shapely.box(*body.shape.bounds) for body in laid]
    pairs = STRtree(boxes).query(boxes, predicate="dwithin", distance=book.gaps.body_gap)
    yield from ((laid[i], laid[j]) for i, j in sorted(pairs.T.tolist()) if i < j)
