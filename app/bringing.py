"""Opens the way in over the main window, or brings the open one forward."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QTimer

if TYPE_CHECKING:
    from app.wayin.window import WayIn
    from app.window import Window


def open_way_in(window: Window, paths: Sequence[Path] = (), *, by_size: bool = False) -> WayIn:
    """Show the way in with these files to read, or with shapes by size."""
    from app.look.theme import look_for
    from app.wayin.window import WayIn

    found = next((w for w in window.findChildren(WayIn) if w.isVisible()), None)
    if found is None:
        found = WayIn(window.document, window.settings, look_for(window.settings), window)
        window.settings.look_changed.connect(found.dress)
        found.taken.connect(partial(_show_taken, window))
    found.show()
    found.raise_()
    found.activateWindow()
    if paths:
        found.add_files(paths)
    elif by_size:
        found.begin_by_size()
    else:
        found.parts.choose.setFocus()
    return found


def _show_taken(window: Window, what: str, drawer: bool, heap: bool) -> None:
    """Turn to where the things went, and say so."""
    view = window.needs.view("dies" if drawer else "scraps")
    QTimer.singleShot(0, view, view.scrollToBottom)  # once the list has its new rows and its height
    places = {(True, False): "in the drawer", (False, True): "on the heap"}
    words = f"Taken in: {what}, {places.get((drawer, heap), 'in drawer and heap')} now."
    window.messages.step(words, "Undo", window.document.undo)
