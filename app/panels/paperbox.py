"""A box that chooses a paper, or takes the name of one that the project does not have yet."""

from __future__ import annotations

from PySide6.QtWidgets import QComboBox

from app.document.asking import free_id
from app.panels.tables import CellError
from layout.geometry.value import replace
from layout.model.project import Paper, Project

USUAL_GRAMMAGE, USUAL_CALIPER = 216.0, 0.25


class PaperBox(QComboBox):
    """Offers the papers by name; another name may be written."""

    def __init__(self) -> None:
        super().__init__()
        self.setEditable(True)
        self.setInsertPolicy(QComboBox.InsertPolicy.NoInsert)
        self.setCompleter(None)  # it would turn a new name that begins like a known one into the known one
        self.setToolTip("Choose a paper, or write the name of a new one")
        self.lineEdit().setPlaceholderText("name of the paper")

    def setAccessibleName(self, name: str) -> None:  # noqa: N802 (Qt's name)
        """Name the field inside as well: it is what a screen reader stands in."""
        super().setAccessibleName(name)
        self.lineEdit().setAccessibleName(name)

    def offer(self, papers: tuple[Paper, ...]) -> None:
        """Offer these papers, keeping what is chosen or written."""
        if [(self.itemData(i), self.itemText(i)) for i in range(self.count())] == [(p.id, p.name) for p in papers]:
            return
        written, paper = self.written, self.currentData()
        known = self.findText(written) >= 0
        self.clear()
        for paper_now in papers:
            self.addItem(paper_now.name, paper_now.id)
        self.setCurrentIndex(max(0, self.findData(paper)) if known or not written else -1)
        if not known and written:
            self.setEditText(written)

    def choose(self, paper: str) -> None:
        """Choose a paper by its id."""
        self.setCurrentIndex(self.findData(paper))

    @property
    def written(self) -> str:
        """The name that stands in the box."""
        return " ".join(self.currentText().split())

    def known(self, project: Project) -> Paper | None:
        """Return the project's paper of the name that stands here, whatever its capitals; None where it has none."""
        name = self.written
        if self.currentIndex() >= 0 and name == " ".join(self.itemText(self.currentIndex()).split()):
            return next((p for p in project.papers if p.id == self.currentData()), None)  # two may share a name
        return next((p for p in project.papers if p.name.casefold() == name.casefold()), None)

    def taken(self, project: Project) -> tuple[Project, Paper]:
        """Return the paper that stands here, and the project with it; raises CellError where no name does."""
        paper = self.known(project)
        if paper is not None:
            return project, paper
        if not self.written:
            raise CellError("A scrap is of some paper: choose one, or write the name of a new one.")
        paper = new_paper(project, self.written)
        return replace(project, papers=(*project.papers, paper)), paper


def new_paper(project: Project, name: str) -> Paper:
    """Return a paper of the usual weight and thickness that the project does not have yet."""
    return Paper(free_id([p.id for p in project.papers], name), name, USUAL_GRAMMAGE, USUAL_CALIPER)


def new_paper_words(paper: Paper) -> str:
    """Say what a paper that is known by its name alone is taken for."""
    return f"{paper.name} is a new paper, taken for {paper.grammage:g} g/m²; the leaf Papers changes that."
