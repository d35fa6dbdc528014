"""A window of its own beside the main one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog

if TYPE_CHECKING:
    from app.window import Window

RIM = 60  # px of the screen that stay free


def show_beside(shown: QDialog, window: Window, width: float, height: float) -> None:
    """Show a dialog that goes when it is closed, as large (px at 100 % text) as the text asks and the screen allows."""
    shown.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    scale, room = window.settings.text_scale, window.screen().availableSize()
    shown.resize(min(round(width * scale), room.width() - RIM), min(round(height * scale), room.height() - RIM))
    shown.show()
