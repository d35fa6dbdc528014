"""The guide as a PDF: Qt's own writer for the pages, then the few entries it cannot set."""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby
from pathlib import Path

from pypdf import PageObject, PdfWriter
from pypdf.generic import ArrayObject, IndirectObject, NameObject, RectangleObject, StreamObject
from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QPdfWriter

from app.guide.book import Page, paint_guide
from app.guide.job import Job
from layout.formats.writing import write_bytes

DPI = 1200
POINT = 72 / 25.4
LARGE = 1_000_000
"""From this many bytes on, what pages draw alike is stored once."""
WORTH = 2000
"""Shorter stretches (bytes, before they are packed) are not worth a stream of their own."""
ENDS = (b"\nS\n", b"\nQ\n", b"\nB*\n", b"\nf*\n")
"""Where one thing is drawn and the next begins: after a stroke, a restored state, or a fill."""
SPLIT = b"\0"
"""Stands in no contents: Qt writes them as plain letters."""


def write_pdf(job: Job, pages: Sequence[Page], path: Path) -> None:
    """Write the guide to a file, whole or not at all; raises FileError."""
    write_bytes(pdf_bytes(job, pages), path)


def pdf_bytes(job: Job, pages: Sequence[Page]) -> bytes:
    """Return the guide as a PDF that asks printers not to scale it."""
    return titled_pdf(f"{job.title}: placement guide", pages)


def titled_pdf(title: str, pages: Sequence[Page]) -> bytes:
    """Return pages as a PDF of a title that asks printers not to scale it."""
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setResolution(DPI)
    writer.setTitle(title)
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
    if len(raw) > LARGE:
        share_alike(file)
    for page, made in zip(file.pages, pages, strict=True):
        _set_size(page, made.sheet.width * made.sheet.stretch_x, made.sheet.height * made.sheet.stretch_y)
    out = io.BytesIO()
    file.write(out)
    return out.getvalue()


def share_alike(file: PdfWriter) -> None:
    """Store what is drawn alike on several pages, such as a layout's dies, once.

    A page's contents may be several streams one after the other (ISO 32000-1, 7.8.2), and pages may share them. Nothing
    is changed or moved: only the cuts between streams are chosen so that equal stretches become the same stream.
    """
    drawn = [operations(page.get_contents().get_data()) for page in file.pages]
    often = Counter(operation for page in drawn for operation in set(page))
    runs = [[b"".join(run) for _, run in groupby(page, lambda one: often[one] > 1)] for page in drawn]
    seen = Counter(run for page in runs for run in set(page) if len(run) >= WORTH)
    kept: dict[bytes, IndirectObject] = {}
    for page, own in zip(file.pages, runs, strict=True):
        place = page.raw_get("/Contents")
        streams = list(_streams(own, seen))
        # What is the page's own stays in the object that Qt made for it, so that nothing is left over in the file.
        place.get_object().set_data(streams[0][1])
        rest = [_stored(file, kept, data, alike) for alike, data in streams[1:]]
        page[NameObject("/Contents")] = ArrayObject([place, *rest])


def operations(contents: bytes) -> list[bytes]:
    """Cut a page's contents where one thing is drawn and the next begins; joined they are what they were."""
    for end in ENDS:
        contents = contents.replace(end, end + SPLIT)
    return contents.split(SPLIT)


def _streams(runs: list[bytes], seen: Counter[bytes]) -> Iterator[tuple[bool, bytes]]:
    """Give what lies between shared runs, joined, and the shared runs one by one; the first is never shared."""
    between: list[bytes] = []
    for run in runs:
        if seen[run] > 1:
            yield False, b"".join(between)
            yield True, run
            between = []
        else:
            between.append(run)
    yield False, b"".join(between)


def _stored(file: PdfWriter, kept: dict[bytes, IndirectObject], data: bytes, alike: bool) -> IndirectObject:
    if data in kept:
        return kept[data]
    stream = StreamObject()
    stream.set_data(data)
    made = file._add_object(stream.flate_encode())
    if alike:
        kept[data] = made
    return made


def _set_size(page: PageObject, width: float, height: float) -> None:
    top = float(page.mediabox.top)  # Qt measures from the upper edge, so that edge stays
    page.mediabox = RectangleObject((0, top - height * POINT, width * POINT, top))
