"""A photo as the picture of a thing: read from any common file, made small, kept as PNG."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QBuffer, QIODevice, QSize, Qt
from PySide6.QtGui import QIcon, QImage, QImageReader, QPixmap

SIDE = 512  # pixels of the longer side that are kept
LARGEST_MB = 256  # of a photo in memory while it is read
PHOTOS = "Pictures (*.png *.jpg *.jpeg *.bmp *.webp *.tif *.tiff);;All files (*)"


def photo_from(path: Path) -> bytes | None:
    """Read a photo upright and make it small; None where the file is no picture that can be read."""
    QImageReader.setAllocationLimit(LARGEST_MB)
    reader = QImageReader(str(path))
    reader.setAutoTransform(True)
    reader.setDecideFormatFromContent(True)
    size = reader.size()
    if size.isValid() and max(size.width(), size.height()) > SIDE:
        reader.setScaledSize(size.scaled(QSize(SIDE, SIDE), Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    return None if image.isNull() else _png(image)


def photo_icon(png: bytes) -> QIcon | None:
    """Return a kept photo as an icon; None where it cannot be shown."""
    image = QImage.fromData(png, "PNG")
    return None if image.isNull() else QIcon(QPixmap.fromImage(image))


def _png(image: QImage) -> bytes:
    small = image.scaled(SIDE, SIDE, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    small.save(buffer, "PNG")
    return bytes(buffer.data().data())
