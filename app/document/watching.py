"""Whether the project's file was changed by somebody else since it was read or saved here."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, QTimer, Signal

from app.document.document import Document

LOOK_MS = 3000

Stamp = tuple[int, int, int]  # time of the last change, size, and which file it is: a file put in its place is another


class Watching(QObject):
    """Looks at the file now and then; tells once for each change."""

    changed = Signal(object)  # the Path

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._known: Stamp | None = None
        self._told: Stamp | None = None
        self._timer = QTimer(self)
        self._timer.setInterval(LOOK_MS)
        self._timer.timeout.connect(self.look)
        document.replaced.connect(self.note)

    def note(self) -> None:
        """Take the file as it is now for the one that is known."""
        path = self._document.path
        self._known = self._told = stamp_of(path) if path is not None else None
        if path is None:
            self._timer.stop()
        else:
            self._timer.start()

    def is_changed(self, path: Path) -> bool:
        """Whether the open project's file is another than the one known; a file that is gone is no change."""
        if path != self._document.path or self._known is None:
            return False
        return stamp_of(path) not in (None, self._known)

    def look(self) -> None:
        """Look at the file now, and tell where it has changed since it was last told."""
        path = self._document.path
        if path is None or not self.is_changed(path):
            return
        now = stamp_of(path)
        if now != self._told:
            self._told = now
            self.changed.emit(path)


def stamp_of(path: Path) -> Stamp | None:
    """Return what tells one state of a file from another, None where it cannot be looked at."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino
