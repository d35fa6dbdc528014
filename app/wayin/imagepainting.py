"""How stamped images are painted on their scraps: the die's frame, the ink, which one is held."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QPainter

from app.canvas.paths import path_of
from app.wayin.found import Found
from app.wayin.marking import CUT, INK, line, tag
from app.wayin.stamps import PLAIN, STAIN

if TYPE_CHECKING:
    from app.wayin.view import PictureView

DASH, DOTS = Qt.PenStyle.DashLine, Qt.PenStyle.DotLine


def paint_frames(view: PictureView, painter: QPainter, thing: Found) -> None:
    """Paint the images of a scrap that is not picked."""
    if view.images is None or thing.kind != "scrap" or not thing.kept:
        return
    for stamp in thing.stamps:
        if stamp.die != PLAIN:
            line(painter, view.viewing.transform.map(path_of(view.images.outline(stamp))), CUT, 1.0, DASH)


def paint_images(view: PictureView, painter: QPainter) -> None:
    """Paint the images of the picked scrap, with what frames them."""
    if view.images is None:
        return
    for at, stamp in enumerate(view.images.stamps):
        held = view.images.active and at == view.images.at
        frame = view.viewing.transform.map(path_of(view.images.outline(stamp)))
        if stamp.die in (STAIN, PLAIN):
            line(painter, frame, INK, 2.6 if held else 1.2, DOTS)
        else:
            line(painter, frame, CUT, 3.0 if held else 1.6, DASH)
        if stamp.die != PLAIN or held:
            box = frame.boundingRect()
            below = QPointF(box.center().x(), box.bottom() + 14 * view.text_scale)
            tag(painter, view, below, view.images.words(stamp), picked=held)
