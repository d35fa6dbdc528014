"""A dialog that shows pages before they are printed: turning them over, printing at true size, saving."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QColor, QKeySequence, QPainter, QPaintEvent, QShortcut
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.guide.book import Page, page_layout, paint_guide, paint_page
from app.guide.printing import PaperError, chosen_pages, chosen_sheet
from app.guide.sheet import SHEETS, Sheet
from app.look.scrolling import Column, scrolled
from app.look.tokens import ROOM, SPACE
from layout.formats.writing import file_stem
from layout.model.errors import FileError

SHADE = QColor(128, 128, 128)
ROUND = 14
"""Room round the page on screen, in pixels."""


class PageView(QWidget):
    """One page, as large as the room allows."""

    def __init__(self, name: str) -> None:
        super().__init__()
        self._pages: tuple[Page, ...] = ()
        self.index = 0
        self.setAccessibleName(name)
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


class PagesDialog(QDialog):
    """Pages with the paper they are for; a subclass makes them (`make`), names them and writes them to a file.

    What was done is said in the dialog and told to the window (`written`, `refused`); `saved` names the folder.
    """

    written = Signal(str)
    refused = Signal(str)
    saved = Signal(str)
    kinds = "PDF (*.pdf)"

    def __init__(self, heading: str, sheet: Sheet, folder: Path | None, parent: QWidget | None) -> None:
        super().__init__(parent)
        self.setWindowTitle(heading)
        self._heading, self._folder = heading, folder or Path.home()
        self._pages: tuple[Page, ...] = ()
        self.view = PageView(f"Page of the {heading.lower()}")
        self._place = QLabel()
        self.paper = choice("Paper in the printer", [one.name for one in SHEETS.values()])
        self.paper.setCurrentText(sheet.name)
        self._column = Column()
        self.said = QLabel()
        self.said.setWordWrap(True)
        self.said.setTextFormat(Qt.TextFormat.PlainText)
        self.said.hide()
        for signal in (self.written, self.refused):
            signal.connect(self._say)

    @property
    def title(self) -> str:
        """The name of the document: the project's."""
        raise NotImplementedError

    def make(self) -> None:
        """Make the pages anew for what is set now."""
        raise NotImplementedError

    def write(self, path: Path, kind: str) -> Path:
        """Write the pages, and return where they are; raises FileError."""
        raise NotImplementedError

    @property
    def chosen(self) -> Sheet:
        """The paper that is set."""
        return list(SHEETS.values())[self.paper.currentIndex()]

    def show_pages(self, pages: tuple[Page, ...]) -> None:
        """Show other pages, at the same place."""
        self._pages = pages
        self.turn_to(self.view.index)

    def turn_to(self, index: int) -> None:
        """Show a page by its place, the nearest where there is none so far."""
        index = min(max(index, 0), len(self._pages) - 1)
        self.view.show_pages(self._pages, index)
        self._place.setText(f"Page {index + 1} of {len(self._pages)}")

    def save(self) -> None:
        """Ask for a place, first offering the project's folder, and write there."""
        start = str(self._folder / f"{file_stem(f'{self.title} {self._heading.lower()}')}.pdf")
        path, kind = QFileDialog.getSaveFileName(self, f"Save the {self._heading.lower()}", start, self.kinds)
        if path:
            self.save_to(Path(path), kind)

    def save_to(self, path: Path, kind: str = "PDF") -> None:
        """Write to a file, and say so, or why not."""
        try:
            made = self.write(path, kind)
        except FileError as error:
            self.refused.emit(str(error))
            return
        self._folder = made.parent
        self.saved.emit(str(made.parent))
        self.written.emit(f"Saved: {made.name}, in {made.parent}.{self.advice}")

    advice = ""
    """What to do with what was printed or saved."""

    def print_out(self) -> None:
        """Ask for a printer and print."""
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(f"{self.title} {self._heading.lower()}")
        printer.setPageLayout(page_layout(self._pages[0].sheet))
        printer.setDuplex(QPrinter.DuplexMode.DuplexNone)  # what is laid under a plate has nothing on its back
        dialog = QPrintDialog(printer, self)
        dialog.setMinMax(1, len(self._pages))
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintPageRange)
        dialog.setOption(QPrintDialog.PrintDialogOption.PrintCurrentPage)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            self.print_on(printer)

    def print_on(self, printer: QPrinter) -> None:
        """Print at true size on the paper that the printer is set to, and say so, or why not."""
        try:
            self.paper.setCurrentText(chosen_sheet(printer, self.chosen).name)  # makes the pages anew
            pages = chosen_pages(printer, len(self._pages), self.view.index)
            printer.setFullPage(True)
            paint_guide(printer, self._pages, pages)
        except PaperError as error:
            self.refused.emit(str(error))
            return
        except OSError as error:
            self.refused.emit(f"The {self._heading.lower()} could not be printed: {error}.")
            return
        where = f"in {printer.outputFileName()}" if printer.outputFileName() else "at the printer"
        self.written.emit(f"The {self._heading.lower()} is {where}, for {self.chosen.name}.{self.advice}")

    def turning(self) -> QHBoxLayout:
        """Return the row that turns pages over, by buttons and the keys PgUp and PgDown."""
        row = QHBoxLayout()
        back = button("Back", lambda: self.turn_to(self.view.index - 1))
        on = button("Next", lambda: self.turn_to(self.view.index + 1))
        for key, does in (("PgUp", back), ("PgDown", on)):
            QShortcut(QKeySequence(key), self).activated.connect(does.click)
        self._place.setAlignment(Qt.AlignmentFlag.AlignCenter)
        row.addWidget(back)
        row.addWidget(self._place, 1)
        row.addWidget(on)
        return row

    def lay_out(self, side: QVBoxLayout, closes: Callable[[], object], *, save: str) -> None:
        """Set the page beside a column that scrolls where text is large, with the buttons below it."""
        side.setSpacing(SPACE)
        side.setContentsMargins(0, 0, SPACE, 0)
        side.addWidget(self.said)
        scrolled(side, self._column)
        column = QVBoxLayout()
        column.setSpacing(SPACE)
        column.addWidget(self._column, 1)
        buttons = [button(w, does) for w, does in (("&Print…", self.print_out), (save, self.save), ("&Close", closes))]
        for one in buttons:
            column.addWidget(one)
        buttons[0].setFocus()  # else the column would have it, whose frame stands close about its words
        row = QHBoxLayout(self)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.setSpacing(ROOM)
        row.addWidget(self.view, 3)
        row.addLayout(column, 1)

    def warn(self, words: str) -> None:
        """Say what to heed before anything is printed."""
        self.said.setProperty("tone", "fault")
        self._say(words)

    def _say(self, words: str) -> None:
        self.said.setText(words)
        self.said.setAccessibleName(words)
        self.said.show()
        QTimer.singleShot(0, self, lambda: self._column.ensureWidgetVisible(self.said))


def choice(name: str, entries: list[str] | tuple[str, ...]) -> QComboBox:
    """Return a choice of a name."""
    made = QComboBox()
    made.setAccessibleName(name)
    made.addItems(list(entries))
    return made


def button(words: str, does: Callable[[], object]) -> QPushButton:
    """Return a button that Enter in a field does not press."""
    made = QPushButton(words)
    made.setAutoDefault(False)
    made.clicked.connect(lambda: does())
    return made
