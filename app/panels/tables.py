"""One kind of table for everything that is needed and owned: cells that read what people write and refuse in words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import (
    QAbstractItemModel,
    QAbstractTableModel,
    QMimeData,
    QModelIndex,
    QPersistentModelIndex,
    QSize,
    Qt,
)
from PySide6.QtGui import QFont, QIcon, QResizeEvent
from PySide6.QtWidgets import QComboBox, QHeaderView, QStyledItemDelegate, QStyleOptionViewItem, QTableView, QWidget

Index = QModelIndex | QPersistentModelIndex
NOWHERE = QModelIndex()
MOST_LETTERS = 16  # width of a column beside the first
LEAST_LETTERS = 13  # width of the first, which says what a row is about


class CellError(ValueError):
    """What was written into a cell cannot be; the message says what would be understood."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column; `write` returns the changed item and raises ValueError with a sentence."""

    title: str
    read: Callable[[Any], str]
    write: Callable[[Any, str], Any] | None = None
    choices: Callable[[], Sequence[tuple[str, str]]] | None = None  # value and what it is called
    value: Callable[[Any], str] | None = None  # the chosen value, where cells are chosen
    icon: Callable[[Any], QIcon] | None = None
    number: bool = False
    tip: str = ""  # what its title means, where that does not speak for itself
    more: Callable[[Any], str] | None = None  # a line that the tool tip of a cell adds to what it shows


