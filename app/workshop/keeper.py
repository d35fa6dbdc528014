"""The tie between the open project and the workshop: opened at first need, every fault told in one sentence."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QObject, QTimer

from app.document.document import Document
from app.document.marking import Marking
from app.document.state import State
from app.messages.channel import Messages
from layout.model.errors import BehindError, DrawerError, PlatefulError
from layout.model.project import Project

if TYPE_CHECKING:
    from layout.workshop import Workshop

Got = TypeVar("Got")
AGREED = "What the workshop knows of this project"
AGAIN_MS = 5000  # after the workshop could not be told: another window may be at work, or the disk full


class Keeper(QObject):
    """Opens the store when it is first needed, and keeps its ticks in step with the document's."""

    def __init__(
        self,
        document: Document,
        marking: Marking,
        messages: Messages,
        folder: Path,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._messages, self._folder = document, messages, folder
        self._marking = marking
        self._store: Workshop | None = None
        self._late = False  # whether the workshop could not be told of an earlier step
        self._again = QTimer(self)
        self._again.setSingleShot(True)
        self._again.setInterval(AGAIN_MS)
        self._again.timeout.connect(self._try_again)
        marking.changed.connect(self._follow)
        document.replaced.connect(self._start_again)

    @property
    def store(self) -> Workshop:
        """The workshop; raises WorkshopError where it cannot be opened."""
        if self._store is None:
            from layout.workshop import open_workshop

            self._store = open_workshop(self._folder)
            self._marking.worth_keeping = self._store.worth_keeping
            for notice in self._store.notices:
                self._messages.news(notice)
        return self._store

    @property
    def begun(self) -> bool:
        """Whether there is a workshop on disk, without opening it."""
        return self._store is not None or any(self._folder.glob("workshop*"))

    def keep_from(self, size: float, messages: Messages | None = None) -> bool:
        """Keep of a cut sheet only what a circle of so many mm goes on, from now on; False where it was refused."""

        def put(store: Workshop) -> None:
            store.worth_keeping = size

        if not self.tell(put, messages):
            return False
        self._marking.worth_keeping = size
        return True

    def ask(self, question: Callable[[Workshop], Got], messages: Messages | None = None) -> Got | None:
        """Ask the workshop something; None where it refuses, and then the person has been told why."""
        try:
            return question(self.store)
        except PlatefulError as error:
            (messages or self._messages).fault(str(error))
            return None

    def tell(self, deed: Callable[[Workshop], object], messages: Messages | None = None) -> bool:
        """Let the workshop do something; False where it refuses, and then the person has been told why."""
        return self.ask(lambda store: (deed(store), True), messages) is not None

    def named(self) -> Project:
        """Return the open project with the lasting id by which the workshop knows it."""
        return self._marking.named()

    def agree(self) -> None:
        """Bring the project just opened and the workshop in step: a crash or another window may lie between."""
        if not self.begun and not self._document.project.done.runs:
            return
        document, marking = self._document, self._marking
        if marking.owed() is not None:
            self._again.start()  # it could not be told; once it is, they are brought in step
            return
        agreed = self.ask(lambda store: store.agree(document.project, document.plan, document.path))
        if agreed is None:
            return
        marking.expect(agreed.project)
        document.change(AGREED, State(agreed.project, agreed.plan))
        for notice in agreed.notices:
            self._messages.news(notice)

    def know(self) -> None:
        """Let the workshop know the project that was saved."""
        document = self._document
        if document.path is not None and self.begun:
            path = document.path
            self.ask(lambda store: store.know(document.project, path))

    @property
    def folder(self) -> Path:
        """Where the workshop lives."""
        return self._folder

    def move(self, to: Path, messages: Messages) -> Path | None:
        """Take the workshop to another folder; returns where the old one is left, None where it was refused.

        A folder that has a workshop already is gone over to as it is, and the old one stays whole where it was.
        """
        from layout.workshop.moving import holds_workshop, move_workshop

        self.ask(lambda store: store.worth_keeping, messages)  # there is a file from now on
        self.close()
        try:
            left = self._folder if holds_workshop(to) else move_workshop(self._folder, to)
        except PlatefulError as error:
            messages.fault(str(error))
            return None
        self._folder = to
        return left

    def close(self) -> None:
        """Close the workshop; it opens again at the next need."""
        self._again.stop()
        if self._store is not None:
            with suppress(PlatefulError):
                self._store.close()
            self._store = None

    def _follow(self, heard: Project, now: Project) -> None:
        """Let the workshop do what was done; a step that its drawer does not allow is gone back on."""
        late = self._late or not self._marking.binding
        try:
            self.store.follow(heard, now, self._document.path, late=late)
        except DrawerError as error:
            self._refuse(str(error), now)
            if isinstance(error, BehindError):
                QTimer.singleShot(0, self, self.agree)
        except PlatefulError as error:
            # The work goes on; what the workshop has not heard of is kept with it, also over a kill.
            if not self._late:
                self._messages.fault(str(error))
            self._late = True
            self._again.start()
        else:
            self._late = False
            self._again.stop()
            self._marking.take_as_heard(now)

    def _refuse(self, why: str, now: Project) -> None:
        """Go back on the step on its way; what was done long ago is left to agreeing."""
        if self._marking.binding and not self._late:
            if self._document.refuse():
                self._messages.fault(why)
            return
        self._messages.fault(why)
        self._marking.take_as_heard(now)
        self._again.start()

    def _try_again(self) -> None:
        """Tell the workshop what it has not heard of, without waiting; then they are in step, or it is too early."""
        with suppress(PlatefulError), self.store.in_haste():
            self._marking.tell()
        if self._marking.owed() is None:
            self._late = False
            self.agree()
        else:
            self._again.start()

    def _start_again(self) -> None:
        self._late = False
        self._again.stop()
