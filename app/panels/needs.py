"""What the project needs and what is owned: pieces, drawer, heap, papers, machine, each on its own leaf."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QTabWidget, QVBoxLayout, QWidget

from app.document.asking import ask, free_id, removed, replaced
from app.document.document import Document
from app.look.tokens import GAP, SPACE, Look
from app.panels.adding import AddPiece, AddScrap, AddShape
from app.panels.columns import Columns
from app.panels.machine import MachineForm
from app.panels.tables import Column, ItemTable, ItemView
from layout.model.project import Paper

DIE_MIME = "application/x-plateful-die"
SCRAP_MIME = "application/x-plateful-scrap"
USUAL_GRAMMAGE, USUAL_CALIPER = 216.0, 0.25


class Needs(QTabWidget):
    """Every leaf reads the document and asks it for changes."""

    put_on_asked = Signal(str)
    lay_asked = Signal(str)
    refused = Signal(str)

    def __init__(self, document: Document, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._columns = Columns(document)
        self._tables: list[ItemTable] = []
        self.views: dict[str, ItemView] = {}
        self.setAccessibleName("Needed and owned")
        self.setDocumentMode(True)
        self.tabBar().setExpanding(False)
        self.setUsesScrollButtons(True)
        self.pieces, self.scrap, self.shape = AddPiece(document), AddScrap(document), AddShape(document)
        self.machine = MachineForm(document)
        self._make_leaves()
        for refuses in (self.pieces, self.scrap, self.shape, self.machine):
            refuses.refused.connect(self.refused)
        for signal in (document.replaced, document.project_changed, document.plan_changed):
            signal.connect(self.refresh)

    def set_look(self, look: Look, text_scale: float) -> None:
        """Show the leaves in a look at a text size."""
        self._columns.look = look
        side = round(20 * text_scale)
        for view in self.views.values():
            view.setIconSize(QSize(side, side))
            view.verticalHeader().setDefaultSectionSize(round(30 * text_scale))
        self.refresh()

    def refresh(self) -> None:
        """Read the document again."""
        for table in self._tables:
            table.reread()

    def _make_leaves(self) -> None:
        columns = self._columns
        wanted = self._view("wanted", "Pieces a kit needs", columns.wanted())
        self._leaf("Needed", [wanted, self._remove("wanted"), self.pieces])
        dies = self._view("dies", "Dies in the drawer", columns.dies(), DIE_MIME)
        punches = self._view("punches", "Hand punches", columns.punches())
        onto = self._button("Put on the plate", lambda: self._ask_each("dies", self.put_on_asked))
        self._leaf("Drawer", [dies, onto, self._remove("dies"), self.shape, punches, self._remove("punches")])
        heap = self._view("scraps", "Heap of scraps", columns.scraps(), SCRAP_MIME)
        lay = self._button("Lay on the plate", lambda: self._ask_each("scraps", self.lay_asked))
        self._leaf("Heap", [heap, lay, self._remove("scraps"), self.scrap])
        papers = self._view("papers", "Papers", columns.papers_table())
        self._leaf("Papers", [papers, self._button("Add a paper", self._add_paper), self._remove("papers")])
        self._leaf("Machine", [self.machine])
        self.views["punches"].setMaximumHeight(130)

    def _view(self, field: str, name: str, columns: Sequence[Column], mime: str = "") -> ItemView:
        table = ItemTable(
            columns,
            lambda: getattr(self._document.project, field),
            lambda at, item, title: self._change(field, at, item, title),
            self.refused.emit,
            mime,
        )
        self._tables.append(table)
        view = self.views[field] = ItemView(table, name)
        return view

    def _leaf(self, title: str, parts: Sequence[QWidget]) -> None:
        leaf = QWidget()
        box = QVBoxLayout(leaf)
        box.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        box.setSpacing(SPACE - 2)
        row: QHBoxLayout | None = None
        for part in parts:
            if isinstance(part, QPushButton):
                if row is None:
                    row = QHBoxLayout()
                    row.setSpacing(GAP)
                    box.addLayout(row)
                row.addWidget(part, 0, Qt.AlignmentFlag.AlignLeft)
                continue
            if row is not None:
                row.addStretch(1)
                row = None
            box.addWidget(part, 1 if isinstance(part, ItemView) else 0)
        if row is not None:
            row.addStretch(1)
        if not any(isinstance(part, ItemView) for part in parts):
            box.addStretch(1)
        self.addTab(leaf, title)

    def _button(self, text: str, press: Callable[[], None]) -> QPushButton:
        button = QPushButton(text)
        button.clicked.connect(press)
        return button

    def _remove(self, field: str) -> QPushButton:
        button = self._button("Remove", lambda: self._remove_rows(field))
        button.setAccessibleName(f"Remove what is picked from: {self.views[field].accessibleName()}")
        return button

    def _change(self, field: str, at: int, item: Any, title: str) -> None:
        project = self._document.project
        after = replace(project, **{field: replaced(getattr(project, field), at, item)})
        ask(self._document, f"Change of {title.lower()}", after, counts=title not in ("Die", "Punch", "Scrap"))

    def _remove_rows(self, field: str) -> None:
        project, rows = self._document.project, self.views[field].rows
        if not rows:
            self.refused.emit("Pick the rows to remove first.")
            return
        after = replace(project, **{field: removed(getattr(project, field), rows)})
        used = _still_used(after)
        if used:
            self.refused.emit(used)
            return
        ask(self._document, f"Removal from {self.views[field].accessibleName().lower()}", after)

    def _add_paper(self) -> None:
        project = self._document.project
        name = f"paper {len(project.papers) + 1}"
        new = Paper(free_id([p.id for p in project.papers], name), name, USUAL_GRAMMAGE, USUAL_CALIPER)
        ask(self._document, "Addition of a paper", replace(project, papers=(*project.papers, new)), counts=False)
        view = self.views["papers"]
        view.setFocus()
        view.edit(view.model().index(len(project.papers), 0))

    def _ask_each(self, field: str, signal: Any) -> None:
        rows = sorted(self.views[field].rows)
        if not rows:
            self.refused.emit("Pick what to lay on the plate first.")
        for row in rows:
            signal.emit(getattr(self._document.project, field)[row].id)


def _still_used(project: Any) -> str:
    """Return the sentence that refuses a removal, empty where nothing hangs on what was removed."""
    shapes = {s.id for s in (*project.dies, *project.punches, *project.panels)}
    papers = {p.id for p in project.papers}
    if any(w.shape not in shapes for w in project.wanted):
        return "A piece that is needed is cut with it; remove that piece first."
    if any(s.paper not in papers for s in project.scraps) or any(
        w.paper not in (None, *papers) for w in project.wanted
    ):
        return "Scraps or pieces are of this paper; remove them or give them another paper first."
    return ""
