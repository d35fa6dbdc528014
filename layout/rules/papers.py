"""Rule 3: papers of one run do not overlap, stick out no further than allowed, and are there, in few enough layers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations

from layout.model.plan import Plan, Run
from layout.rules import words
from layout.rules.book import Book, overlap
from layout.rules.cutting_down import Sheets
from layout.rules.finding import AREA_SLACK, SLACK, Finding
from layout.rules.laid import Sheet, punched_words, runs_of, sheets_of


def papers(book: Book, sheets: Sheets, plan: Plan) -> Iterator[list[Finding]]:
    """Find papers that cannot lie or be stacked like this, run by run."""
    for _, run, where, path in runs_of(plan):
        yield run_papers(book, sheets, run, where, path)
    for where, path, scrap, copy in _single_sheets(book, plan):
        yield sheets_missing(book, scrap, (copy,), where, path)


def run_papers(book: Book, sheets: Sheets, run: Run, where: str, path: str) -> list[Finding]:
    """Find the same in one run."""
    laid = [sheet for sheet in sheets_of(book, sheets, run, where, path) if sheet is not None]
    found = laid_twice(book, laid)
    for sheet in laid:
        found += sheets_missing(book, sheet.laid.scrap, sheet.laid.copies, where, sheet.thing)
        found += [f for f in (too_many_layers(book, sheet), *sticks_out(book, sheet)) if f is not None]
    overlaps = [papers_overlap(book, a, b) for a, b in combinations(laid, 2)]
    return found + [f for f in overlaps if f is not None]


def sheets_missing(book: Book, scrap: str, asked: Sequence[int], where: str, path: str) -> list[Finding]:
    """Find sheets that a scrap does not have, or that one stack names twice; they count from 0."""
    have = book.scraps[scrap].count
    name = book.scrap_name(scrap)
    found = []
    if any(copy >= have for copy in asked):
        what = f"{name} has {_sheets(have)}, sheet {max(asked) + 1} is asked for"
        found.append(Finding("papers", where, what, max(asked) + 1, have, (path,)))
    if len(set(asked)) != len(asked):
        what = f"{name} is stacked with one sheet named twice"
        found.append(Finding("papers", where, what, len(asked), len(set(asked)), (path,)))
    return found


def too_many_layers(book: Book, sheet: Sheet) -> Finding | None:
    """Find whether a stack is higher than its paper's layers."""
    paper = book.scraps[sheet.laid.scrap].paper
    most = book.papers[paper].layers if paper in book.papers else 1
    high = len(sheet.laid.copies)
    if high <= most:
        return None
    what = (
        f"{book.scrap_name(sheet.laid.scrap)} lies {high} layers high, one pass cuts {most} of {book.paper_name(paper)}"
    )
    return Finding("papers", sheet.where, what, high, most, (sheet.thing,))


def sticks_out(book: Book, sheet: Sheet) -> list[Finding | None]:
    """Find where a sheet sticks out of the bed further than allowed: across the feed and along it."""
    x0, y0, x1, y1 = sheet.shape.bounds
    machine = book.machine
    return [
        _out(book, sheet, max(-x0, x1 - machine.bed_width), machine.overhang_across, "to the side"),
        _out(book, sheet, max(-y0, y1 - machine.bed_length), machine.overhang_along, "along the feed"),
    ]


def _out(book: Book, sheet: Sheet, out: float, most: float, way: str) -> Finding | None:
    if not out > most + SLACK:
        return None
    name = book.scrap_name(sheet.laid.scrap)
    what = f"{name} sticks {book.length(out)} out of the bed {way}, {book.number(most)} is allowed"
    return Finding("papers", sheet.where, what, out, most, (sheet.thing,))


def papers_overlap(book: Book, a: Sheet, b: Sheet) -> Finding | None:
    """Find whether two sheets of one run overlap."""
    shared = overlap(a.shape, b.shape)
    if shared <= AREA_SLACK:
        return None
    one, other = book.scrap_name(a.laid.scrap), book.scrap_name(b.laid.scrap)
    what = f"{one} and {other} overlap by {words.cut_off(shared, 2)} mm²"
    return Finding("papers", a.where, what, shared, 0.0, (a.thing, b.thing))


def laid_twice(book: Book, laid: Sequence[Sheet]) -> list[Finding]:
    """Find a sheet that lies in one run at two places."""
    places: dict[tuple[str, int, int | None], list[Sheet]] = defaultdict(list)
    for sheet in laid:
        for copy in set(sheet.laid.copies):
            places[sheet.laid.scrap, copy, sheet.laid.part].append(sheet)
    return [_twice(book, key[1], many) for key, many in places.items() if len(many) > 1]


def _twice(book: Book, copy: int, many: list[Sheet]) -> Finding:
    what = f"{book.scrap_name(many[0].laid.scrap)}, sheet {copy + 1}, lies in this run {len(many)} times"
    return Finding("papers", many[0].where, what, len(many), 1, tuple(s.thing for s in many))


def _single_sheets(book: Book, plan: Plan) -> Iterator[tuple[str, str, str, int]]:
    """Give every sheet named outside the runs, with its words and its path."""
    for k, punched in enumerate(plan.punched):
        if punched.scrap in book.scraps:
            yield punched_words(book, punched), f"punched[{k}]", punched.scrap, punched.copy
    for k, entry in enumerate(plan.cut_downs):
        if entry.scrap in book.scraps:
            yield "sheets cut down", f"cut_downs[{k}]", entry.scrap, entry.copy
    for k, panel in enumerate(plan.panels):
        if panel.scrap in book.scraps:
            yield f"panel {book.name(panel.panel)}", f"panels[{k}]", panel.scrap, panel.copy


def _sheets(count: int) -> str:
    return "1 sheet" if count == 1 else f"{count} sheets"
