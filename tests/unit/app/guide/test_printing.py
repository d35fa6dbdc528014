"""What is set in the printer's own dialog: another paper is never taken in silence, chosen pages only, copies."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QPageLayout, QPageRanges, QPageSize
from PySide6.QtPrintSupport import QPrinter
from pytestqt.qtbot import QtBot

from app.guide.book import page_layout
from app.guide.preview import GuidePreview
from app.guide.printing import PaperError, chosen_pages, chosen_sheet
from app.guide.sheet import A4, LETTER
from tests.support import guide_reading as reading
from tests.unit.app.guide.test_preview import faults, preview

__all__ = ["preview"]
pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def printer(tmp_path: Path) -> QPrinter:
    made = QPrinter(QPrinter.PrinterMode.HighResolution)
    made.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    made.setOutputFileName(str(tmp_path / "printed.pdf"))
    made.setPageLayout(page_layout(A4))
    return made


def test_the_printers_paper_is_known_upright_and_across(printer: QPrinter) -> None:
    assert chosen_sheet(printer, A4) is A4
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.Letter))
    printer.setPageOrientation(QPageLayout.Orientation.Landscape)
    assert chosen_sheet(printer, A4) is LETTER
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A5))
    with pytest.raises(PaperError, match=r"A5.*A4 or Letter"):
        chosen_sheet(printer, A4)


def test_another_paper_makes_the_pages_for_it_and_says_so(
    preview: GuidePreview, printer: QPrinter, tmp_path: Path
) -> None:
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.Letter))
    printer.setPageOrientation(QPageLayout.Orientation.Landscape)
    preview.print_on(printer)
    assert preview.paper.currentText() == "Letter"
    assert "for Letter" in preview.said.text()
    found = faults((tmp_path / "printed.pdf").read_bytes(), "letter", False)
    assert [fault for fault in found if "the sheet is" not in fault] == []  # rounded to whole points


def test_a_paper_the_guide_is_not_made_for_is_refused(preview: GuidePreview, printer: QPrinter, tmp_path: Path) -> None:
    printer.setPageSize(QPageSize(QPageSize.PageSizeId.A5))
    preview.print_on(printer)
    assert "A5" in preview.said.text()
    assert not (tmp_path / "printed.pdf").exists()


def test_only_the_chosen_pages_are_printed(preview: GuidePreview, printer: QPrinter, tmp_path: Path) -> None:
    printer.setPrintRange(QPrinter.PrintRange.PageRange)
    printer.setPageRanges(QPageRanges.fromString("1,3"))
    preview.print_on(printer)
    pages = reading.read_pages((tmp_path / "printed.pdf").read_bytes())
    assert [page.words.split(" · page ")[1].split()[0] for page in pages] == ["1", "3"]


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        (QPrinter.PrintRange.AllPages, [0, 1, 2, 3]),
        (QPrinter.PrintRange.CurrentPage, [2]),
        (QPrinter.PrintRange.PageRange, [1, 2]),
    ],
)
def test_ranges_as_the_dialog_gives_them(printer: QPrinter, kind: QPrinter.PrintRange, expected: list[int]) -> None:
    printer.setPrintRange(kind)
    if kind == QPrinter.PrintRange.PageRange:
        printer.setFromTo(2, 3)
    assert chosen_pages(printer, 4, 2) == expected


def test_saving_says_so_in_the_dialog_and_keeps_the_folder(preview: GuidePreview, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(preview.saved) as saved:
        preview.save_to(tmp_path / "mine")
    assert saved.args == [str(tmp_path)]
    assert not preview.said.isHidden()
    assert preview.said.text().startswith("Saved: mine.pdf")
