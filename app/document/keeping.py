"""Nothing is lost: every gesture not saved yet is written down at once, and is back when the project opens again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, QTimer

from app.document.document import Document
from app.document.fitting import refuse_foreign
from app.document.journal import SUFFIX, Journal, changed_at
from app.document.marking import Marking
from app.document.moments import told_in
from app.document.owed import Owed
from app.document.state import State
from layout.model.errors import FileError

SETTLE_MS = 250  # from the first gesture on: against a power cut the disk itself is asked, beside the work
AGAIN_MS = 1000  # after a refusal, as by a full disk
BACK = "Changes kept from last time"
UNTITLED = "untitled"


class Keeping(QObject):
    """Writes each gesture down before the next one can begin, in a file beside the settings."""

    def __init__(
        self, document: Document, folder: Path, failed: Callable[[str], None], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._folder, self._failed = document, folder, failed
        self._marking: Marking | None = None
        self._told_failure = False
        self._opened: Journal | None = None
        self._settle = _timer(self, SETTLE_MS, lambda: self._journal.settle())
        self._again = _timer(self, AGAIN_MS, self._write)
        document.leaving.connect(self.drop)  # before its undo steps go, for without any it would count as saved
        for changed in (document.project_changed, document.plan_changed, document.title_changed):
            changed.connect(self._write)

    def mind(self, marking: Marking) -> None:
        """Write down what the workshop has not heard of, too: before it hears, so that a kill between is made good."""
        self._marking = marking
        marking.heard.connect(self._write)

    def keep(self) -> None:
        """See to it that what is not saved outlasts the power too."""
        self._write()
        self._settle.stop()
        if self._opened is not None:
            self._opened.settle(wait=True)

    def drop(self) -> None:
        """Let go of the file; what is in it stays, to be brought back."""
        self._settle.stop()
        self._again.stop()
        if self._opened is not None:
            self._opened.leave()
        self._opened = None

    def bring_back(self) -> bool:
        """Put kept changes back, an undo step for each window that left some; False where there are none to be read."""
        left = self._journal.left_behind()
        for path in left:
            try:
                told = told_in(path.read_bytes())
                if told is None:
                    continue
                refuse_foreign(told[0].project, told[0].plan, "kept changes")
            except (OSError, FileError):
                continue
            self._put_back(*told)
            if not self._told_failure:  # it is written down anew
                path.unlink(missing_ok=True)
        return bool(left) and not self._document.saved

    def untitled_last(self) -> bool:
        """Whether a project that was never saved is what was kept aside last."""
        untitled = Journal(self._folder, UNTITLED).left_behind()
        if not untitled:
            return False
        last = changed_at(untitled[-1])
        return all(changed_at(kept) <= last for kept in self._folder.glob(f"*{SUFFIX}"))

    # ---- inside -------------------------------------------------------------------------------------------------

    def _put_back(self, state: State, owed: Owed | None) -> None:
        """Go on to a state; the workshop hears now of what it had not heard of."""
        if self._marking is None:
            self._document.change(BACK, state)
            return
        self._marking.binding = False  # it stood before the kill; where the drawer says otherwise, agreeing finds out
        self._marking.expect(state.project if owed is None else owed.before(state.project))
        self._document.change(BACK, state)
        self._marking.tell()  # the file may hold all but that
        self._marking.binding = True

    def _write(self) -> None:
        owed = None if self._marking is None else self._marking.owed()
        try:
            if owed is not None or not self._document.on_disk:
                self._journal.tell(self._document.state, owed)
                if not self._settle.isActive():
                    self._settle.start()
            elif self._opened is not None:
                self._opened.clear()
                self._opened = None  # it may have been saved under another name
            self._told_failure = False
        except OSError as error:
            if not self._told_failure:
                self._failed(
                    f"Your changes cannot be kept aside ({error.strerror or error}); save the project elsewhere."
                )
            self._told_failure = True
            self._again.start()

    @property
    def _journal(self) -> Journal:
        if self._opened is None:
            self._opened = Journal(self._folder, _name_for(self._document.path))
        return self._opened


def _name_for(path: Path | None) -> str:
    if path is None:
        return UNTITLED
    import hashlib  # no start should wait for it

    return hashlib.sha256(str(path).encode()).hexdigest()[:16]


def _timer(parent: QObject, wait: int, act: Callable[[], None]) -> QTimer:
    timer = QTimer(parent)
    timer.setSingleShot(True)
    timer.setInterval(wait)
    timer.timeout.connect(act)
    return timer
