"""The workshop remembers: what is owned and what is left of it, for every project; light to load."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from layout.model.errors import WorkshopError
from layout.workshop.chronicle import Entry, Happening, KnownProject
from layout.workshop.things import Kind, Kit, Model, Thing
from layout.workshop.workshop import Agreed, Marked, Workshop

__all__ = [
    "Agreed",
    "Entry",
    "Happening",
    "Kind",
    "Kit",
    "KnownProject",
    "Marked",
    "Model",
    "Thing",
    "Workshop",
    "WorkshopError",
    "default_folder",
    "look_into_workshop",
    "open_workshop",
]


def open_workshop(folder: Path) -> Workshop:
    """Open the workshop kept in a folder, or begin one; raises WorkshopError with one sentence."""
    return Workshop(folder)


def look_into_workshop(folder: Path) -> Workshop:
    """Open the workshop of a folder to read only, beside a window that works in it; nothing is made or mended."""
    return Workshop(folder, only_look=True)


def default_folder() -> Path:
    """Return where this platform keeps a person's data; the variable PLATEFUL_HOME moves it."""
    if given := os.environ.get("PLATEFUL_HOME"):
        return Path(given)
    if sys.platform == "win32":
        base = os.environ.get("LOCALAPPDATA") or str(Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = str(Path.home() / "Library" / "Application Support")
    else:
        base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "plateful"
