"""The passes in their order, those that are done before those to come, as lists show them and readers hear them."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QAbstractListModel, QMimeData, QModelIndex, Qt

from app.document.document import Document
from app.panels.ticked import DONE, PASS, caption, done_caption, done_passes, done_words

PASS_MIME = "application/x-plateful-pass"
DONE_ROLE = Qt.ItemDataRole.UserRole


class PassModel(QAbstractListModel):
    """The passes that are done, then every run of every layout in the order of the plan.

    A row's place is (layout, run); a pass that is done has DONE for its layout and its number among those for run.
    """

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._places: list[tuple[int, int]] = []
        self.reread()

    def reread(self) -> None:
        """Take the runs of the present plan."""
        self.beginResetModel()
        layouts = enumerate(self._document.plan.layouts)
        done = [(DONE, i) for i in range(len(done_passes(self._document.project)))]
        self._places = done + [(i, j) for i, layout in layouts for j in range(max(1, len(layout.runs)))]
        self.endResetModel()

    def place(self, row: int) -> tuple[int, int]:
        """Return layout and run of a row."""
        return self._places[row]

    def row_of(self, layout: int, run: int) -> int:
        """Return the row of a layout's run, -1 where there is none."""
        return self._places.index((layout, run)) if (layout, run) in self._places else -1

    def flags(self, index: QModelIndex) -> Qt.ItemFlag:
        return super().flags(index) | (
            Qt.ItemFlag.ItemIsDragEnabled if index.isValid() else Qt.ItemFlag.ItemIsDropEnabled
        )

    def mimeTypes(self) -> list[str]:  # noqa: N802 (Qt's name)
        return [PASS_MIME]

    def mimeData(self, indexes: Sequence[QModelIndex]) -> QMimeData:  # noqa: N802 (Qt's name)
        data = QMimeData()
        if indexes:
            data.setData(PASS_MIME, str(indexes[0].row()).encode())
        return data

    def rowCount(self, parent: QModelIndex | None = None) -> int:  # noqa: ARG002, N802 (Qt's name)
        return len(self._places)

    def data(self, index: QModelIndex, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        layout, run = self._places[index.row()]
        if role == DONE_ROLE:
            return layout == DONE
        if role not in _TOLD:
            return None
        number = f"{PASS} {index.row() + 1}"
        if layout == DONE:
            record = done_passes(self._document.project)[run]
            words = done_words(self._document.project, record)
            return done_caption(index.row()) if role == Qt.ItemDataRole.DisplayRole else f"{number}: {words}"
        shown = self._document.plan.layouts[layout]
        if role == Qt.ItemDataRole.DisplayRole:
            return caption(index.row(), shown.id)
        cuts = len(shown.runs[run].cuts) if run < len(shown.runs) else 0
        return f"{number}: layout {shown.id}, run {run + 1} of {len(shown.runs)}, {cuts} dies cut, not done"


_TOLD = (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.ToolTipRole, Qt.ItemDataRole.AccessibleTextRole)
