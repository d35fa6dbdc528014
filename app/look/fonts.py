"""The bundled typeface, with figures that line up and fractions set as fractions."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtGui import QFont, QFontDatabase

from app.look.tokens import FAMILY, TEXT_POINTS

FOLDER = Path(__file__).resolve().parents[2] / "resources" / "fonts"
_loaded: list[int] = []


def load_fonts() -> None:
    """Make the typeface known to Qt; needs an application object."""
    if not _loaded:
        _loaded.extend(QFontDatabase.addApplicationFont(str(file)) for file in sorted(FOLDER.glob("*.ttf")))


def font(scale: float = 1.0, *, bold: bool = False, text_scale: float = 1.0, lengths: bool = False) -> QFont:
    """Return the typeface at a step of the type scale; `text_scale` is the person's own setting.

    `lengths`: for rulers, sizes and the like, whose fractions are set as fractions; elsewhere a slash may stand between
    folders.
    """
    made = QFont(FAMILY)
    made.setPointSizeF(TEXT_POINTS * scale * text_scale)
    made.setBold(bold)
    if lengths:
        made.setFeature(QFont.Tag("frac"), 1)
    made.setFeature(QFont.Tag("tnum"), 1)
    return made
