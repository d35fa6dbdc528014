"""True size on screen: hold a bank card to the drawn one and make them equal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QSlider, QVBoxLayout, QWidget

from app.look.tokens import ROOM, Look

if TYPE_CHECKING:
    from app.window import Window

CARD_WIDTH, CARD_HEIGHT, CARD_CORNER = 85.60, 53.98, 3.18  # mm, ISO/IEC 7810 ID-1
SLIDER_STEPS = 100  # of the slider to one pixel a millimetre
LEAST, MOST = 2.0, 14.0


class Card(QWidget):
    """Draws a card as large as it would be at so many pixels a millimetre."""

    def __init__(self, look: Look, scale: float) -> None:
        super().__init__()
        self._look, self._scale = look, scale

    def set_scale(self, scale: float) -> None:
        """Draw at another size."""
        self._scale = scale
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:  # noqa: N802 (Qt's name)
        return QSize(round(CARD_WIDTH * LEAST * 2.6), round(CARD_HEIGHT * LEAST * 2.6))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002, N802 (Qt's name)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        card = QRectF(1, 1, CARD_WIDTH * self._scale, CARD_HEIGHT * self._scale)
        painter.setPen(QPen(QColor(self._look.text), 1.5))
        painter.setBrush(QColor(self._look.accent_soft))
        painter.drawRoundedRect(card, CARD_CORNER * self._scale, CARD_CORNER * self._scale)
        painter.end()


def calibrate(window: Window) -> None:
    """Let the person set how many pixels a millimetre has on this screen."""
    dialog = QDialog(window)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.setWindowTitle("True size on this screen")
    words = QLabel(
        "Hold a bank card against the screen, its upper left corner on the drawn one, "
        "and move the slider until both are equal."
    )
    words.setWordWrap(True)
    card = Card(window.canvas.look, window.pixels_per_mm())
    slider = QSlider(Qt.Orientation.Horizontal)
    slider.setAccessibleName("Size of the card on screen")
    slider.setRange(round(LEAST * SLIDER_STEPS), round(MOST * SLIDER_STEPS))
    slider.setValue(round(window.pixels_per_mm() * SLIDER_STEPS))
    slider.valueChanged.connect(lambda value: card.set_scale(value / SLIDER_STEPS))
    buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel)
    buttons.rejected.connect(dialog.close)
    buttons.accepted.connect(lambda: (window.set_pixels_per_mm(slider.value() / SLIDER_STEPS), dialog.close()))
    box = QVBoxLayout(dialog)
    box.setContentsMargins(ROOM, ROOM, ROOM, ROOM)
    box.addWidget(words)
    box.addWidget(card, 1)
    box.addWidget(slider)
    box.addWidget(buttons)
    dialog.resize(620, 480)
    dialog.show()
