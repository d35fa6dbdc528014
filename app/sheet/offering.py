"""From the window to the project sheet and to the form for a box blank."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

if TYPE_CHECKING:
    from app.sheet.boxform import BoxForm
    from app.sheet.preview import SheetPreview
    from app.window import Window


def offer_sheet(window: Window) -> SheetPreview:
    """Show the project sheet before it is printed."""
    from app.sheet.preview import SheetPreview

    preview = SheetPreview(window.document, window)
    preview.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    preview.written.connect(window.messages.news)
    preview.refused.connect(window.messages.fault)
    preview.resize(window.size() * 0.92)
    preview.open()
    return preview


def offer_box(window: Window) -> BoxForm:
    """Show the form that makes a box blank."""
    from app.sheet.boxform import BoxForm

    form = BoxForm(window.document, window)
    form.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    form.added.connect(window.messages.news)
    form.resize(window.size() * 0.85)
    form.open()
    return form
