"""Rule 2: a layout uses no die more often than copies are owned, and a taped-down die cuts once in a run."""

from __future__ import annotations

from collections import defaultdict

from layout.model.plan import Layout, Plan, Run
from layout.rules.book import Book
from layout.rules.finding import Finding
from layout.rules.laid import layout_words, runs_of


def copies(book: Book, plan: Plan) -> list[Finding]:
    """Find dies used more often than there are."""
    found: list[Finding] = []
    for i, layout in enumerate(plan.layouts):
        found += too_many_of_a_die(book, layout, f"layouts[{i}]")
    for layout, run, where, path in runs_of(plan):
        found += cuts_twice(book, layout, run, where, path)
    return found


def too_many_of_a_die(book: Book, layout: Layout, path: str) -> list[Finding]:
    """Find dies that are taped down more often than they are owned."""
    places: dict[str, list[str]] = defaultdict(list)
    for i, placed in enumerate(layout.dies):
        places[placed.die].append(f"{path}.dies[{i}]")
    return [
        _too_many(book, layout, die, paths)
        for die, paths in places.items()
        if die in book.dies and len(paths) > book.dies[die].copies
    ]


def _too_many(book: Book, layout: Layout, die: str, paths: list[str]) -> Finding:
    owned = book.dies[die].copies
    what = f"{book.name(die)} is taped down {len(paths)} times, {owned} owned"
    return Finding("copies", layout_words(layout), what, len(paths), owned, tuple(paths))


def cuts_twice(book: Book, layout: Layout, run: Run, where: str, path: str) -> list[Finding]:
    """Find dies that are to cut more than one piece in one run."""
    places: dict[int, list[str]] = defaultdict(list)
    for k, cut in enumerate(run.cuts):
        places[cut.die].append(f"{path}.cuts[{k}]")
    return [_twice(book, layout.dies[die].die, where, paths) for die, paths in sorted(places.items()) if len(paths) > 1]


def _twice(book: Book, die: str, where: str, paths: list[str]) -> Finding:
    what = f"{book.name(die)} is to cut {len(paths)} times in one run, a die cuts once"
    return Finding("copies", where, what, len(paths), 1, tuple(paths))
