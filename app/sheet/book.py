"""Which pages a project sheet has, and writing them as PDF or pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QImage, QPainter, QPdfWriter

from app.guide.book import INCH, Page, paint_guide, paint_page
from app.guide.flow import Block, Words, flow
from app.guide.handout import METRE
from app.guide.pdf import DPI, finished
from app.sheet.job import SheetJob
from app.sheet.lists import material_blocks, piece_blocks
from app.sheet.template import template_blocks, true_pages
from app.sheet.work import layout_blocks, work_blocks
from layout.formats.writing import write_bytes
from layout.model.errors import FileError

PICTURE_DPI = 150


def sheet_pages(job: SheetJob) -> tuple[Page, ...]:
    """Return the pages of the project sheet; the blanks at true size last, where they are asked for."""
    pages: list[Page] = [*flow(job, "Project sheet", "what to lay ready, how to make it", _blocks(job))]
    return (*pages, *(true_pages(job) if job.template else ()))


def _blocks(job: SheetJob) -> Iterator[Block]:
    kits = "one kit" if job.project.kits == 1 else f"{job.project.kits} kits"
    yield Words(f"{job.title}: {kits}", 4.0, bold=True)
    yield from material_blocks(job)
    yield from piece_blocks(job)
    yield from layout_blocks(job)
    yield from template_blocks(job)
    yield from work_blocks(job)


def write_pdf(job: SheetJob, pages: Sequence[Page], path: Path) -> None:
    """Write the project sheet as a PDF, whole or not at all; raises FileError."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(DPI)
    writer.setTitle(f"{job.title}: project sheet")
    writer.setCreator("Plateful")
    paint_guide(writer, pages)
    buffer.close()
    write_bytes(finished(bytes(data.data()), pages), path)


def write_pictures(pages: Sequence[Page], folder: Path) -> list[Path]:
    """Write each page into a folder as 'sheet-1.png'; return the paths; raises FileError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(f"{folder}: the folder cannot be made ({error.strerror}); choose another one") from error
    made = []
    for index in range(len(pages)):
        made.append(folder / f"sheet-{index + 1}.png")
        write_bytes(_png(page_picture(pages, index)), made[-1])
    return made


def page_picture(pages: Sequence[Page], index: int, dpi: float = PICTURE_DPI) -> QImage:
    """Return one page as a picture of so many dots per inch."""
    sheet = pages[index].sheet
    width, height = sheet.width * sheet.stretch_x, sheet.height * sheet.stretch_y
    image = QImage(round(width / INCH * dpi), round(height / INCH * dpi), QImage.Format.Format_RGB32)
    image.setDotsPerMeterX(round(dpi * METRE))
    image.setDotsPerMeterY(round(dpi * METRE))
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    paint_page(painter, pages, index, dpi / INCH)
    painter.end()
    return image


def _png(image: QImage) -> bytes:
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    image.save(buffer, "PNG")  # type: ignore[call-overload]
    return bytes(buffer.data().data())
