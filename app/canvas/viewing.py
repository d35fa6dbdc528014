"""Between plate and screen: millimetres up the plate, pixels down the screen."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QTransform

from layout.geometry.value import Value, replace

LEAST_SCALE = 0.2
MOST_SCALE = 60.0


class Viewing(Value, frozen=True):
    """Pixels a millimetre, where the plate's corner lies on screen, and whether the plate is seen from below."""

    scale: float = 3.0
    x: float = 0.0
    y: float = 0.0
    mirrored: bool = False

    @property
    def transform(self) -> QTransform:
        """Plate to screen."""
        across = -self.scale if self.mirrored else self.scale
        return QTransform(across, 0.0, 0.0, -self.scale, self.x, self.y)

    def to_screen(self, at: QPointF) -> QPointF:
        """Carry a point of the plate to the screen."""
        return self.transform.map(at)

    def to_plate(self, at: QPointF) -> QPointF:
        """Carry a point of the screen to the plate."""
        across = -self.scale if self.mirrored else self.scale
        return QPointF((at.x() - self.x) / across, (self.y - at.y()) / self.scale)

    def moved(self, dx: float, dy: float) -> Viewing:
        """Return the view pushed by so many pixels."""
        return replace(self, x=self.x + dx, y=self.y + dy)

    def zoomed(self, factor: float, about: QPointF) -> Viewing:
        """Return the view brought closer; the point under `about` stays where it is."""
        scale = min(max(self.scale * factor, LEAST_SCALE), MOST_SCALE)
        k = scale / self.scale
        return replace(
            self, scale=scale, x=about.x() + (self.x - about.x()) * k, y=about.y() + (self.y - about.y()) * k
        )


def fitted(plate: QRectF, room: QRectF, mirrored: bool) -> Viewing:
    """Return the view that shows a rectangle of the plate (mm) whole and centred in a room on screen (pixels)."""
    scale = min(room.width() / max(plate.width(), 1e-6), room.height() / max(plate.height(), 1e-6))
    scale = min(max(scale, LEAST_SCALE), MOST_SCALE)
    middle = plate.center()
    across = -scale if mirrored else scale
    return Viewing(scale, room.center().x() - middle.x() * across, room.center().y() + middle.y() * scale, mirrored)
