"""What a person set in the printer's own dialog: paper, pages, copies; nothing of it changes the scale."""

from __future__ import annotations

from PySide6.QtCore import QSizeF
from PySide6.QtGui import QPageSize
from PySide6.QtPrintSupport import QPrinter

from app.guide.sheet import SHEETS, Sheet

SAME = 1.5
"""Sheets are the same within this (mm): ISO 216 allows so much, and printers round to whole points."""


class PaperError(ValueError):
    """The printer is set to a paper that the pages are not made for; the message says what to choose."""


def chosen_sheet(printer: QPrinter, sheet: Sheet) -> Sheet:
    """Return the sheet that the printer is set to, `sheet` where it is that; raises PaperError for any other paper."""
    page = printer.pageLayout().pageSize()
    size = page.size(QPageSize.Unit.Millimeter)
    for known in (sheet, *SHEETS.values()):
        if _same(size, known):
            return known
    names = " or ".join(one.name for one in SHEETS.values())
    raise PaperError(
        f"The printer is set to {page.name()}, and these pages are true to size on {names} only: choose that paper in "
        "the printer’s dialog."
    )


def chosen_pages(printer: QPrinter, count: int, shown: int) -> list[int]:
    """Return the places of the pages to print, once more for each copy that the printer does not make itself."""
    kind = printer.printRange()
    if kind == QPrinter.PrintRange.CurrentPage:
        pages = [shown]
    elif kind == QPrinter.PrintRange.PageRange:
        ranges = printer.pageRanges()
        whole = [n for n in range(count) if ranges.contains(n + 1)]
        pages = whole or list(range(max(printer.fromPage() - 1, 0), min(printer.toPage() or count, count)))
    else:
        pages = list(range(count))
    return pages * (1 if printer.supportsMultipleCopies() else printer.copyCount())


def _same(size: QSizeF, sheet: Sheet) -> bool:
    """Whether a printer's paper is a sheet, upright or across; a corrected one by the size it comes out at."""
    sides = sorted((size.width(), size.height()))
    own = sorted((sheet.width * sheet.stretch_x, sheet.height * sheet.stretch_y))
    return all(abs(a - b) <= SAME for a, b in zip(sides, own, strict=True))
