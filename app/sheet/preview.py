"""The project sheet on screen before it is printed, and the person's own steps that stand on it."""

from __future__ import annotations

import base64
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.document.asking import ask
from app.document.document import Document
from app.guide.book import Page, page_layout, paint_guide
from app.guide.preview import PageView
from app.guide.sheet import SHEETS, usual_sheet
from app.look.tokens import ROOM, SPACE
from app.sheet.book import sheet_pages, write_pdf, write_pictures
from app.sheet.job import OWN_STEPS, SheetJob
from app.sheet.work import read_picture
from layout.model.errors import FileError
from layout.model.project import Project

MOST_PICTURE = 4_000_000
KINDS = {".png": "png", ".jpg": "jpeg", ".jpeg": "jpeg"}


class SheetPreview(QDialog):
    """Looks at the project sheet, sets paper, colour and template, takes own steps, and prints or saves it."""

    written = Signal(str)
    refused = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Project sheet")
        self._document = document
        self._pages: tuple[Page, ...] = ()
        self.view = PageView()
        self.view.setAccessibleName("Page of the project sheet")
        self._place = QLabel()
        self.paper = QComboBox()
        self.paper.setAccessibleName("Paper in the printer")
        self.paper.addItems([sheet.name for sheet in SHEETS.values()])
        self.paper.setCurrentText(usual_sheet().name)
        self.colour = QCheckBox("In colour")
        self.colour.setChecked(True)
        self.template = QCheckBox("With the blanks at true size")
        self.steps = QPlainTextEdit("\n".join(words for words, _ in self._own()))
        self.steps.setAccessibleName("Your own steps, one a line")
        self.steps.setPlaceholderText("for example: Tie the ribbon twice round the box")
        self.steps.setTabChangesFocus(True)
        self._lay_out()
        self.paper.currentIndexChanged.connect(self.make)
        for box in (self.colour, self.template):
            box.toggled.connect(self.make)
        self.steps.textChanged.connect(self.make)
        self.make()

    @property
    def job(self) -> SheetJob:
        """The sheet as it is set now."""
        document, paper = self._document, list(SHEETS.values())[self.paper.currentIndex()]
        colour, template = self.colour.isChecked(), self.template.isChecked()
        return SheetJob(self._with_steps(), document.plan, paper, unit=document.unit, colour=colour, template=template)

    def make(self) -> None:
        """Make the pages anew for what is set now."""
        self._pages = sheet_pages(self.job)
        self.turn_to(self.view.index)

    def turn_to(self, index: int) -> None:
        """Show a page by its place, the nearest where there is none so far."""
        index = min(max(index, 0), len(self._pages) - 1)
        self.view.show_pages(self._pages, index)
        self._place.setText(f"Page {index + 1} of {len(self._pages)}")

    def done(self, result: int) -> None:
        """Keep the own steps in the project as one undo step, then close."""
        project = self._with_steps()
        if project != self._document.project:
            ask(self._document, "Change of the order of work", project, counts=False)
        super().done(result)

    def save(self) -> None:
        """Ask for a place and write a PDF, or a picture of every page."""
        start = f"{self.job.title} sheet.pdf"
        path, kind = QFileDialog.getSaveFileName(self, "Save the project sheet", start, "PDF (*.pdf);;Pictures (*.png)")
        if path:
            self.save_to(Path(path), pictures="png" in kind)

    def save_to(self, path: Path, *, pictures: bool = False) -> None:
        """Write the PDF, or a folder of pictures, and say so."""
        try:
            if pictures:
                path = path.with_suffix("")
                write_pictures(self._pages, path)
            else:
                path = path if path.suffix.lower() == ".pdf" else path.with_name(f"{path.name}.pdf")
                write_pdf(self.job, self._pages, path)
        except FileError as error:
            self.refused.emit(str(error))
            return
        self.written.emit(f"The project sheet is in {path.name}.")

    def print_out(self) -> None:
        """Ask for a printer and print."""
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(f"{self.job.title}: project sheet")
        printer.setPageLayout(page_layout(self._pages[0].sheet))
        if QPrintDialog(printer, self).exec() != QDialog.DialogCode.Accepted:
            return
        printer.setFullPage(True)
        try:
            paint_guide(printer, self._pages)
        except OSError as error:
            self.refused.emit(f"The project sheet could not be printed: {error}.")
            return
        self.written.emit("The project sheet is at the printer.")

    def ask_for_picture(self) -> None:
        """Ask for a picture of the step that the cursor stands in."""
        path, _ = QFileDialog.getOpenFileName(self, "Picture for this step", "", "Pictures (*.png *.jpg *.jpeg)")
        if path:
            self.add_picture(Path(path))

    def add_picture(self, path: Path) -> None:
        """Lay a picture beside the step that the cursor stands in."""
        try:
            data = path.read_bytes()
        except OSError as error:
            self.refused.emit(f"{path.name} cannot be read ({error.strerror}); choose another picture.")
            return
        address = f"data:image/{KINDS.get(path.suffix.lower(), 'png')};base64,{base64.b64encode(data).decode()}"
        if len(data) > MOST_PICTURE or read_picture(address) is None:
            self.refused.emit(f"{path.name} is no PNG or JPEG of at most 4 MB; choose another picture.")
            return
        self._pictures[self.steps.textCursor().blockNumber()] = address
        self.make()

    def _own(self) -> list[tuple[str, str]]:
        own = SheetJob(self._document.project, self._document.plan, usual_sheet()).own_steps()
        self._pictures = {number: picture for number, (_, picture) in enumerate(own) if picture}
        return own

    def _with_steps(self) -> Project:
        """Return the project with the steps as they are written now."""
        project = self._document.project
        lines = enumerate(self.steps.toPlainText().split("\n"))
        steps = [{"words": w.strip(), "picture": self._pictures.get(n, "")} for n, w in lines if w.strip()]
        if not steps and OWN_STEPS not in project.extra:
            return project
        return replace(project, extra={**project.extra, OWN_STEPS: steps})

    def _lay_out(self) -> None:
        side = QVBoxLayout()
        side.setSpacing(SPACE)
        side.addLayout(self._turning())
        for name, field in (("&Paper in the printer", self.paper), ("Your own &steps, one a line", self.steps)):
            label = QLabel(name)
            label.setBuddy(field)
            side.addWidget(label)
            side.addWidget(field)
        side.addWidget(_button("Picture for this step…", self.ask_for_picture))
        side.addWidget(self.colour)
        side.addWidget(self.template)
        for words, does in (("Print…", self.print_out), ("Save…", self.save), ("Close", self.accept)):
            side.addWidget(_button(words, does))
        row = QHBoxLayout(self)
        row.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
        row.setSpacing(ROOM)
        row.addWidget(self.view, 3)
        row.addLayout(side, 1)

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


def _button(words: str, does: Callable[[], object]) -> QPushButton:
    made = QPushButton(words)
    made.setAutoDefault(False)
    made.clicked.connect(lambda: does())
    return made
