"""The guide on screen before it is printed: the same painter, turned over page by page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeySequence, QPainter, QPaintEvent, QShortcut
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QFormLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.guide.book import Page, guide_pages, page_layout, paint_guide, paint_page
from app.guide.correction import MeasureError, corrected, diagnose
from app.guide.job import Job
from app.guide.pdf import write_pdf
from app.guide.sheet import SHEETS, Sheet
from app.look.tokens import ROOM, SPACE
from layout.geometry.units import UnitError, parse_length
from layout.model.errors import FileError

WAYS = ("Blades down, seen from above", "Blades up, page mirrored")
SHADE = QColor(128, 128, 128)
ROUND = 14
"""Room round the page on screen, in pixels."""


class PageView(QWidget):
    """One page of the guide, as large as the room allows."""

    def __init__(self) -> None:
        super().__init__()
        self._pages: tuple[Page, ...] = ()
        self.index = 0
        self.setAccessibleName("Page of the guide")
        self.setMinimumSize(QSize(320, 420))

    def show_pages(self, pages: tuple[Page, ...], index: int) -> None:
        """Show one of the pages."""
        self._pages, self.index = pages, index
        self.setAccessibleDescription(f"page {index + 1} of {len(pages)}")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: N802 (Qt's name)
        """Paint the page on white, fitted into the widget."""
        del event
        if not self._pages:
            return
        sheet = self._pages[self.index].sheet
        width, height = sheet.width * sheet.stretch_x, sheet.height * sheet.stretch_y
        scale = min((self.width() - 2 * ROUND) / width, (self.height() - 2 * ROUND) / height)
        painter = QPainter(self)
        painter.translate((self.width() - width * scale) / 2, (self.height() - height * scale) / 2)
        painter.fillRect(0, 0, round(width * scale), round(height * scale), QColor(255, 255, 255))
        painter.setPen(SHADE)
        painter.drawRect(0, 0, round(width * scale), round(height * scale))
        paint_page(painter, self._pages, self.index, scale)
        painter.end()


class GuidePreview(QDialog):
    """Looks at the guide, sets paper and blades, mends a printer's scale, and sends it to a printer or a PDF."""

    written = Signal(str)
    refused = Signal(str)

    def __init__(self, job: Job, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Placement guide")
        self._job = job
        self._pages: tuple[Page, ...] = ()
        self.view = PageView()
        self._place = QLabel()
        self.paper = _choice("Paper in the printer", [sheet.name for sheet in SHEETS.values()])
        self.paper.setCurrentText(job.sheet.name)
        self.way = _choice("How the dies lie", WAYS)
        self.way.setCurrentIndex(int(job.blades_up))
        self.across = _measure("The 100 mm bar measured")
        self.along = _measure("The upright bar measured")
        self.told = QLabel(
            "Hold a ruler to the bars of a page printed before. If they are true, leave these fields empty."
        )
        self.told.setWordWrap(True)
        self._lay_out()
        for choice in (self.paper, self.way):
            choice.currentIndexChanged.connect(self.make)
        for field in (self.across, self.along):
            field.editingFinished.connect(self.make)
        self.make()

    @property
    def job(self) -> Job:
        """The guide as it is set now."""
        return self._job

    def make(self) -> None:
        """Make the pages anew for what is set now."""
        sheet = list(SHEETS.values())[self.paper.currentIndex()]
        self._job = replace(self._job, sheet=self._mended(sheet), blades_up=self.way.currentIndex() == 1, kept={})
        self._pages = guide_pages(self._job)
        self.turn_to(self.view.index)

    def turn_to(self, index: int) -> None:
        """Show a page by its place, the nearest where there is none so far."""
        index = min(max(index, 0), len(self._pages) - 1)
        self.view.show_pages(self._pages, index)
        self._place.setText(f"Page {index + 1} of {len(self._pages)}")

    def save(self) -> None:
        """Ask for a place and write the PDF there."""
        start = f"{self._job.title} guide.pdf"
        path, _ = QFileDialog.getSaveFileName(self, "Save the placement guide", start, "PDF (*.pdf)")
        if path:
            self.save_to(Path(path if path.lower().endswith(".pdf") else f"{path}.pdf"))

    def save_to(self, path: Path) -> None:
        """Write the PDF, and say so."""
        try:
            write_pdf(self._job, self._pages, path)
        except FileError as error:
            self.refused.emit(str(error))
            return
        self.written.emit(f"The placement guide is in {path.name}. Print it at 100 %, and check its bars with a ruler.")

    def print_out(self) -> None:
        """Ask for a printer and print."""
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(f"{self._job.title}: placement guide")
        printer.setPageLayout(page_layout(self._pages[0].sheet))
        if QPrintDialog(printer, self).exec() == QDialog.DialogCode.Accepted:
            self.print_on(printer)

    def print_on(self, printer: QPrinter) -> None:
        """Print all pages at true size on a printer, and say so."""
        printer.setFullPage(True)
        try:
            paint_guide(printer, self._pages)
        except OSError as error:
            self.refused.emit(f"The guide could not be printed: {error}.")
            return
        self.written.emit("The guide is at the printer. Check its two bars with a ruler before you tape anything.")

    def _mended(self, sheet: Sheet) -> Sheet:
        """Return the sheet as a printer needs it that is known by its bars; say what was found."""
        try:
            across = self._length(self.across)
            along = self._length(self.along)
            if across is None:
                return sheet
            found = diagnose(sheet, across, along)
            if found.true:
                self.told.setText(found.cause)
                return sheet
            self.told.setText(
                f"{found.cause} {found.remedy} These pages are corrected for it: print them the same way."
            )
            return corrected(sheet, across, along)
        except (MeasureError, UnitError) as error:
            self.told.setText(str(error))
            return sheet

    def _length(self, field: QLineEdit) -> float | None:
        return parse_length(field.text(), "mm") if field.text().strip() else None

    def _lay_out(self) -> None:
        form = QFormLayout()
        form.setVerticalSpacing(SPACE)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        for field in (self.paper, self.way, self.across, self.along):
            form.addRow(field.accessibleName(), field)
        side = QVBoxLayout()
        side.setSpacing(SPACE)
        side.addLayout(self._turning())
        side.addLayout(form)
        side.addWidget(self.told)
        side.addStretch(1)
        for words, does in (("Print…", self.print_out), ("Save as PDF…", self.save), ("Close", self.reject)):
            side.addWidget(_button(words, does))
        row = QHBoxLayout(self)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.setSpacing(ROOM)
        row.addWidget(self.view, 1)
        row.addLayout(side)

    def _turning(self) -> QHBoxLayout:
        row = QHBoxLayout()
        back = _button("Back", lambda: self.turn_to(self.view.index - 1))
        on = _button("Next", lambda: self.turn_to(self.view.index + 1))
        for key, button in (("PgUp", back), ("PgDown", on)):
            QShortcut(QKeySequence(key), self).activated.connect(button.click)
        self._place.setAlignment(Qt.AlignmentFlag.AlignCenter)
        row.addWidget(back)
        row.addWidget(self._place, 1)
        row.addWidget(on)
        return row


def _choice(name: str, entries: list[str] | tuple[str, ...]) -> QComboBox:
    made = QComboBox()
    made.setAccessibleName(name)
    made.addItems(list(entries))
    return made


def _measure(name: str) -> QLineEdit:
    made = QLineEdit()
    made.setAccessibleName(name)
    made.setPlaceholderText("for example 97.3 mm")
    return made


def _button(words: str, does: Callable[[], object]) -> QPushButton:
    made = QPushButton(words)
    made.setAutoDefault(False)
    made.clicked.connect(lambda: does())
    return made
