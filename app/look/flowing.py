"""Rows that break where the width ends, as words do: no large text is cut off, and none pushes its room wider."""

from __future__ import annotations

from itertools import pairwise

from PySide6.QtCore import QMargins, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QSizePolicy, QWidget

Row = list[QLayoutItem]
Flags, Policy = QSizePolicy.PolicyFlag, QSizePolicy.Policy


class Flow(QLayout):
    """Lays things side by side and begins another row where no more fit; what may grow shares what a row leaves over.

    What is left over still stands at the end of a row, or on both sides of one that is `centred`.
    """

    def __init__(self, parent: QWidget | None = None, *, gap: int, centred: bool = False) -> None:
        super().__init__(parent)
        self._centred = centred
        self._items: list[QLayoutItem] = []
        self.setContentsMargins(QMargins())
        self.setSpacing(gap)

    def addItem(self, item: QLayoutItem) -> None:  # noqa: N802 (Qt's name)
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, at: int) -> QLayoutItem | None:  # noqa: N802 (Qt's name)
        return self._items[at] if 0 <= at < len(self._items) else None

    def takeAt(self, at: int) -> QLayoutItem | None:  # noqa: N802 (Qt's name)
        return self._items.pop(at) if 0 <= at < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:  # noqa: N802 (Qt's name)
        return Qt.Orientation.Horizontal

    def hasHeightForWidth(self) -> bool:  # noqa: N802 (Qt's name)
        return True

    def heightForWidth(self, width: int) -> int:  # noqa: N802 (Qt's name)
        return self._lay(QRect(0, 0, width, 0), for_good=False)

    def setGeometry(self, room: QRect) -> None:  # noqa: N802 (Qt's name)
        super().setGeometry(room)
        self._lay(room, for_good=True)

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        shown = self._shown()
        wide = sum(item.sizeHint().width() for item in shown) + self.spacing() * max(0, len(shown) - 1)
        return self._with_margins(QSize(wide, max((item.sizeHint().height() for item in shown), default=0)))

    def minimumSize(self) -> QSize:  # noqa: N802 (Qt's name)
        sizes = [QSize(_least(item), item.minimumSize().height()) for item in self._shown()]
        wide, high = (max((side(s) for s in sizes), default=0) for side in (QSize.width, QSize.height))
        return self._with_margins(QSize(wide, high))

    def _with_margins(self, size: QSize) -> QSize:
        return size.grownBy(self.contentsMargins())

    def _shown(self) -> Row:
        return [item for item in self._items if not item.isEmpty()]

    def _lay(self, room: QRect, *, for_good: bool) -> int:
        """Lay everything within a room, or only reckon; returns the height that it takes."""
        margins = self.contentsMargins()
        inner, top = room.marginsRemoved(margins), room.top() + margins.top()
        for row in self._rows(inner.width()):
            widths = self._widths(row, inner.width())
            high = max(_height(item, width) for item, width in zip(row, widths, strict=True))
            if for_good:
                self._place(row, widths, QRect(inner.left(), top, inner.width(), high))
            top += high + self.spacing()
        return max(top - self.spacing(), room.top() + margins.top()) + margins.bottom() - room.top()

    def _rows(self, width: int) -> list[Row]:
        rows: list[Row] = []
        left = 0
        for item in self._shown():
            left -= self.spacing() + _least(item)
            if not rows or left < 0:
                rows.append([])
                left = width - _least(item)
            rows[-1].append(item)
        return rows

    def _widths(self, row: Row, width: int) -> list[int]:
        widths = [min(_least(item), width) for item in row]
        growing = [k for k, item in enumerate(row) if item.expandingDirections() & Qt.Orientation.Horizontal]
        over = width - sum(widths) - self.spacing() * (len(row) - 1)
        ends = [round(over * k / len(growing)) for k in range(len(growing) + 1)] if growing and over > 0 else []
        for k, (begin, end) in zip(growing, pairwise(ends), strict=False):
            widths[k] = min(widths[k] + end - begin, row[k].maximumSize().width())
        return widths

    def _place(self, row: Row, widths: list[int], room: QRect) -> None:
        """Lay a row; what may not grow in height stands at its foot, as a button beside fields with names over them."""
        over = room.width() - sum(widths) - self.spacing() * (len(row) - 1)
        left = room.left() + (over // 2 if self._centred else 0)
        for item, width in zip(row, widths, strict=True):
            grows = item.widget() is not None and _may_grow(item.widget().sizePolicy().verticalPolicy())
            high = room.height() if grows else _height(item, width)
            item.setGeometry(QRect(left, room.top() + room.height() - high, width, high))
            left += width + self.spacing()


def _least(item: QLayoutItem) -> int:
    """Return how wide a thing is at least where it begins a row or stands in one."""
    widget = item.widget()
    if widget is not None and _may_shrink(widget.sizePolicy().horizontalPolicy()):
        return item.minimumSize().width()
    return max(item.sizeHint().width(), item.minimumSize().width())


def _height(item: QLayoutItem, width: int) -> int:
    return item.heightForWidth(width) if item.hasHeightForWidth() else item.sizeHint().height()


def _may_grow(policy: Policy) -> bool:
    return bool(policy.value & Flags.GrowFlag.value)


def _may_shrink(policy: Policy) -> bool:
    return bool(policy.value & (Flags.ShrinkFlag.value | Flags.IgnoreFlag.value))
