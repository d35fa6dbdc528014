"""What the program remembers between starts: the look, the text size, recent files, hints already seen."""

from __future__ import annotations

import os
from pathlib import Path

from PySide6.QtCore import QObject, QSettings, QStandardPaths, Signal

RECENT_LENGTH = 8
TEXT_SCALES = (1.0, 1.25, 1.5, 1.75, 2.0)
THEMES = ("system", "light", "dark")


def home() -> Path:
    """Return the folder for the program's own files; the variable PLATEFUL_HOME moves it."""
    given = os.environ.get("PLATEFUL_HOME")
    if given:
        return Path(given)
    return Path(QStandardPaths.writableLocation(QStandardPaths.StandardLocation.GenericDataLocation)) / "plateful"


class Settings(QObject):
    """A thin front over one settings file; tells when the look or the recent files change."""

    look_changed = Signal()
    recent_changed = Signal()

    def __init__(self, folder: Path | None = None) -> None:
        super().__init__()
        self.folder = folder or home()
        self._store = QSettings(str(self.folder / "settings.ini"), QSettings.Format.IniFormat)

    @property
    def theme(self) -> str:
        """Return system, light or dark."""
        value = str(self._store.value("look/theme", "system"))
        return value if value in THEMES else "system"

    @theme.setter
    def theme(self, value: str) -> None:
        self._store.setValue("look/theme", value)
        self.look_changed.emit()

    @property
    def text_scale(self) -> float:
        """Return the person's text size against the usual one, from 1.0 to 2.0."""
        try:
            value = float(str(self._store.value("look/text_scale", 1.0)))
        except ValueError:
            return 1.0
        return min(max(value, TEXT_SCALES[0]), TEXT_SCALES[-1])

    @text_scale.setter
    def text_scale(self, value: float) -> None:
        self._store.setValue("look/text_scale", value)
        self.look_changed.emit()

    @property
    def recent(self) -> tuple[Path, ...]:
        """Return the project files opened last, newest first."""
        value = self._store.value("files/recent", [])
        names = [value] if isinstance(value, str) else list(value or [])
        return tuple(Path(str(name)) for name in names)

    def remember(self, path: Path) -> None:
        """Put a file at the head of the recent ones."""
        rest = [p for p in self.recent if p != path]
        self._store.setValue("files/recent", [str(p) for p in (path, *rest)][:RECENT_LENGTH])
        self.recent_changed.emit()

    def forget(self, path: Path) -> None:
        """Take a file off the recent ones."""
        self._store.setValue("files/recent", [str(p) for p in self.recent if p != path])
        self.recent_changed.emit()

    @property
    def workshop_folder(self) -> Path:
        """Return the folder where the workshop lives: the one she chose, else the program's own."""
        chosen = self.value("workshop/folder")
        return Path(chosen) if chosen else self.folder

    def flag(self, name: str) -> bool:
        """Whether something was noted once for good, such as a hint that was read."""
        return str(self._store.value(f"noted/{name}", "")) == "yes"

    def note(self, name: str) -> None:
        """Note something once for good."""
        self._store.setValue(f"noted/{name}", "yes")

    def value(self, name: str) -> str:
        """Return a remembered word, empty where there is none."""
        return str(self._store.value(name, ""))

    def set_value(self, name: str, value: str) -> None:
        """Remember a word."""
        self._store.setValue(name, value)
