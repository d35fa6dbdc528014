"""Plate pages as pictures, for a class handout."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, Qt
from PySide6.QtGui import QImage, QPainter

from app.guide.book import INCH, Page, paint_page
from app.guide.platepage import PlatePage
from layout.formats.writing import write_bytes
from layout.model.errors import FileError

DPI = 150
METRE = 39.3700787  # inches


def write_pictures(pages: Sequence[Page], folder: Path) -> list[Path]:
    """Write each plate page into a folder as 'page-3-layout-A.png'; return the paths; raises FileError."""
    make_folder(folder)
    made = []
    for index, page in enumerate(pages):
        if isinstance(page, PlatePage):
            made.append(folder / f"page-{index + 1}-layout-{_plain(page.layout.id)}.png")
            write_bytes(picture_bytes(pages, index), made[-1])
    return made


def make_folder(folder: Path) -> None:
    """Make a folder for pictures where there is none; raises FileError."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(f"{folder}: the folder cannot be made ({error.strerror}); choose another one") from error


def picture(pages: Sequence[Page], index: int, dpi: float = DPI, *, colour: bool = False) -> QImage:
    """Return one page as a picture of so many dots per inch, grey or in colour, white where nothing is drawn."""
    sheet = pages[index].sheet
    width, height = sheet.width * sheet.stretch_x, sheet.height * sheet.stretch_y
    kind = QImage.Format.Format_RGB32 if colour else QImage.Format.Format_Grayscale8
    image = QImage(round(width / INCH * dpi), round(height / INCH * dpi), kind)
    image.setDotsPerMeterX(round(dpi * METRE))
    image.setDotsPerMeterY(round(dpi * METRE))
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    paint_page(painter, pages, index, dpi / INCH)
    painter.end()
    return image


def picture_bytes(pages: Sequence[Page], index: int, dpi: float = DPI, *, colour: bool = False) -> bytes:
    """Return one page as the bytes of a PNG."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    picture(pages, index, dpi, colour=colour).save(buffer, "PNG")  # type: ignore[call-overload]
    return bytes(buffer.data().data())


def _plain(name: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in name)[:40]
