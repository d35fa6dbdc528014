"""Rule 8: panels overlap neither each other nor a piece, a stain or an image; straight cuts alone make their parts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import shapely

from layout.model.plan import CutPanel, Plan, Punched
from layout.rules import words
from layout.rules.book import Book, Shape, overlap, posed
from layout.rules.cutting_down import Sheets
from layout.rules.finding import AREA_SLACK, SLACK, Finding
from layout.rules.laid import Piece, runs_of
from layout.rules.wishes import other_paper, other_shape, turned_wrong

TRIM_SLACK = 1.0  # square mm: how exactly a part is its panel's bounding rectangle


@dataclass(frozen=True, slots=True)
class Blank:
    """A panel's bounding rectangle in the frame of its sheet."""

    entry: CutPanel
    where: str
    thing: str
    shape: Shape


BySheet = dict[tuple[str, int], list[Blank]]


def panels(book: Book, sheets: Sheets, plan: Plan, pieces: list[Piece]) -> Iterator[list[Finding]]:
    """Find panels and parts of sheets that cannot be cut like this, thing by thing."""
    blanks = blanks_of(book, plan)
    yield parts(book, sheets, plan)
    for blank in blanks:
        yield panel_findings(book, sheets, blank)
    yield from overlaps(book, blanks, pieces)


def blanks_of(book: Book, plan: Plan) -> list[Blank]:
    """Return the blanks of a plan, but for panels and scraps that the project does not have."""
    return [
        Blank(p, f"panel {book.name(p.panel)}", f"panels[{k}]", _rectangle(book, p))
        for k, p in enumerate(plan.panels)
        if p.panel in book.panels and p.scrap in book.scraps
    ]


def _rectangle(book: Book, entry: CutPanel) -> Shape:
    return posed(shapely.box(*book.panels[entry.panel].outline.bounds), entry.pose)


def parts(book: Book, sheets: Sheets, plan: Plan) -> list[Finding]:
    """Find parts of sheets that are not there, and stacks of parts that differ."""
    found = []
    for where, path, scrap, copies, part in _named_parts(book, plan):
        name = book.scrap_name(scrap)
        if not sheets.is_there(scrap, copies, part):
            which = "the whole sheet" if part is None else f"part {part}"
            what = f"{name} has no such part after it was cut down: {which} is asked for"
            found.append(Finding("panels", where, what, things=(path,)))
        elif not sheets.are_alike(scrap, copies, part):
            what = f"{name} is stacked, but its sheets are not cut down alike"
            found.append(Finding("panels", where, what, things=(path,)))
    return found


def panel_findings(book: Book, sheets: Sheets, blank: Blank) -> list[Finding]:
    """Find what is wrong with one panel on its sheet."""
    entry, place = blank.entry, (blank.where, blank.thing)
    wanted, scrap = book.wanted.get(entry.wanted), book.scraps[entry.scrap]
    found: list[Finding | None] = [*_trimming(book, sheets, blank), *_spoiled(book, blank)]
    if wanted is not None:
        found.append(other_shape(book, wanted, entry.panel, place))
        found.append(other_paper(book, wanted, scrap, place))
        found.append(turned_wrong(book, wanted, scrap, entry.pose, place))
    return [f for f in found if f is not None]


def overlaps(book: Book, blanks: Sequence[Blank], pieces: Sequence[Piece]) -> Iterator[list[Finding]]:
    """Find panels that overlap each other or a piece off the same sheet, thing by thing."""
    per_sheet = by_sheet(blanks)
    found = [_overlap(book, a, b) for many in per_sheet.values() for a, b in combinations(many, 2)]
    yield [f for f in found if f is not None]
    for piece in pieces if per_sheet else ():
        yield piece_on_panels(book, per_sheet, piece)


def piece_on_panels(book: Book, per_sheet: BySheet, piece: Piece) -> list[Finding]:
    """Find panels that a piece off the same sheet overlaps."""
    near = [blank for copy in set(piece.copies) for blank in per_sheet.get((piece.scrap, copy), ())]
    found = [_overlap(book, blank, piece) for blank in near]
    return [f for f in found if f is not None]


def by_sheet(blanks: Iterable[Blank]) -> BySheet:
    """Sort blanks by scrap and copy."""
    sheets: BySheet = defaultdict(list)
    for blank in blanks:
        sheets[blank.entry.scrap, blank.entry.copy].append(blank)
    return sheets


def _overlap(book: Book, blank: Blank, other: Blank | Piece) -> Finding | None:
    area = overlap(blank.shape, other.shape)
    if area <= AREA_SLACK:
        return None
    name = book.name(other.tool if isinstance(other, Piece) else other.entry.panel)
    return _takes(book, blank, area, f"from {name}", (blank.thing, other.thing))


def _trimming(book: Book, sheets: Sheets, blank: Blank) -> list[Finding]:
    entry = blank.entry
    part = sheets.shape(entry.scrap, (entry.copy,), entry.part).area
    name = book.name(entry.panel)
    found = []
    if not part.buffer(SLACK).covers(blank.shape):
        what = f"{name} does not lie on its part of {book.scrap_name(entry.scrap)}"
        found.append(Finding("panels", blank.where, what, things=(blank.thing,)))
    off = float(part.symmetric_difference(blank.shape).area)
    if off > TRIM_SLACK:
        what = f"the part for {name} is {words.cut_off(off, 2)} mm² off the panel's rectangle, 1.0 is allowed"
        found.append(Finding("panels", blank.where, what, off, TRIM_SLACK, (blank.thing,)))
    return found


def _spoiled(book: Book, blank: Blank) -> list[Finding]:
    scrap = blank.entry.scrap
    stains = [(overlap(stain, blank.shape), "a spoiled part") for stain in book.stains(scrap)]
    inks = [(overlap(ink, blank.shape), f"the image {i.image}") for i, ink in book.inks(scrap) if ink is not None]
    places = [(area, f"of {on} of {book.scrap_name(scrap)}") for area, on in stains + inks]
    return [_takes(book, blank, area, on, (blank.thing,)) for area, on in places if area > AREA_SLACK]


def _takes(book: Book, blank: Blank, area: float, on: str, things: tuple[str, ...]) -> Finding:
    what = f"{book.name(blank.entry.panel)} takes {words.cut_off(area, 2)} mm² {on}, it may take none"
    return Finding("panels", blank.where, what, area, 0.0, things)


def _named_parts(book: Book, plan: Plan) -> Iterator[tuple[str, str, str, tuple[int, ...], int | None]]:
    """Give every sheet that a plan names, with its words and its path."""
    for _, run, where, path in runs_of(plan):
        for k, laid in enumerate(run.scraps):
            if laid.scrap in book.scraps:
                yield where, f"{path}.scraps[{k}]", laid.scrap, laid.copies, laid.part
    single: tuple[tuple[str, Sequence[Punched | CutPanel]], ...] = (("punched", plan.punched), ("panels", plan.panels))
    for key, entries in single:
        for k, entry in enumerate(entries):
            if entry.scrap in book.scraps:
                yield f"{key}, number {k + 1}", f"{key}[{k}]", entry.scrap, (entry.copy,), entry.part
