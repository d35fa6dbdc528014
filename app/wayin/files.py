"""Which files come in by this way; known without loading what reads them."""

from __future__ import annotations

from pathlib import Path

PICTURES = (".png", ".jpg", ".jpeg", ".tif", ".tiff")
DRAWINGS = (".svg", ".dxf")


def is_way_in(path: Path) -> bool:
    """Tell whether a file is a picture or a drawing."""
    return path.suffix.lower() in (*PICTURES, *DRAWINGS)
