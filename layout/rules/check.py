"""All rules over a whole plan, or over one layout of it."""

from __future__ import annotations

from collections.abc import Iterable

from layout.geometry.units import Unit
from layout.model.plan import CutDown, Layout, Plan
from layout.model.project import Project
from layout.rules.bodies import bodies
from layout.rules.book import Book
from layout.rules.bound import bound
from layout.rules.copies import copies
from layout.rules.cutting_down import Sheets
from layout.rules.finding import Finding
from layout.rules.laid import Piece, pieces_of, punched_of, runs_of
from layout.rules.margins import margins
from layout.rules.names import names
from layout.rules.panels import panels
from layout.rules.papers import papers
from layout.rules.reach import reach
from layout.rules.sums import sums
from layout.rules.webs import webs
from layout.rules.wishes import wishes


def check(project: Project, plan: Plan, unit: Unit = "mm") -> list[Finding]:
    """Return every broken rule of a plan, in the contract's order; sentences in `unit`, numbers in mm."""
    book = Book(project, unit)
    sheets = Sheets(book, plan.cut_downs)
    found = _geometry(book, sheets, plan)
    return found + sums(book, plan) + bound(book, plan)


def layout_findings(
    project: Project, layout: Layout, cut_downs: Iterable[CutDown] = (), unit: Unit = "mm"
) -> list[Finding]:
    """Return the broken rules within one layout alone (paths begin `layouts[0]`); sums and bound are not asked."""
    book = Book(project, unit)
    return _geometry(book, Sheets(book, cut_downs), Plan(layouts=(layout,)))


def _geometry(book: Book, sheets: Sheets, plan: Plan) -> list[Finding]:
    cut = [
        piece
        for layout, run, where, path in runs_of(plan)
        for piece in pieces_of(book, sheets, layout, run, where, path)
    ]
    punched = _punched(book, sheets, plan)
    pieces = cut + punched
    return [
        *names(book, plan),
        *bodies(book, plan),
        *copies(book, plan),
        *papers(book, sheets, plan),
        *margins(book, pieces),
        *webs(book, pieces),
        *wishes(book, pieces),
        *reach(book, punched),
        *panels(book, sheets, plan, pieces),
    ]


def _punched(book: Book, sheets: Sheets, plan: Plan) -> list[Piece]:
    made = (punched_of(book, sheets, entry, k) for k, entry in enumerate(plan.punched))
    return [piece for piece in made if piece is not None]
