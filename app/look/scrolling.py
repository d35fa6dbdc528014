"""Columns that scroll where large text leaves no room for all of them."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QFrame, QLayout, QScrollArea, QWidget

USUAL = 18.0
"""Height of a line of text at its usual size, in pixels."""


class Column(QScrollArea):
    """Scrolls up and down only: as wide as what is in it needs, and of any height."""

    def minimumSizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        least, body = super().minimumSizeHint(), self.widget()
        wide = body.minimumSizeHint().width() if body is not None else 0
        return QSize(wide + self.verticalScrollBar().sizeHint().width(), least.height())


def scrolled(column: QLayout, area: Column | None = None) -> Column:
    """Return a column in an area that scrolls up and down only."""
    area, body = area or Column(), QWidget()
    body.setLayout(column)
    area.setWidget(body)
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    return area


def grown(widget: QWidget, size: QSize) -> QSize:
    """Return a size that grows with the text, no larger than the screen has room for."""
    share = max(1.0, widget.fontMetrics().height() / USUAL)
    return (size * share).boundedTo(widget.screen().availableSize() * 0.92)
