"""From the window to one scrap on the board."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

if TYPE_CHECKING:
    from app.heap.editor import ScrapEditor
    from app.window import Window


def open_scrap(window: Window, at: int | None) -> ScrapEditor:
    """Draw a new scrap, or mend the one of this number in the heap."""
    from app.heap.editor import ScrapEditor

    canvas = window.canvas
    editor = ScrapEditor(window.document, canvas.look, canvas.text_font, window.pixels_per_mm, at, window)
    editor.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    editor.open()
    return editor
