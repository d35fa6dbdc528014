"""How the plate is seen: the pass looked at, the view of it, and the picture of all that is not in hand."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QFont, QPainter, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.canvas.draft import Draft
from app.canvas.ghost import Ghost
from app.canvas.layers import ALL
from app.canvas.painting import PlatePainter
from app.canvas.rulers import ruler_thickness
from app.canvas.scene import Scene, scene_of
from app.canvas.still import Shot, Still
from app.canvas.viewing import Viewing, fitted
from app.document.document import Document
from app.document.selection import Selection
from app.look.fonts import font
from app.look.tokens import LIGHT, SMALL, Look
from layout.geometry.units import Unit
from layout.geometry.value import replace

ROOM, ROOM_SHARE = 26.0, 0.035  # pixels left free round the plate when it is fitted, and the most of the height
PEEK = 12.0  # mm of overhanging paper shown round the bed when it is fitted


class PlateView(QWidget):
    """Shows one pass of the document at true proportion; what is in hand is left out of the still picture."""

    viewing_changed = Signal()
    resized = Signal()

    def __init__(self, document: Document, selection: Selection, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.document, self.selection = document, selection
        self.look: Look = LIGHT
        self.draft = Draft()
        self.layers = ALL
        self.ghost: Ghost | None = None
        self._font = font(SMALL, lengths=True)
        self._viewing = Viewing()
        self._fit_wanted = True
        self._scene: Scene | None = None
        self.still = Still(self.update)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(260, 120)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)

    @property
    def scene(self) -> Scene:
        """The pass looked at, as the document has it."""
        if self._scene is None:
            s = self.selection
            self._scene = scene_of(self.document.project, self.document.plan, s.layout, s.run)
        return self._scene

    @property
    def unit(self) -> Unit:
        """The unit of the rulers."""
        return self.document.unit

    @property
    def viewing(self) -> Viewing:
        """How the plate is looked at."""
        return self._viewing

    @viewing.setter
    def viewing(self, viewing: Viewing) -> None:
        self._viewing = viewing
        self.viewing_changed.emit()
        self.update()

    @property
    def text_font(self) -> QFont:
        """The type of rulers and labels."""
        return self._font

    def set_look(self, look: Look, text_scale: float) -> None:
        """Show the plate in a look, with labels at a text size."""
        self.look = look
        self._font = font(SMALL, text_scale=text_scale, lengths=True)
        self.update()

    def refresh(self) -> None:
        """Read the document again."""
        self._scene = None
        self.ghost = None
        self.draft = Draft()
        self.update()

    @property
    def ruler_thickness(self) -> float:
        """How many pixels the rulers take at the top and at the left."""
        return ruler_thickness(self._font)

    # ---- views --------------------------------------------------------------------------------------------------

    def fit(self) -> None:
        """Show the whole bed and what sticks out of it a little."""
        self._scene = None
        self._fit_wanted = True
        self._fit_now()
        self.update()

    def zoom(self, factor: float) -> None:
        """Come closer to or go farther from the middle."""
        self._fit_wanted = False
        self.viewing = self._viewing.zoomed(factor, QPointF(self.rect().center()))

    def true_size(self, pixels_per_mm: float) -> None:
        """Show the plate as large as it is."""
        self._fit_wanted = False
        self.viewing = self._viewing.zoomed(pixels_per_mm / self._viewing.scale, QPointF(self.rect().center()))

    def set_mirrored(self, mirrored: bool) -> None:
        """Show the plate from below, for laying dies blade up."""
        if mirrored != self._viewing.mirrored:
            self._viewing = Viewing(self._viewing.scale, self._viewing.x, self._viewing.y, mirrored)
            self.fit()

    def _fit_now(self) -> None:
        machine = self.document.project.machine
        thick = ruler_thickness(self._font)
        free = min(ROOM, ROOM_SHARE * self.height())
        room = QRectF(self.rect()).adjusted(thick + free, thick + free, -free, -free)
        across = min(machine.overhang_across, PEEK)
        along = min(machine.overhang_along, PEEK)
        plate = QRectF(0, 0, machine.bed_width, machine.bed_length).adjusted(-across, -along, across, along)
        self.viewing = fitted(plate, room, self._viewing.mirrored)

    def push_view(self, dx: float, dy: float) -> None:
        """Push the view by so many pixels."""
        self._fit_wanted = False
        self.viewing = self._viewing.moved(dx, dy)

    def plate_painter(self, painter: QPainter) -> PlatePainter:
        """Return the strokes for this view, its look and its layers."""
        return PlatePainter(painter, self._viewing, self.look, self._font, self.layers, self.unit)

    def show_layer(self, name: str, shown: bool) -> None:
        """Draw a layer or put it aside."""
        self.layers = replace(self.layers, **{name: shown})
        self.update()

    def paint_still(self, painter: QPainter) -> None:
        """Paint all that is not in hand from a kept picture; moving the rest over it costs little."""
        out = (frozenset(self.draft.dies), frozenset(self.draft.scraps))
        look, size, ratio = self.look, self.size(), self.devicePixelRatioF()
        wanted = Shot(self.scene, out, self._viewing, look, self._font, self.layers, self.unit, size, ratio)
        picture, shot = self.still.shown(wanted)
        if (shot.viewing, shot.size) == (wanted.viewing, wanted.size):
            painter.drawPixmap(0, 0, picture)
            return
        # Until the plate is painted as it is looked at now, the picture of before is carried to its new place.
        painter.fillRect(self.rect(), look.table)
        painter.setClipRect(wanted.room)
        painter.setTransform(shot.viewing.transform.inverted()[0] * self._viewing.transform)
        painter.drawPixmap(shot.room, picture, QRectF(shot.room.topLeft() * ratio, shot.room.size() * ratio))
        painter.resetTransform()
        wanted.paint_rulers(painter)

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 (Qt's name)
        super().resizeEvent(event)
        if self._fit_wanted:
            self._fit_now()
        self.resized.emit()
