"""From the window to the placement guide: shows it before it is printed or saved."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

from app.exporting import FOLDER, last_folder
from app.panels.words import faults_figure, in_passes

if TYPE_CHECKING:
    from app.guide.pagesdialog import PagesDialog
    from app.guide.preview import GuidePreview
    from app.window import Window


def offer_guide(window: Window) -> GuidePreview | None:
    """Show the guide of the present plan; nothing, and a word why, where there is no plan."""
    if not window.document.plan.layouts:
        waiting = "the first plan is still being looked for" if window.planning.running else "press Plan first"
        window.messages.fault(f"There is no plan to print yet: {waiting}.")
        return None
    from app.guide.job import Job
    from app.guide.preview import GuidePreview
    from app.guide.sheet import usual_sheet

    document = window.document
    job = Job(document.named_project, document.plan, usual_sheet(), window.canvas.viewing.mirrored, document.unit)
    preview = GuidePreview(job, last_folder(window), window)
    show_over(window, preview)
    wrong = window.faults.known
    if wrong:
        first = in_passes(wrong[0].what, document.project, document.plan)
        preview.warn(f"{faults_figure(wrong)} in this plan: {first}. Mend that before you cut.")
    return preview


def show_over(window: Window, pages: PagesDialog) -> None:
    """Show pages over most of the window; it hears what was done with them and keeps the folder saved to."""
    pages.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    pages.written.connect(window.messages.news)
    pages.refused.connect(window.messages.fault)
    pages.saved.connect(lambda folder: window.settings.set_value(FOLDER, folder))
    pages.resize(window.size() * 0.92)
    pages.open()
