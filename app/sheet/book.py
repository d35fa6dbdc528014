"""Which pages a project sheet has, and writing them as PDF or pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from app.guide.book import Page
from app.guide.flow import Block, Words, flow
from app.guide.handout import make_folder, picture_bytes
from app.guide.pdf import titled_pdf
from app.sheet.job import SheetJob
from app.sheet.lists import material_blocks, piece_blocks
from app.sheet.template import template_blocks, true_pages
from app.sheet.work import layout_blocks, work_blocks
from layout.formats.writing import write_bytes


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
    write_bytes(titled_pdf(f"{job.title}: project sheet", pages), path)


def write_pictures(pages: Sequence[Page], folder: Path) -> list[Path]:
    """Write each page into a folder as 'sheet-1.png'; return the paths; raises FileError."""
    make_folder(folder)
    made = []
    for index in range(len(pages)):
        made.append(folder / f"sheet-{index + 1}.png")
        write_bytes(picture_bytes(pages, index, colour=True), made[-1])
    return made
