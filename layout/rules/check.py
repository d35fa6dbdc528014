"""All rules over a whole plan, or over one layout of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain

from layout.geometry.units import Unit
from layout.model.plan import CutDown, Layout, Plan
from layout.model.project import Project
from layout.rules.bodies import layout_bodies
from layout.rules.book import Book
from layout.rules.bound import bound
from layout.rules.copies import copies
from layout.rules.cutting_down import Sheets
from layout.rules.finding import Finding
from layout.rules.laid import Piece, pieces_of, punched_of, runs_of
from layout.rules.margins import piece_margins
from layout.rules.names import names
from layout.rules.panels import panels
from layout.rules.papers import papers
from layout.rules.reach import reach
from layout.rules.sums import sums
from layout.rules.webs import webs
from layout.rules.wishes import piece_wishes


def check(project: Project, plan: Plan, unit: Unit = "mm") -> list[Finding]:
    """Return every broken rule of a plan, in the contract's order; sentences in `unit`, numbers in mm."""
    return list(chain.from_iterable(check_in_parts(project, plan, unit)))


def check_in_parts(project: Project, plan: Plan, unit: Unit = "mm") -> Iterator[list[Finding]]:
    """Give the same part by part, each of little work, for a window that has other things to do in between."""
    book = Book(project, unit)
    sheets = Sheets(book, plan.cut_downs)
    yield from _geometry(book, sheets, plan)
    yield sums(book, plan)
    yield bound(book, plan)


def layout_findings(
    project: Project, layout: Layout, cut_downs: Iterable[CutDown] = (), unit: Unit = "mm"
) -> list[Finding]:
    """Return the broken rules within one layout alone (paths begin `layouts[0]`); sums and bound are not asked."""
    book = Book(project, unit)
    parts = _geometry(book, Sheets(book, cut_downs), Plan(layouts=(layout,)))
    return list(chain.from_iterable(parts))


def _geometry(book: Book, sheets: Sheets, plan: Plan) -> Iterator[list[Finding]]:
    pieces: list[Piece] = []
    for layout, run, where, path in runs_of(plan):
        pieces += pieces_of(book, sheets, layout, run, where, path)
        yield []
    punched = _punched(book, sheets, plan)
    pieces += punched
    yield names(book, plan)
    for i, layout in enumerate(plan.layouts):
        yield layout_bodies(book, layout, f"layouts[{i}]")
    yield copies(book, plan)
    yield from papers(book, sheets, plan)
    for piece in pieces:
        yield piece_margins(book, piece)
    yield from webs(book, pieces)
    for piece in pieces:
        yield piece_wishes(book, piece)
    yield reach(book, punched)
    yield from panels(book, sheets, plan, pieces)


def _punched(book: Book, sheets: Sheets, plan: Plan) -> list[Piece]:
    made = (punched_of(book, sheets, entry, k) for k, entry in enumerate(plan.punched))
    return [piece for piece in made if piece is not None]
