"""What the workshop's list shows: one row a thing, its picture made when it is first seen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractListModel, QModelIndex, QPersistentModelIndex, Qt, QTimer
from PySide6.QtGui import QIcon

from app.canvas.paths import path_of
from app.look.shapes import shape_icon
from app.look.tokens import LIGHT, Look
from app.workshop.photos import photo_icon
from layout.geometry.outline import Outline

Index = QModelIndex | QPersistentModelIndex
NOWHERE = QModelIndex()
ID_ROLE = Qt.ItemDataRole.UserRole
AT_ONCE = 12  # pictures made between two looks at mouse and keys


@dataclass(frozen=True, slots=True)
class Row:
    """One thing as the list shows it."""

    id: str
    name: str
    told: str  # kind, size and count in words
    pictured: bool = True
    ground: str = ""  # the colour of its paper, none for metal


class RowModel(QAbstractListModel):
    """The rows found; a picture is asked for when a row is painted, and made when nothing else is to do."""

    def __init__(
        self, outline_of: Callable[[str], Outline | None], photo_of: Callable[[str], bytes | None] = lambda _: None
    ) -> None:
        super().__init__()
        self._outline_of, self._photo_of = outline_of, photo_of
        self.rows: tuple[Row, ...] = ()
        self.look: Look = LIGHT
        self._pictures: dict[str, QIcon] = {}
        self._asked: dict[str, None] = {}
        self._idle = QTimer(self)
        self._idle.setSingleShot(True)
        self._idle.timeout.connect(self._make_some)
        self._empty = QIcon()

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show other rows; pictures made before are kept."""
        self.beginResetModel()
        self.rows = tuple(rows)
        self._asked.clear()
        self.endResetModel()

    def forget(self, thing: str | None = None) -> None:
        """Make the picture of one thing, or all pictures, anew."""
        self._pictures = {} if thing is None else {k: v for k, v in self._pictures.items() if k != thing}

    @property
    def pictures(self) -> int:
        """How many pictures are made."""
        return len(self._pictures)

    def row_of(self, thing: str) -> int:
        """Return the row of a thing, -1 where it is not shown."""
        return next((at for at, row in enumerate(self.rows) if row.id == thing), -1)

    def rowCount(self, parent: Index = NOWHERE) -> int:  # noqa: N802 (Qt's name)
        return 0 if parent.isValid() else len(self.rows)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        row = self.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return f"{row.name}\n{row.told}"
        if role in (Qt.ItemDataRole.AccessibleTextRole, Qt.ItemDataRole.ToolTipRole):
            return f"{row.name}, {row.told}"
        if role == Qt.ItemDataRole.DecorationRole and row.pictured:
            return self._picture(row.id)
        return row.id if role == ID_ROLE else None

    def _picture(self, thing: str) -> QIcon:
        made = self._pictures.get(thing)
        if made is None:
            self._asked[thing] = None
            self._idle.start(0)
            return self._empty
        return made

    def _make_some(self) -> None:
        for thing in list(self._asked)[:AT_ONCE]:
            del self._asked[thing]
            at = self.row_of(thing)
            self._pictures[thing] = self._made(thing, self.rows[at].ground if at >= 0 else "")
            if at >= 0:
                self.dataChanged.emit(self.index(at), self.index(at), [Qt.ItemDataRole.DecorationRole])
        if self._asked:
            self._idle.start(0)

    def _made(self, thing: str, ground: str) -> QIcon:
        """Return the photo that she gave the thing, else its outline drawn."""
        photo = self._photo_of(thing)
        if photo is not None and (icon := photo_icon(photo)) is not None:
            return icon
        outline = self._outline_of(thing)
        return self._drawn(outline, ground) if outline is not None else QIcon()

    def _drawn(self, outline: Outline, ground: str) -> QIcon:
        return shape_icon(path_of(outline), ground or self.look.metal_dark, self.look.text)
