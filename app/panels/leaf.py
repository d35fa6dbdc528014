"""One leaf beside the plate: a list over its forms, and where both find no room, one at a time."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QLayout, QPushButton, QTabWidget, QToolButton, QVBoxLayout, QWidget

from app.look.flowing import Flow
from app.look.scrolling import Column, scrolled
from app.look.tokens import GAP, SPACE
from app.panels.tables import ItemView

BETWEEN = SPACE - 2
LEAST_ROWS = 3  # lines that a list keeps with its head, where a leaf is too high for the window
WAYS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1}
LAID_ANEW = (QEvent.Type.Resize, QEvent.Type.StyleChange, QEvent.Type.FontChange)
SHORT = {"On the plate": "Plate"}

Part = QWidget | list[QPushButton]


class Leaf(Column):
    """The first `listed` parts are the list and what is done with its rows; the others fold away where it is low."""

    def __init__(self, parts: list[Part], listed: int, more: str = "") -> None:
        super().__init__()
        self.more, self.back = QPushButton(more), QPushButton("Back to the list")
        self.more.clicked.connect(lambda: self.turn(to_list=False))
        self.back.clicked.connect(lambda: self.turn(to_list=True))
        self._folded, self._to_list = False, True
        first, rest = parts[:listed], parts[listed:]
        if rest:
            first, rest = _with_button(first, self.more), [[self.back], *rest]
        self._pages = [_page(first), _page(rest)]
        column = QVBoxLayout()
        column.setContentsMargins(SPACE, SPACE, SPACE, SPACE)
        column.setSpacing(BETWEEN)
        holds_list = any(isinstance(part, ItemView) for part in parts)
        column.addWidget(self._pages[0], int(holds_list))
        column.addWidget(self._pages[1], 0, Qt.AlignmentFlag.AlignTop)
        if not holds_list:
            column.addStretch(1)
        scrolled(column, self)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # it follows the keyboard through what is in it
        self._pages[1].setVisible(bool(rest))
        for button in (self.more, self.back):
            button.hide()
        if rest:
            self.viewport().installEventFilter(self)

    def turn(self, *, to_list: bool) -> None:
        """Show the list, or the forms in its place, and put the keyboard there."""
        self._to_list = to_list
        self._show()
        (self.more if to_list else self.back).setFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's name)
        if watched is self.viewport() and event.type() == QEvent.Type.Resize:
            self._fold()
        return super().eventFilter(watched, event)

    def _fold(self) -> None:
        folded = self.viewport().height() < self._need()
        if folded != self._folded:
            self._folded = folded
            self._show()

    def _show(self) -> None:
        for page, is_list in zip(self._pages, (True, False), strict=True):
            page.setVisible(not self._folded or is_list == self._to_list)
        for button in (self.more, self.back):
            button.setVisible(self._folded)

    def _need(self) -> int:
        """Return how high list and forms are together, without the buttons that turn from one to the other."""
        wide = self.viewport().width() - 2 * SPACE
        own = (self.more, self.back)
        return sum(_height(page.layout(), wide, own) for page in self._pages) + BETWEEN + 2 * SPACE


class LeafTitles(QWidget):
    """The titles of the leaves as buttons on several rows, in place of tabs that find no room side by side."""

    def __init__(self, leaves: QTabWidget) -> None:
        super().__init__()
        self._leaves = leaves
        self.setAccessibleName(leaves.accessibleName())
        row = Flow(self, gap=0)
        row.setContentsMargins(SPACE, GAP, SPACE, 0)
        self.buttons = [self._button(at) for at in range(leaves.count())]
        for button in self.buttons:
            row.addWidget(button)
        leaves.currentChanged.connect(self._follow)
        self._follow(leaves.currentIndex())
        self.hide()
        leaves.installEventFilter(self)

    def _button(self, at: int) -> QToolButton:
        button = QToolButton()
        title = self._leaves.tabText(at)
        button.setText(SHORT.get(title, title))
        button.setAccessibleName(title)
        button.setCheckable(True)
        button.setAutoExclusive(True)
        button.setProperty("tab", True)
        button.installEventFilter(self)
        button.clicked.connect(lambda: self._leaves.setCurrentIndex(at))
        return button

    def _follow(self, at: int) -> None:
        """Mark the leaf that is shown; of all the titles the Tab key stops at that one, as at tabs."""
        self.buttons[at].setChecked(True)
        for other, button in enumerate(self.buttons):
            button.setFocusPolicy(Qt.FocusPolicy.TabFocus if other == at else Qt.FocusPolicy.NoFocus)

    def _turn(self, by: int) -> None:
        at = (self._leaves.currentIndex() + by) % len(self.buttons)
        self._leaves.setCurrentIndex(at)
        self.buttons[at].setFocus(Qt.FocusReason.TabFocusReason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:  # noqa: N802 (Qt's name)
        if isinstance(event, QKeyEvent) and watched is not self._leaves:
            if event.type() == QEvent.Type.KeyPress and event.key() in WAYS:
                self._turn(WAYS[event.key()])
                return True
        elif watched is self._leaves and event.type() in LAID_ANEW:
            bar = self._leaves.tabBar()
            narrow = bar.sizeHint().width() > self._leaves.width()
            bar.setVisible(not narrow)
            self.setVisible(narrow)
        return super().eventFilter(watched, event)


def _with_button(parts: list[Part], button: QPushButton) -> list[Part]:
    """Put a button at the end of the last row of buttons."""
    last = parts[-1]
    return [*parts[:-1], [*last, button]] if isinstance(last, list) else [*parts, [button]]


def _page(parts: list[Part]) -> QWidget:
    page = QWidget()
    box = QVBoxLayout(page)
    box.setContentsMargins(0, 0, 0, 0)
    box.setSpacing(BETWEEN)
    for part in parts:
        if isinstance(part, list):
            row = Flow(gap=GAP)
            for button in part:
                row.addWidget(button)
            box.addLayout(row)
        else:
            box.addWidget(part, int(isinstance(part, ItemView)))
    return page


def _least(widget: QWidget) -> int:
    """Return a height below which a list or a field is no use beside others."""
    if isinstance(widget, ItemView):
        return (LEAST_ROWS + 1) * widget.verticalHeader().defaultSectionSize()
    return widget.minimumHeight()


def _height(box: QLayout, wide: int, without: tuple[QWidget, ...]) -> int:
    """Return the least height of what stands one below the other in a box, but for some widgets."""
    total = 0
    for at in range(box.count()):
        item = box.itemAt(at)
        inner = item.layout()
        if inner is not None and all(inner.itemAt(k).widget() in without for k in range(inner.count())):
            continue
        form = item.widget().layout() if item.widget() is not None else None
        high = inner.heightForWidth(wide) if inner is not None else _least(item.widget())
        if form is not None:
            high = form.totalHeightForWidth(wide) if form.hasHeightForWidth() else form.totalMinimumSize().height()
        total += high + BETWEEN
    return max(0, total - BETWEEN)
