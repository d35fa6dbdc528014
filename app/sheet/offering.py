"""From the window to the project sheet and to the form for a box blank."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

if TYPE_CHECKING:
    from app.sheet.boxform import BoxForm
    from app.sheet.matform import MatForm
    from app.sheet.preview import SheetPreview
    from app.sheet.sheets import Sheets
    from app.window import Window


def offer_sheet(window: Window) -> SheetPreview:
    """Show the project sheet before it is printed."""
    from app.exporting import last_folder
    from app.guiding import show_over
    from app.sheet.preview import SheetPreview

    preview = SheetPreview(window.document, last_folder(window), window)
    show_over(window, preview)
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


def offer_cuts(window: Window) -> Sheets:
    """Show the sheets that are cut down, to move their cuts."""
    from app.sheet.sheets import Sheets

    sheets = Sheets(window.document, window)
    sheets.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    sheets.plan_rest.connect(lambda: window.planning.start(hold=True))
    sheets.resize(window.size() * 0.9)
    sheets.open()
    return sheets


def offer_mats(window: Window) -> MatForm:
    """Show the form that makes mats for a box or panel."""
    from app.sheet.matform import MatForm

    form = MatForm(window.document, window)
    form.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    form.added.connect(window.messages.news)
    form.open()
    return form
