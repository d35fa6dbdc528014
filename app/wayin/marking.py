"""Lines and words that can be read on any picture."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPainterPath, QPen

from app.look.fonts import font
from app.look.tokens import SMALL

if TYPE_CHECKING:
    from app.wayin.view import PictureView

HALO = "#ffffff"
INK = "#1c1b4d"  # on a picture every look uses the same inks, with a light halo: a photo has no theme
CUT = "#a3293d"


def line(
    painter: QPainter, path: QPainterPath, ink: str, width: float, style: Qt.PenStyle = Qt.PenStyle.SolidLine
) -> None:
    """Draw a line that shows on any picture: ink within a light halo."""
    painter.setBrush(Qt.BrushStyle.NoBrush)
    halo = QColor(HALO)
    halo.setAlphaF(0.85)
    painter.setPen(QPen(halo, width + 2.4))
    painter.drawPath(path)
    painter.setPen(QPen(QColor(ink), width, style))
    painter.drawPath(path)


def tag(painter: QPainter, view: PictureView, at: QPointF, words: str, *, picked: bool) -> None:
    """Write words on a plate with its middle at a place, within the view."""
    box = plate(painter, view, at, words, picked=picked)
    painter.setPen(QPen(QColor(view.look.accent if picked else view.look.line), 1.5))
    painter.setBrush(QColor(view.look.accent if picked else view.look.field))
    painter.drawRoundedRect(box, 4, 4)
    painter.setPen(QColor(view.look.on_accent if picked else view.look.text))
    painter.drawText(box, Qt.AlignmentFlag.AlignCenter, words)


def plate(painter: QPainter, view: PictureView, at: QPointF, words: str, *, picked: bool) -> QRectF:
    """Return where the plate for such words lies, and take their letters in hand."""
    painter.setFont(_letters(view, picked))
    box = QRectF(painter.fontMetrics().boundingRect(words)).adjusted(-6, -3, 6, 3)
    box.moveCenter(at)
    box.moveLeft(max(2.0, min(box.left(), view.width() - box.width() - 2)))
    box.moveTop(max(2.0, min(box.top(), view.height() - box.height() - 2)))
    return box


def _letters(view: PictureView, bold: bool) -> QFont:
    return font(SMALL, bold=bold, text_scale=view.text_scale, lengths=True)
