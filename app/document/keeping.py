"""Nothing is lost: changes that are not saved yet are kept aside, and are back when the project is opened again."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.document.document import Document
from app.document.fitting import refuse_foreign
from app.document.state import State
from layout.model.errors import FileError
from layout.model.project import Project

if TYPE_CHECKING:
    from app.chores import Chores

KEEPING = "keeping aside"
DELAY_MS = 1000  # from the first change on, so that a busy hand cannot put it off: on the disk within two seconds
BACK = "Changes kept from last time"


class Keeping(QObject):
    """Writes the unsaved state aside a moment after each change, and at once when asked to."""

    def __init__(
        self, document: Document, folder: Path, failed: Callable[[str], None], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._folder, self._failed = document, folder, failed
        self._kept: tuple[Project, Path] | None = None  # what was written aside last, and where
        self.chores: Chores | None = None  # where what is long may be written a little at a time
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(DELAY_MS)
        self._timer.timeout.connect(self._begin)
        document.project_changed.connect(self._wait)
        document.plan_changed.connect(self._wait)
        document.title_changed.connect(self._wait)

    def _wait(self) -> None:
        if not self._timer.isActive():
            self._timer.start()

    def keep(self) -> None:
        """Write the unsaved state aside; where nothing is unsaved, clear what was kept."""
        self._timer.stop()
        if self.chores is not None:
            self.chores.drop(KEEPING)
        for _ in self._keep():
            pass

    def _begin(self) -> None:
        if self.chores is None:
            self.keep()
        else:
            self.chores.add(KEEPING, self._keep())

    def _keep(self) -> Iterator[None]:
        """Do it a little at every step; the files are written when all of both is ready."""
        from layout.formats.plan_file import plan_in_parts
        from layout.formats.project_file import project_in_parts
        from layout.formats.writing import write_bytes

        state, saved = self._document.state, self._document.saved
        project, plan = self._places(self._document.path)
        try:
            if saved:
                self._kept = None
                project.unlink(missing_ok=True)
                plan.unlink(missing_ok=True)
                return
            self._folder.mkdir(parents=True, exist_ok=True)
            laid = yield from _joined(plan_in_parts(state.plan))
            # The outlines take long to write and seldom change: only what changed is written, so no hand waits for it.
            if self._kept is None or self._kept[0] is not state.project or self._kept[1] != project:
                asked = yield from _joined(project_in_parts(state.project))
                write_bytes(asked, project)
                self._kept = (state.project, project)
            write_bytes(laid, plan)
        except (OSError, FileError) as error:
            self._failed(f"Your changes cannot be kept aside ({error}); save the project somewhere else.")

    def bring_back(self) -> bool:
        """Put kept changes back as one undo step; False where there are none that can be read."""
        from layout.formats.plan_file import read_plan
        from layout.formats.project_file import read_project

        project, plan = self._places(self._document.path)
        if not project.is_file() or not plan.is_file():
            return False
        try:
            state = State(read_project(project), read_plan(plan))
            refuse_foreign(state.project, state.plan, "kept changes")
        except FileError:
            return False
        self._document.change(BACK, state)
        return not self._document.saved

    def untitled_last(self) -> bool:
        """Whether a project that was never saved is what was kept aside last."""
        untitled = self._places(None)[0]
        if not untitled.is_file():
            return False
        plans = set(self._folder.glob("*.plan.json"))
        others = set(self._folder.glob("*.json")) - plans - {untitled}
        return all(kept.stat().st_mtime <= untitled.stat().st_mtime for kept in others)

    def drop(self) -> None:
        """Stop waiting to write."""
        self._timer.stop()
        if self.chores is not None:
            self.chores.drop(KEEPING)

    def _places(self, path: Path | None) -> tuple[Path, Path]:
        import hashlib

        name = "untitled" if path is None else hashlib.sha256(str(path).encode()).hexdigest()[:16]
        return self._folder / f"{name}.json", self._folder / f"{name}.plan.json"


def _joined(parts: Iterator[bytes]) -> Generator[None, None, bytes]:
    """Return parts as one, a step for each."""
    data = bytearray()
    for part in parts:
        data += part
        yield
    return bytes(data)
