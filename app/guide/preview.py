"""The guide on screen before it is printed: the same painter, turned over page by page."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtWidgets import QFormLayout, QLabel, QLineEdit, QVBoxLayout, QWidget

from app.guide.book import guide_pages
from app.guide.correction import MeasureError, corrected, diagnose
from app.guide.job import Job
from app.guide.pagesdialog import PagesDialog, choice
from app.guide.pdf import write_pdf
from app.guide.sheet import Sheet
from app.look.tokens import SPACE
from layout.geometry.units import UnitError, parse_length

WAYS = ("Blades down, seen from above", "Blades up, page mirrored")
CHECK = "Hold a ruler to the bars of a page printed before. If they are true, leave these fields empty."


class GuidePreview(PagesDialog):
    """Looks at the guide, sets paper and blades, mends a printer's scale, and sends it to a printer or a PDF."""

    advice = " Print at 100 %, and check the bars with a ruler before you tape anything."

    def __init__(self, job: Job, folder: Path | None = None, parent: QWidget | None = None) -> None:
        super().__init__("Placement guide", job.sheet, folder, parent)
        self._job = job
        self.way = choice("How the dies lie", WAYS)
        self.way.setCurrentIndex(int(job.blades_up))
        self.across = _measure("The 100 mm bar measured")
        self.along = _measure("The upright bar measured")
        self.told = QLabel(CHECK)
        self.told.setWordWrap(True)
        side = QVBoxLayout()
        side.addLayout(self.turning())
        side.addLayout(self._form())
        side.addWidget(self.told)
        side.addStretch(1)
        self.lay_out(side, self.reject, save="&Save as PDF…")
        for box in (self.paper, self.way):
            box.currentIndexChanged.connect(self.make)
        for field in (self.across, self.along):
            field.editingFinished.connect(self.make)
        self.make()

    @property
    def job(self) -> Job:
        """The guide as it is set now."""
        return self._job

    @property
    def title(self) -> str:
        """The project's name."""
        return self._job.title

    def make(self) -> None:
        """Make the pages anew for what is set now."""
        sheet, blades_up = self._mended(self.chosen), self.way.currentIndex() == 1
        self._job = replace(self._job, sheet=sheet, blades_up=blades_up, kept={})
        self.show_pages(guide_pages(self._job))

    def write(self, path: Path, kind: str) -> Path:
        """Write the PDF; raises FileError."""
        del kind
        path = path if path.suffix.lower() == ".pdf" else path.with_name(f"{path.name}.pdf")
        write_pdf(self._job, self._pages, path)
        return path

    def _mended(self, sheet: Sheet) -> Sheet:
        """Return the sheet as a printer needs it that is known by its bars; say what was found."""
        try:
            across, along = self._length(self.across), self._length(self.along)
            if across is None:
                self.told.setText(CHECK)
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

    def _form(self) -> QFormLayout:
        form = QFormLayout()
        form.setVerticalSpacing(SPACE)
        form.setRowWrapPolicy(QFormLayout.RowWrapPolicy.WrapAllRows)
        for field in (self.paper, self.way, self.across, self.along):
            form.addRow(field.accessibleName(), field)
        return form


def _measure(name: str) -> QLineEdit:
    made = QLineEdit()
    made.setAccessibleName(name)
    made.setPlaceholderText("for example 97.3 mm")
    return made
