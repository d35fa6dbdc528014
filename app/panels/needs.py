"""What the project needs and what is owned: pieces, drawer, heap, papers, machine, each on its own leaf."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QPushButton, QTabWidget, QVBoxLayout, QWidget

from app.canvas.canvas import DIE_MIME, SCRAP_MIME
from app.document.asking import ask, removed, replaced
from app.document.document import Document
from app.document.selection import Selection
from app.look.tokens import LIGHT, Look
from app.panels.adding import Adding, AddPiece, AddScrap, AddShape
from app.panels.columns import Columns
from app.panels.leaf import LEAST_ROWS, Leaf
from app.panels.lying import Lying
from app.panels.machine import MachineForm
from app.panels.paperbox import new_paper
from app.panels.tables import Column, ItemTable, ItemView
from layout.geometry.value import replace

if TYPE_CHECKING:
    from app.chores import Chores

LEAVES = ("Needed", "Drawer", "Heap", "Papers", "Machine", "On the plate")
FIELD_LEAVES = {"wanted": 0, "dies": 1, "punches": 1, "scraps": 2, "papers": 3}


class Needs(QTabWidget):
    """Every leaf reads the document and asks it for changes."""

    put_on_asked = Signal(str)
    lay_asked = Signal(str)
    way_in_asked = Signal()
    scrap_asked = Signal(object)  # the number of a scrap to be mended, None to draw a new one
    refused = Signal(str)

    def __init__(self, document: Document, selection: Selection, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._document, self._selection = document, selection
        self._columns = Columns(document)
        self._look, self._text_scale = LIGHT, 1.0
        self._tables: list[ItemTable] = []
        self._views: dict[str, ItemView] = {}
        self.setAccessibleName("Needed and owned")
        self.setDocumentMode(True)
        self.tabBar().setExpanding(False)
        self.tabBar().setDrawBase(False)
        self.setUsesScrollButtons(True)
        # A leaf is made when it is first turned to: making all of them would slow every start.
        self._makers = [self._needed, self._drawer, self._heap, self._papers, self._machine, self._lying]
        self._made: set[int] = set()
        for title in LEAVES:
            self.addTab(QWidget(), title)
        self.currentChanged.connect(self._turned)
        self._make(0)
        self.chores: Chores | None = None  # where a new plan may be read when nothing else is to do
        for signal in (document.replaced, document.project_changed):
            signal.connect(self.refresh)
        document.plan_changed.connect(self._plan_changed)

    def view(self, field: str) -> ItemView:
        """Return the table of a field of the project, turning to its leaf."""
        self.setCurrentIndex(FIELD_LEAVES[field])
        return self._views[field]

    def set_look(self, look: Look, text_scale: float) -> None:
        """Show the leaves in a look at a text size."""
        self._look, self._text_scale = look, text_scale
        self._columns.look = look
        for view in self._views.values():
            self._fit(view)
        self.refresh()

    def refresh(self) -> None:
        """Read the document again."""
        for table in self._tables:
            table.reread()

    def _plan_changed(self) -> None:
        """Of all the tables only that of the pieces shows what the plan makes."""
        table = self._tables[0]
        if self.chores is None:
            table.reread()
        else:
            self.chores.call("pieces made", table.reread)

    # ---- leaves -------------------------------------------------------------------------------------------------

    def _turned(self, at: int) -> None:
        """Show a leaf; a keyboard that was on the leaf before goes on to the new one's list."""
        self._make(at)
        held, lists = self.window().focusWidget(), self.widget(at).findChildren(ItemView)
        if lists and (held is None or held.focusPolicy() == Qt.FocusPolicy.NoFocus or not held.isVisible()):
            lists[0].setFocus(Qt.FocusReason.TabFocusReason)

    def _make(self, at: int) -> None:
        if at in self._made:
            return
        self._made.add(at)
        around = QVBoxLayout(self.widget(at))
        around.setContentsMargins(0, 0, 0, 0)
        around.addWidget(self._makers[at]())

    def _needed(self) -> Leaf:
        wanted = self._table("wanted", "Pieces a kit needs", self._columns.wanted())
        return Leaf([wanted, [self._remove("wanted")], self._form(AddPiece(self._document))], 2, "Add…")

    def _drawer(self) -> Leaf:
        dies = self._table("dies", "Dies in the drawer", self._columns.dies(), DIE_MIME)
        punches = self._table("punches", "Hand punches", self._columns.punches())
        onto = self._button("Put on the plate", lambda: self._ask_each("dies", self.put_on_asked))
        add = self._form(AddShape(self._document))
        brought = self._button("Bring in…", self.way_in_asked.emit)
        brought.setToolTip("From a scan, a photo or a drawing, or by size (Ctrl+B)")
        buttons = [onto, brought, self._remove("dies")]
        return Leaf([dies, buttons, add, punches, [self._remove("punches")]], 2, "Add, punches…")

    def _heap(self) -> Leaf:
        heap = self._table("scraps", "Heap of scraps", self._columns.scraps(), SCRAP_MIME)
        lay = self._button("Lay on the plate", lambda: self._ask_each("scraps", self.lay_asked))
        brought = self._button("Bring in…", self.way_in_asked.emit)
        brought.setToolTip("From a scan or a photo (Ctrl+B)")
        draw = self._button("Draw…", lambda: self.scrap_asked.emit(None))
        draw.setToolTip("A scrap of any shape, by its corners")
        mend = self._button("Mend…", self._mend_scrap)
        mend.setToolTip("Corners, stains and stamped images of the scrap that is picked")
        form = self._form(AddScrap(self._document))
        return Leaf([heap, [lay, brought, self._remove("scraps")], [draw, mend], form], 3, "Add…")

    def _mend_scrap(self) -> None:
        rows = sorted(self._views["scraps"].rows)
        if rows:
            self.scrap_asked.emit(rows[0])
        else:
            self.refused.emit("Pick the scrap to mend first.")

    def _papers(self) -> Leaf:
        papers = self._table("papers", "Papers", self._columns.papers_table())
        return Leaf([papers, [self._button("Add a paper", self._add_paper), self._remove("papers")]], 2)

    def _machine(self) -> Leaf:
        return Leaf([self._form(MachineForm(self._document))], 1)

    def _lying(self) -> Leaf:
        return Leaf([Lying(self._document, self._selection, self._columns)], 1)

    def _form(self, form: Adding | MachineForm) -> QWidget:
        form.refused.connect(self.refused)
        return form

    def _table(self, field: str, name: str, columns: Sequence[Column], mime: str = "") -> ItemView:
        table = ItemTable(
            columns,
            lambda: getattr(self._document.project, field),
            lambda at, item, title: self._change(field, at, item, title),
            self.refused.emit,
            mime,
        )
        self._tables.append(table)
        view = self._views[field] = ItemView(table, name)
        self._fit(view)
        return view

    def _fit(self, view: ItemView) -> None:
        side = round(20 * self._text_scale)
        view.setIconSize(QSize(side, side))
        row = round(30 * self._text_scale)
        view.verticalHeader().setDefaultSectionSize(row)
        view.setMinimumHeight(LEAST_ROWS * row)
        if view is self._views.get("punches"):
            view.setMaximumHeight((LEAST_ROWS + 1) * row)  # few own many: the room is for the dies

    def _button(self, text: str, press: Callable[[], None]) -> QPushButton:
        button = QPushButton(text)
        button.clicked.connect(press)
        return button

    def _remove(self, field: str) -> QPushButton:
        button = self._button("Remove", lambda: self._remove_rows(field))
        button.setAccessibleName(f"Remove what is picked from: {self._views[field].accessibleName()}")
        return button

    def _change(self, field: str, at: int, item: Any, title: str) -> None:
        project = self._document.project
        after = replace(project, **{field: replaced(getattr(project, field), at, item)})
        ask(self._document, f"Change of {title.lower()}", after, counts=title not in ("Die", "Punch", "Scrap"))

    def _remove_rows(self, field: str) -> None:
        project, rows = self._document.project, self._views[field].rows
        if not rows:
            self.refused.emit("Pick the rows to remove first.")
            return
        after = replace(project, **{field: removed(getattr(project, field), rows)})
        used = _still_used(after)
        if used:
            self.refused.emit(used)
            return
        ask(self._document, f"Removal from {self._views[field].accessibleName().lower()}", after)

    def _add_paper(self) -> None:
        project = self._document.project
        name = f"paper {len(project.papers) + 1}"
        papers = (*project.papers, new_paper(project, name))
        ask(self._document, "Addition of a paper", replace(project, papers=papers), counts=False)
        view = self._views["papers"]
        view.setFocus()
        view.edit(view.model().index(len(project.papers), 0))

    def _ask_each(self, field: str, signal: Any) -> None:
        rows = sorted(self._views[field].rows)
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
