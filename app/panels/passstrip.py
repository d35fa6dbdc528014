"""The strip below the plate: it keeps the room of the passes from before there is a list to show them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFrame, QVBoxLayout

from app.document.document import Document
from app.look.tokens import Look
from app.panels.passroom import PassRoom
from app.panels.ticked import caption, done_caption, done_passes

if TYPE_CHECKING:
    from app.panels.passes import Passes

LINE = 1  # above the strip


class PassStrip(QFrame):
    """Is as high as the passes will be, so that the plate stays where it was first seen."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.setProperty("strip", True)
        self.room = PassRoom(document)
        self._document = document
        self._passes: Passes | None = None
        self._box = QVBoxLayout(self)
        self._box.setContentsMargins(0, 0, 0, 0)
        document.replaced.connect(self._keep)

    def show_in(self, passes: Passes) -> None:
        """Show the passes from now on; their height is the strip's."""
        self._passes = passes
        self._box.addWidget(passes)
        self.setMinimumHeight(0)

    def set_look(self, look: Look, text_scale: float) -> None:
        """Suit a text size."""
        if self._passes is not None:
            self._passes.set_look(look, text_scale)
        else:
            self.room.set_text_scale(text_scale)
            self._keep()

    def fit(self, height: int) -> None:
        """Take the room that suits a window of a height in pixels: small plates, or a line of numbers."""
        if self._passes is not None:
            self._passes.fit(height)
        else:
            self.room.fit(height)
            self._keep()

    def _keep(self) -> None:
        if self._passes is not None:
            return
        layouts, done = self._document.plan.layouts, len(done_passes(self._document.project))
        count = done + sum(max(1, len(layout.runs)) for layout in layouts)
        told = [done_caption(0) if done or not layouts else caption(0, layouts[0].id), done_caption(0)]
        self.setMinimumHeight(self.room.height(count, told, self.window().width()) + LINE if count else 0)
