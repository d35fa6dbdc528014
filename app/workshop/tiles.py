"""How one thing is drawn in the workshop's lists: its picture on the left, its name and what is told of it beside."""

from __future__ import annotations

from PySide6.QtCore import QRect, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QIcon, QPainter, QPen
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from app.look.fonts import font
from app.look.tokens import GAP, LIGHT, RADIUS, SMALL, SPACE, Look
from app.workshop.rows import Index

WIDE, PICTURE = 224, 40


class TileDelegate(QStyledItemDelegate):
    """Draws picture, name and words; what does not fit is in the tooltip."""

    def __init__(self, picture: int = PICTURE) -> None:
        super().__init__()
        self._picture = picture  # px a side at 100 % text; 0: none
        self._look, self._scale = LIGHT, 1.0
        self._name, self._told = font(), font(SMALL)

    def set_look(self, look: Look, text_scale: float) -> None:
        """Draw in a look at a text size."""
        self._look, self._scale = look, text_scale
        self._name = font(bold=True, text_scale=text_scale)
        self._told = font(SMALL, text_scale=text_scale)

    @property
    def size(self) -> QSize:
        """The room one thing takes."""
        lines = QFontMetrics(self._name).height() + QFontMetrics(self._told).height()
        return QSize(round(WIDE * self._scale), max(lines, round(self._picture * self._scale)) + 2 * SPACE)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:  # noqa: ARG002, N802 (Qt's name)
        return self.size

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        place = option.rect.adjusted(2, 2, -2, -2)
        name, _, told = str(index.data()).partition("\n")
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.setPen(QPen(QColor(self._look.accent), 2))
            painter.setBrush(QColor(self._look.accent_soft))
            painter.drawRoundedRect(place, RADIUS, RADIUS)
        elif option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QPen(QColor(self._look.focus), 1, Qt.PenStyle.DashLine))
            painter.drawRoundedRect(place, RADIUS, RADIUS)
        inner = place.adjusted(SPACE, GAP, -SPACE, -GAP)
        side = round(self._picture * self._scale)
        picture = index.data(Qt.ItemDataRole.DecorationRole)
        if isinstance(picture, QIcon):
            picture.paint(painter, QRect(inner.left(), inner.center().y() - side // 2, side, side))
        self._write(painter, inner.adjusted(side + SPACE if side else 0, 0, 0, 0), name, told)
        painter.restore()

    def _write(self, painter: QPainter, place: QRect, name: str, told: str) -> None:
        high = QFontMetrics(self._name).height()
        top = place.center().y() - (high + QFontMetrics(self._told).height()) // 2
        for text, letters, ink, y in (
            (name, self._name, self._look.text, top),
            (told, self._told, self._look.quiet, top + high),
        ):
            _line(painter, QRect(place.left(), y, place.width(), high), text, letters, ink)


def _line(painter: QPainter, place: QRect, text: str, letters: QFont, ink: str) -> None:
    painter.setFont(letters)
    painter.setPen(QColor(ink))
    shown = QFontMetrics(letters).elidedText(text, Qt.TextElideMode.ElideRight, place.width())
    painter.drawText(place, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, shown)
