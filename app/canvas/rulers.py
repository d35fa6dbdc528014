"""Rulers along the top and the left of the plate, in the person's unit, from the bed's corner."""

from __future__ import annotations

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter, QPen

from app.canvas.viewing import Viewing
from app.look.tokens import Look
from layout.geometry.units import MM_PER, Unit

LEAST_STEP = 5.0  # pixels between the finest ticks
STEPS: dict[Unit, tuple[tuple[float, int, int], ...]] = {
    # finest tick in units, finest ticks to a middle one, finest ticks to a numbered one
    "mm": ((1, 5, 10), (5, 2, 4), (5, 2, 10), (10, 5, 10), (50, 2, 4), (100, 5, 10)),
    "cm": ((0.1, 5, 10), (0.5, 2, 4), (0.5, 2, 10), (1, 5, 10), (5, 2, 4), (10, 5, 10)),
    "in": ((1 / 16, 4, 16), (1 / 8, 4, 8), (1 / 4, 2, 4), (1 / 2, 2, 4), (1, 2, 4), (2, 2, 6)),
}


class Rulers:
    """Paints both rulers of one view."""

    def __init__(self, painter: QPainter, viewing: Viewing, look: Look, font: QFont, unit: Unit) -> None:
        self.painter, self.viewing, self.look, self.unit = painter, viewing, look, unit
        self._metrics = QFontMetricsF(font)
        self.thick = ruler_thickness(font)
        painter.setFont(font)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        self._step, self._middle, self._numbered = self._steps()

    def paint(self, size: QRectF) -> None:
        """Paint the rulers along the top and left of a rectangle of pixels."""
        self.painter.fillRect(QRectF(0, 0, size.width(), self.thick), QColor(self.look.ruler))
        self.painter.fillRect(QRectF(0, 0, self.thick, size.height()), QColor(self.look.ruler))
        self.painter.setPen(QPen(QColor(self.look.line), 1))
        self.painter.drawLine(QLineF(0, self.thick, size.width(), self.thick))
        self.painter.drawLine(QLineF(self.thick, 0, self.thick, size.height()))
        self.painter.setPen(QPen(QColor(self.look.ruler_ink), 1))
        self._across(size)
        self._along(size)
        self._corner()

    def _across(self, size: QRectF) -> None:
        ends = sorted(self.viewing.to_plate(QPointF(x, 0)).x() for x in (self.thick, size.width()))
        for number in self._numbers(*ends):
            x = self.viewing.to_screen(QPointF(self._mm(number), 0)).x()
            if x > self.thick:
                self.painter.drawLine(QLineF(x, self.thick, x, self.thick - self._tick(number)))
                if number % self._numbered == 0:
                    self.painter.drawText(QPointF(x + 3, self._metrics.ascent() + 1), self._words(number))

    def _along(self, size: QRectF) -> None:
        ends = sorted(self.viewing.to_plate(QPointF(0, y)).y() for y in (self.thick, size.height()))
        for number in self._numbers(*ends):
            y = self.viewing.to_screen(QPointF(0, self._mm(number))).y()
            if y > self.thick:
                self.painter.drawLine(QLineF(self.thick, y, self.thick - self._tick(number), y))
                if number % self._numbered == 0:
                    self._turned_words(y, self._words(number))

    def _turned_words(self, y: float, words: str) -> None:
        self.painter.save()
        self.painter.translate(0, y)
        self.painter.rotate(-90)
        self.painter.drawText(QPointF(3, self._metrics.ascent() + 1), words)
        self.painter.restore()

    def _corner(self) -> None:
        corner = QRectF(0, 0, self.thick, self.thick)
        self.painter.fillRect(corner, QColor(self.look.ruler))
        self.painter.drawText(corner, Qt.AlignmentFlag.AlignCenter, self.unit)

    def _steps(self) -> tuple[float, int, int]:
        widest = self._metrics.horizontalAdvance("-888") + 8
        for step, middle, numbered in STEPS[self.unit]:
            pixels = step * MM_PER[self.unit] * self.viewing.scale
            if pixels >= LEAST_STEP and pixels * numbered >= widest:
                return step, middle, numbered
        return STEPS[self.unit][-1]

    def _numbers(self, first: float, last: float) -> range:
        width = self._step * MM_PER[self.unit]
        return range(int(first // width), int(last // width) + 2)

    def _mm(self, number: int) -> float:
        return number * self._step * MM_PER[self.unit]

    def _tick(self, number: int) -> float:
        if number % self._numbered == 0:
            return self.thick * 0.55
        return self.thick * (0.34 if number % self._middle == 0 else 0.2)

    def _words(self, number: int) -> str:
        return f"{number * self._step:g}"


def ruler_thickness(font: QFont) -> float:
    """Return how many pixels a ruler takes for its type."""
    return round(QFontMetricsF(font).height() * 1.75)
