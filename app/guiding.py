"""From the window to the placement guide: shows it before it is printed or saved."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt

if TYPE_CHECKING:
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
    job = Job(document.project, document.plan, usual_sheet(), window.canvas.viewing.mirrored, document.unit)
    preview = GuidePreview(job, window)
    preview.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    preview.written.connect(window.messages.news)
    preview.refused.connect(window.messages.fault)
    preview.resize(window.size().boundedTo(window.size() * 0.92))
    preview.open()
    return preview
