"""The dies at rest, over a sheet that is in hand: a picture painted once a drag, not die by die at each move."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtGui import QPainter, QPixmap

from app.canvas.painting import Numbers, PlatePainter

if TYPE_CHECKING:
    from app.canvas.view import PlateView
    from app.chores import Chores

PAINTING = "dies over a sheet"


class Upper:
    """Keeps one picture. With `chores` it is painted between events, and is `coming` until it is done."""

    def __init__(self) -> None:
        self.chores: Chores | None = None
        self._of: tuple[object, ...] = ()
        self._pixmap = QPixmap()

    @property
    def coming(self) -> bool:
        """Whether the picture is being painted; until it is done no sheet can be shown under the dies."""
        return self.chores is not None and self.chores.waits(PAINTING)

    def prepare(self, view: PlateView, left_out: Numbers) -> None:
        """Paint the picture for what a hand is about to move; those dies are left out."""
        of = _all_it_depends_on(view, left_out)
        if of == self._of:
            return
        work = self._paint(view, of, left_out)
        if self.chores is not None:
            self.chores.add(PAINTING, work, first=True)
            return
        for _ in work:
            pass

    def paint(self, view: PlateView, plate: PlatePainter, left_out: Numbers) -> None:
        """Paint the dies at rest."""
        if self._of == _all_it_depends_on(view, left_out):
            plate.painter.drawPixmap(0, 0, self._pixmap)
            return
        for _ in _strokes(view, plate, left_out):
            pass

    def _paint(self, view: PlateView, of: tuple[object, ...], left_out: Numbers) -> Iterator[None]:
        ratio = view.devicePixelRatioF()
        pixmap = QPixmap(view.size() * ratio)
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        try:
            yield from _strokes(view, view.plate_painter(painter), left_out)
        finally:
            painter.end()
        self._of, self._pixmap = of, pixmap
        view.update()


def _strokes(view: PlateView, plate: PlatePainter, left_out: Numbers) -> Iterator[None]:
    for die in view.scene.dies:
        if die.index not in left_out:
            plate.die(die)
            yield


def _all_it_depends_on(view: PlateView, left_out: Numbers) -> tuple[object, ...]:
    return view.scene, view.viewing, view.look, view.layers, view.size(), view.devicePixelRatioF(), left_out
