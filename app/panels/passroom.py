"""How large a small plate and its words are, known before there is a list to show them."""

from __future__ import annotations

from PySide6.QtCore import QSize, QSizeF, Qt
from PySide6.QtGui import QFont, QFontMetricsF

from app.document.document import Document
from app.look.fonts import font
from app.look.tokens import GAP, SCROLL, SMALL, SPACE
from app.panels.ticked import LAYOUT, PASS

PLATE_HEIGHT = 104.0
LEAST_WIDTH = 84.0
MOST_WIDTH = 190.0
BOX = 18
MOST_BOX = 1.5  # times that: a larger box in a line of numbers would be all that one sees
ROOM_SHARE = 0.16  # of the window's height: no more of it for a small plate, however large the text
LINE_BELOW = 450  # of the window's height in pixels at the usual text size: there the passes are a line of numbers
STEPS = 4  # small plates grow by quarters, so that they are not painted anew at every pixel of a window drawn larger


class PassRoom:
    """The room of one pass for a machine, a text size and a window's height; lengths in logical pixels."""

    def __init__(self, document: Document) -> None:
        self._document = document
        self._text_scale = self._share = 1.0
        self.line = False  # numbers in place of small plates

    def set_text_scale(self, text_scale: float) -> None:
        """Reckon with a text size."""
        self._text_scale = text_scale

    def fit(self, height: int) -> bool:
        """Let the small plates grow with the text, or leave them out, for a window's height; True if changed."""
        allowed = int(STEPS * ROOM_SHARE * height / PLATE_HEIGHT) / STEPS
        share, line = max(1.0, min(self._text_scale, allowed)), height < LINE_BELOW * self._text_scale
        if (share, line) == (self._share, self.line):
            return False
        self._share, self.line = share, line
        return True

    def captioned(self, *, bold: bool = False) -> QFont:
        """Return the typeface of the words under a pass."""
        return font(SMALL, bold=bold, text_scale=self._text_scale)

    def item_width(self, told: list[str]) -> int:
        """Return the width of a pass whose words may be any of these, in bold once it is chosen."""
        bold = QFontMetricsF(self.captioned(bold=True))
        words = max(bold.horizontalAdvance(self.short(w)) for w in told)
        if self.line:
            return round(self.box_side + words + GAP + 3 * SPACE)
        beside = self.bed_size.width() + 2 * (self.box_side + GAP) if self._share > 1 else 0
        return round(max(self.plate_size.width(), words, beside) + 2 * SPACE)

    @property
    def item_height(self) -> int:
        """The height of a pass."""
        if self.line:
            return round(QFontMetricsF(self.captioned(bold=True)).height() + 2 * SPACE)
        return round(self.plate_size.height() + QFontMetricsF(self.captioned()).height() + 2 * SPACE + GAP)

    def height(self, count: int, told: list[str], width: int) -> int:
        """Return the height of a row of so many passes, with a bar to scroll it by where a width may not do."""
        fits = self.line and count * (self.item_width(told) + GAP) + GAP <= width
        return self.item_height + 2 * GAP + (0 if fits else round(SCROLL * self._text_scale))

    def short(self, caption: str) -> str:
        """Leave out of a line of numbers what is the same for all of them."""
        return caption.removeprefix(f"{PASS} ").replace(LAYOUT, "") if self.line else caption

    @property
    def box_side(self) -> int:
        """The side of the box to tick."""
        return round(BOX * min(self._text_scale, MOST_BOX) if self.line else BOX * self._share)

    @property
    def plate_size(self) -> QSize:
        """The size of a small plate's picture."""
        return self.bed_size.expandedTo(QSize(round(self._share * LEAST_WIDTH), 0))

    @property
    def bed_size(self) -> QSize:
        """The size of the bed in it."""
        machine = self._document.project.machine
        bed = QSizeF(machine.bed_width, machine.bed_length)
        room = QSizeF(MOST_WIDTH, PLATE_HEIGHT) * self._share
        return bed.scaled(room, Qt.AspectRatioMode.KeepAspectRatio).toSize()
