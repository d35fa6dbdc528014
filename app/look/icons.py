"""Our own icons, drawn as strokes and inked in the colour of the look."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

from PySide6.QtCore import QByteArray, QRectF, Qt
from PySide6.QtGui import QIcon, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

FOLDER = Path(__file__).resolve().parents[2] / "resources" / "icons"
INK = b"#000000"
SIDE = 24
FAINT = 0.35  # what cannot be pressed now
DENSITY = 2  # sharp on plain and dense screens


@lru_cache(maxsize=256)
def icon(name: str, ink: str) -> QIcon:
    """Return the icon of a name in one ink, sharp on plain and dense screens."""

    drawn = (FOLDER / f"{name}.svg").read_bytes().replace(INK, ink.encode())
    renderer = QSvgRenderer(QByteArray(drawn))
    clear, faint = _empty(), _empty()
    painter = QPainter(clear)
    renderer.render(painter, QRectF(0, 0, SIDE, SIDE))
    painter.end()
    painter = QPainter(faint)
    painter.setOpacity(FAINT)
    painter.drawPixmap(0, 0, clear)
    painter.end()
    made = QIcon(clear)
    made.addPixmap(faint, QIcon.Mode.Disabled)
    return made


def _empty() -> QPixmap:
    pixmap = QPixmap(SIDE * DENSITY, SIDE * DENSITY)
    pixmap.setDevicePixelRatio(DENSITY)
    pixmap.fill(Qt.GlobalColor.transparent)
    return pixmap