class ItemTable(QAbstractTableModel):
    """Rows are items of the project; an edit hands the new item on and waits for the document to tell."""

    def __init__(
        self,
        columns: Sequence[Column],
        items: Callable[[], Sequence[Any]],
        change: Callable[[int, Any, str], None],
        refuse: Callable[[str], None],
        mime: str = "",
    ) -> None:
        super().__init__()
        self.columns, self._items_now, self._change, self._refuse = tuple(columns), items, change, refuse
        self._mime = mime
        self.items: tuple[Any, ...] = ()
        self.reread()

    def reread(self) -> None:
        """Take the items of the present project; the selection stays where the number of rows does."""
        items = tuple(self._items_now())
        if len(items) == len(self.items):
            self.items = items
            if items:
                self.dataChanged.emit(self.index(0, 0), self.index(len(items) - 1, len(self.columns) - 1))
            return
        self.beginResetModel()
        self.items = items
        self.endResetModel()

    def rowCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802 (Qt's name)
        return 0 if parent.isValid() else len(self.items)

    def columnCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802 (Qt's name)
        return 0 if parent.isValid() else len(self.columns)

    def headerData(self, section: int, way: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole) -> object:  # noqa: N802
        if way != Qt.Orientation.Horizontal:
            return None
        column = self.columns[section]
        return {Qt.ItemDataRole.DisplayRole: column.title, Qt.ItemDataRole.ToolTipRole: column.tip or None}.get(role)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        column, item = self.columns[index.column()], self.items[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return column.read(item)
        if role == Qt.ItemDataRole.ToolTipRole:
            return f"{column.read(item)}\n{column.more(item) if column.more else ''}".strip()
        if role == Qt.ItemDataRole.EditRole:
            return column.value(item) if column.value else column.read(item)
        if role == Qt.ItemDataRole.DecorationRole and column.icon is not None:
            return column.icon(item)
        if role == Qt.ItemDataRole.TextAlignmentRole and column.number:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return f"{column.title}: {column.read(item)}"
        return None

    def flags(self, index: Index) -> Qt.ItemFlag:
        flags = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable
        if self.columns[index.column()].write is not None:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags | Qt.ItemFlag.ItemIsDragEnabled if self._mime else flags

    def setData(self, index: Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:  # noqa: N802
        column, item = self.columns[index.column()], self.items[index.row()]
        if role != Qt.ItemDataRole.EditRole or column.write is None:
            return False
        try:
            after = column.write(item, str(value).strip())
        except ValueError as error:
            self._refuse(str(error))
            return False
        if after != item:
            self._change(index.row(), after, column.title)
        return True

    def mimeTypes(self) -> list[str]:  # noqa: N802 (Qt's name)
        return [self._mime] if self._mime else []

    def mimeData(self, indexes: Sequence[QModelIndex]) -> QMimeData:  # noqa: N802 (Qt's name)
        data = QMimeData()
        if indexes:
            data.setData(self._mime, str(self.items[indexes[0].row()].id).encode())
        return data


class ChoiceDelegate(QStyledItemDelegate):
    """Lets cells with choices be chosen, and others be written."""

    def initStyleOption(self, option: QStyleOptionViewItem, index: Index) -> None:  # noqa: N802 (Qt's name)
        super().initStyleOption(option, index)
        option.font.setFeature(QFont.Tag("frac"), 1)
        option.textElideMode = Qt.TextElideMode.ElideMiddle  # long names often differ at their end alone

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: N802 (Qt's name)
        """Ask for no more than leaves the other columns their room; what is longer is told in full by the tool tip."""
        hint = super().sizeHint(option, index)
        return QSize(min(hint.width(), MOST_LETTERS * option.fontMetrics.averageCharWidth()), hint.height())

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:  # noqa: N802
        column = _column(index)
        if column.choices is None:
            editor = super().createEditor(parent, option, index)
            editor.setAccessibleName(column.title)
            return editor
        box = QComboBox(parent)
        box.setAccessibleName(column.title)
        for value, text in column.choices():
            box.addItem(text, value)
        return box

    def setEditorData(self, editor: QWidget, index: Index) -> None:  # noqa: N802 (Qt's name)
        if isinstance(editor, QComboBox):
            editor.setCurrentIndex(max(0, editor.findData(index.data(Qt.ItemDataRole.EditRole))))
        else:
            super().setEditorData(editor, index)

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:  # noqa: N802
        if isinstance(editor, QComboBox):
            model.setData(index, editor.currentData())
        else:
            super().setModelData(editor, model, index)


class ItemView(QTableView):
    """The table as seen; the first column takes the room that is left, and where that is too little one may scroll."""

    def __init__(self, model: ItemTable, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setModel(model)
        self.setAccessibleName(name)
        self._delegate = ChoiceDelegate(self)
        self.setItemDelegate(self._delegate)
        self.setSelectionBehavior(QTableView.SelectionBehavior.SelectRows)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        header.setHighlightSections(False)
        header.setMinimumSectionSize(28)
        header.setResizeContentsPrecision(0)  # by the rows in sight: all of a long table takes longer than a frame
        header.sectionResized.connect(self._give_names_room)
        self.setEditTriggers(
            QTableView.EditTrigger.DoubleClicked
            | QTableView.EditTrigger.EditKeyPressed
            | QTableView.EditTrigger.AnyKeyPressed
        )
        self.setDragEnabled(bool(model.mimeTypes()))

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        self._give_names_room(1)

    def _give_names_room(self, changed: int, *_: int) -> None:
        if changed == 0:
            return
        header = self.horizontalHeader()
        least = LEAST_LETTERS * self.fontMetrics().averageCharWidth() + self.iconSize().width()
        others = sum(header.sectionSize(k) for k in range(1, header.count()))
        narrow = self.viewport().width() - others < least
        header.setSectionResizeMode(0, header.ResizeMode.Fixed if narrow else header.ResizeMode.Stretch)
        if narrow:
            header.resizeSection(0, least)

    @property
    def rows(self) -> frozenset[int]:
        """Numbers of the picked rows."""
        return frozenset(index.row() for index in self.selectionModel().selectedRows())


def whole(text: str, what: str, least: int = 0) -> int:
    """Read a whole number; raises CellError."""
    try:
        number = int(text)
    except ValueError:
        number = least - 1
    if not least <= number <= 9999:
        raise CellError(f'"{text}" is no number of {what}: write a whole number from {least} to 9999')
    return number


def words(text: str, what: str) -> str:
    """Read a name; raises CellError."""
    if not text:
        raise CellError(f"A {what} needs a name.")
    return text


def _column(index: Index) -> Column:
    model = index.model()
    assert isinstance(model, ItemTable)
    return model.columns[index.column()]
