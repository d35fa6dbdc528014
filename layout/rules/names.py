"""Behind all rules: every die, punch, panel, scrap and wanted piece that a plan names is in the project."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from layout.model.plan import Layout, Plan
from layout.rules.book import Book
from layout.rules.finding import Finding


def names(book: Book, plan: Plan) -> list[Finding]:
    """Find what is not in the project."""
    return [
        Finding("names", where, f'no {kind} of this project is called "{name}"', things=(path,))
        for where, path, kind, name, known in _named(book, plan)
        if name not in known
    ]


Named = tuple[str, str, str, str, Collection[str]]


def _named(book: Book, plan: Plan) -> Iterator[Named]:
    for i, layout in enumerate(plan.layouts):
        yield from _named_in_layout(book, layout, f"layouts[{i}]")
    for k, punched in enumerate(plan.punched):
        where, path = "punched pieces", f"punched[{k}]"
        yield where, path, "punch", punched.punch, book.punches
        yield where, path, "scrap", punched.scrap, book.scraps
        yield where, path, "wanted piece", punched.wanted, book.wanted
    for k, cut_down in enumerate(plan.cut_downs):
        yield "sheets cut down", f"cut_downs[{k}]", "scrap", cut_down.scrap, book.scraps
    for k, panel in enumerate(plan.panels):
        where, path = "panels", f"panels[{k}]"
        yield where, path, "panel", panel.panel, book.panels
        yield where, path, "scrap", panel.scrap, book.scraps
        yield where, path, "wanted piece", panel.wanted, book.wanted
    for k, unplaced in enumerate(plan.unplaced):
        yield "pieces not placed", f"unplaced[{k}]", "wanted piece", unplaced.wanted, book.wanted


def _named_in_layout(book: Book, layout: Layout, path: str) -> Iterator[Named]:
    where = f"layout {layout.id}"
    for k, placed in enumerate(layout.dies):
        yield where, f"{path}.dies[{k}]", "die", placed.die, book.dies
    for r, run in enumerate(layout.runs):
        at = f"{path}.runs[{r}]"
        for k, laid in enumerate(run.scraps):
            yield f"{where}, run {r + 1}", f"{at}.scraps[{k}]", "scrap", laid.scrap, book.scraps
        for k, cut in enumerate(run.cuts):
            yield f"{where}, run {r + 1}", f"{at}.cuts[{k}]", "wanted piece", cut.wanted, book.wanted
