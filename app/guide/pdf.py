"""The guide as a PDF: Qt's own writer for the pages, then the few entries it cannot set."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path

from pypdf import PdfWriter
from pypdf.generic import NameObject, RectangleObject
from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QPdfWriter

from app.guide.book import Page, paint_guide
from app.guide.job import Job
from layout.formats.writing import write_bytes

DPI = 1200
POINT = 72 / 25.4


def write_pdf(job: Job, pages: Sequence[Page], path: Path) -> None:
    """Write the guide to a file, whole or not at all; raises FileError."""
    write_bytes(pdf_bytes(job, pages), path)


def pdf_bytes(job: Job, pages: Sequence[Page]) -> bytes:
    """Return the guide as a PDF that asks printers not to scale it."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(DPI)
    writer.setTitle(f"{job.title}: placement guide")
    writer.setCreator("Plateful")
    paint_guide(writer, pages)
    buffer.close()
    return finished(bytes(data.data()), pages)


def finished(raw: bytes, pages: Sequence[Page]) -> bytes:
    """Ask for no scaling, and give each page its exact size: Qt rounds it to whole points.

    PrintScaling: ISO 32000-1, 12.2 'Viewer preferences'.
    """
    file = PdfWriter(clone_from=io.BytesIO(raw))
    preferences = file.create_viewer_preferences()
    preferences.print_scaling = NameObject("/None")
    for page, made in zip(file.pages, pages, strict=True):
        _set_size(page, made.sheet.width * made.sheet.stretch_x, made.sheet.height * made.sheet.stretch_y)
    out = io.BytesIO()
    file.write(out)
    return out.getvalue()


def _set_size(page, width: float, height: float) -> None:
    top = float(page.mediabox.top)  # Qt measures from the upper edge, so that edge stays
    page.mediabox = RectangleObject((0, top - height * POINT, width * POINT, top))
