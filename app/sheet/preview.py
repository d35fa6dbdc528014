"""The project sheet on screen before it is printed, and the person's own steps that stand on it."""

from __future__ import annotations

import base64
from pathlib import Path

from PySide6.QtWidgets import QCheckBox, QFileDialog, QLabel, QPlainTextEdit, QVBoxLayout, QWidget

from app.document.asking import ask
from app.document.document import Document
from app.guide.pagesdialog import PagesDialog, button
from app.guide.sheet import usual_sheet
from app.sheet.book import sheet_pages, write_pdf, write_pictures
from app.sheet.job import OWN_STEPS, SheetJob
from app.sheet.work import read_picture
from layout.geometry.value import replace
from layout.model.project import Project

MOST_PICTURE = 4_000_000
KINDS = {".png": "png", ".jpg": "jpeg", ".jpeg": "jpeg"}


class SheetPreview(PagesDialog):
    """Looks at the project sheet, sets paper, colour and template, takes own steps, and prints or saves it."""

    kinds = "PDF (*.pdf);;Pictures (*.png)"

    def __init__(self, document: Document, folder: Path | None = None, parent: QWidget | None = None) -> None:
        super().__init__("Project sheet", usual_sheet(), folder, parent)
        self._document = document
        self.colour = QCheckBox("In colour")
        self.colour.setChecked(True)
        self.template = QCheckBox("With the blanks at true size")
        self.steps = QPlainTextEdit("\n".join(words for words, _ in self._own()))
        self.steps.setAccessibleName("Your own steps, one a line")
        self.steps.setPlaceholderText("for example: Tie the ribbon twice round the box")
        self.steps.setTabChangesFocus(True)
        self.lay_out(self._side(), self.accept, save="Sa&ve…")
        self.paper.currentIndexChanged.connect(self.make)
        for box in (self.colour, self.template):
            box.toggled.connect(self.make)
        self.steps.textChanged.connect(self.make)
        self.make()

    @property
    def job(self) -> SheetJob:
        """The sheet as it is set now."""
        document = self._document
        colour, template = self.colour.isChecked(), self.template.isChecked()
        own = replace(self._with_steps(), name=document.name)
        return SheetJob(own, document.plan, self.chosen, unit=document.unit, colour=colour, template=template)

    @property
    def title(self) -> str:
        """The project's name."""
        return self.job.title

    def make(self) -> None:
        """Make the pages anew for what is set now."""
        self.show_pages(sheet_pages(self.job))

    def done(self, result: int) -> None:
        """Keep the own steps in the project as one undo step, then close."""
        project = self._with_steps()
        if project != self._document.project:
            ask(self._document, "Change of the order of work", project, counts=False)
        super().done(result)

    def write(self, path: Path, kind: str) -> Path:
        """Write the PDF, or a folder with a picture of every page; raises FileError."""
        if "png" in kind:
            path = path.with_suffix("")
            write_pictures(self._pages, path)
        else:
            path = path if path.suffix.lower() == ".pdf" else path.with_name(f"{path.name}.pdf")
            write_pdf(self.job, self._pages, path)
        return path

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

    def _side(self) -> QVBoxLayout:
        side = QVBoxLayout()
        side.addLayout(self.turning())
        for name, field in (("P&aper in the printer", self.paper), ("Your own &steps, one a line", self.steps)):
            label = QLabel(name)
            label.setBuddy(field)
            side.addWidget(label)
            side.addWidget(field)
        side.addWidget(button("Picture for this step…", self.ask_for_picture))
        side.addWidget(self.colour)
        side.addWidget(self.template)
        return side
