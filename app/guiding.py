"""From the window to the placement guide: asks where to, writes it, and says so."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFileDialog

from layout.model.errors import FileError

if TYPE_CHECKING:
    from app.window import Window


def offer_guide(window: Window) -> None:
    """Ask for a place and write the guide there."""
    if not window.document.plan.layouts:
        window.messages.fault("There is no plan to print yet: press Plan first.")
        return
    start = f"{window.document.name} guide.pdf"
    path, _ = QFileDialog.getSaveFileName(window, "Save the placement guide", start, "PDF (*.pdf)")
    if path:
        write_guide(window, Path(path if path.lower().endswith(".pdf") else f"{path}.pdf"))


def write_guide(window: Window, path: Path) -> None:
    """Write the guide of the present plan; where that fails, say why."""
    from app.guide.book import guide_pages
    from app.guide.job import Job
    from app.guide.pdf import write_pdf
    from app.guide.sheet import usual_sheet

    document = window.document
    job = Job(document.project, document.plan, usual_sheet(), window.canvas.viewing.mirrored, document.unit)
    try:
        write_pdf(job, guide_pages(job), path)
    except FileError as error:
        window.messages.fault(str(error))
        return
    window.messages.news(
        f"The placement guide is in {path.name}. Print it at 100 %, and check its two bars with a ruler."
    )
