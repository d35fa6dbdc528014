"""The bundled typeface in sizes of paper: millimetres, not screen points."""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtGui import QFont

from app.look.fonts import load_fonts
from app.look.tokens import FAMILY

UNITS_PER_MM = 100


@lru_cache(maxsize=64)
def font(size: float, bold: bool = False) -> QFont:
    """Return the typeface with an em of `size` mm, in hundredths of a mm so that nothing is rounded to pixels."""
    load_fonts()
    made = QFont(FAMILY)
    made.setPixelSize(max(1, round(size * UNITS_PER_MM)))
    made.setBold(bold)
    made.setFeature(QFont.Tag("tnum"), 1)
    made.setFeature(QFont.Tag("liga"), 0)  # readers of the PDF find no letters in a ligature
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return made
