"""The plate in words: every die and sheet of the pass looked at, where it lies and what it does."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QItemSelection, QItemSelectionModel
from PySide6.QtGui import QIcon

from app.canvas.scene import DieItem, Scene, ScrapItem, scene_of
from app.document.document import Document
from app.document.selection import Selection
from app.panels.columns import NUMBER, NUMBER_TIP
from app.panels.tables import Column, ItemTable, ItemView
from layout.geometry.units import format_length

if TYPE_CHECKING:
    from app.panels.columns import Columns

Item = DieItem | ScrapItem


class Lying(ItemView):
    """A table of what lies on the plate, for eyes and for screen readers."""

    def __init__(self, document: Document, selection: Selection, columns: Columns) -> None:
        self._document, self._selection, self._icons = document, selection, columns
        self._scene = Scene(document.project.machine)
        self._following = False
        self._table = ItemTable(self._columns(), self._items, lambda *_: None, lambda _: None)
        super().__init__(self._table, "What lies on the plate")
        for signal in (document.replaced, document.plan_changed, document.project_changed, selection.moved):
            signal.connect(self.refresh)
        selection.changed.connect(self._follow)
        self.selectionModel().selectionChanged.connect(self._picked)
        self._follow()

    def refresh(self) -> None:
        """Read the pass again."""
        self._table.reread()
        self._follow()

    def _items(self) -> Sequence[Item]:
        s = self._selection
        self._scene = scene_of(self._document.project, self._document.plan, s.layout, s.run)
        return (*self._scene.dies, *self._scene.scraps)

    def _columns(self) -> list[Column]:
        return [
            Column("Thing", lambda i: i.name, icon=self._icon),
            Column(NUMBER, lambda i: str(i.number) if isinstance(i, DieItem) else "", number=True, tip=NUMBER_TIP),
            Column("Left", lambda i: self._length(self._middle(i)[0]), number=True),
            Column("Near end", lambda i: self._length(self._middle(i)[1]), number=True),
            Column("Turn", lambda i: f"{i.pose.turn % 360:.0f}°", number=True),
            Column("Cuts", self._does),
        ]

    def _icon(self, item: Item) -> QIcon:
        return self._icons.tool_icon(item.die) if isinstance(item, DieItem) else self._icons.scrap_icon(item.scrap)

    def _does(self, item: Item) -> str:
        if isinstance(item, ScrapItem):
            words = f"{item.sheets} sheets" if item.sheets > 1 else "1 sheet"
        elif item.cut_from is None:
            words = "lifted off"
        else:
            words = f"{self._scene.scraps[item.cut_from].look.name}"
        return f"{words}, held" if item.held else words

    def _middle(self, item: Item) -> tuple[float, float]:
        box = (item.cut if isinstance(item, DieItem) else item.shape).boundingRect()
        return box.center().x(), box.center().y()

    def _length(self, mm: float) -> str:
        return format_length(mm, self._document.unit, with_unit=False)

    def _follow(self) -> None:
        """Pick here what is picked on the plate."""
        dies = len(self._scene.dies)
        rows = [*self._selection.dies, *(dies + i for i in self._selection.scraps)]
        chosen = QItemSelection()
        for row in rows:
            if row < len(self._table.items):
                chosen.select(self._table.index(row, 0), self._table.index(row, self._table.columnCount() - 1))
        self._following = True
        self.selectionModel().select(chosen, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        self._following = False

    def _picked(self) -> None:
        if self._following:
            return
        dies = len(self._scene.dies)
        rows = self.rows
        self._selection.pick(frozenset(r for r in rows if r < dies), frozenset(r - dies for r in rows if r >= dies))
