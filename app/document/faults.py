"""What is wrong with the plan now: the engine's findings, read afresh after every change."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal

from app.document.document import Document
from layout.model.plan import Plan

if TYPE_CHECKING:
    from app.chores import Chores
    from layout.rules.finding import Finding

PAUSE_MS = 20  # the change itself is painted first
READING = "faults"

_DIE = re.compile(r"layouts\[(\d+)\]\.dies\[(\d+)\]")
_SCRAP = re.compile(r"layouts\[(\d+)\]\.runs\[(\d+)\]\.scraps\[(\d+)\]")
_RUN = re.compile(r"layouts\[(\d+)\](?:\.runs\[(\d+)\])?")


class Faults(QObject):
    """Findings of the whole plan; reading them waits for the next idle moment, so that a change shows first."""

    changed = Signal()

    def __init__(self, document: Document, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._findings: tuple[Finding, ...] = ()
        self._fresh = True
        self._waiting = False
        self.chores: Chores | None = None  # where reading may be done a little at a time
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(PAUSE_MS)
        self._timer.timeout.connect(self._begin)
        document.replaced.connect(self._stale)
        document.plan_changed.connect(self._stale)
        document.project_changed.connect(self._stale)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Every broken rule of the present plan that is a fault of what lies there; what is merely missing is none."""
        if not self._fresh:
            self.refresh()
        return self._findings

    @property
    def known(self) -> tuple[Finding, ...]:
        """The findings as last read, without reading them now."""
        return self._findings

    def refresh(self) -> None:
        """Read the findings now."""
        self._timer.stop()
        if self.chores is not None:
            self.chores.drop(READING)
        for _ in self._read():
            pass

    def wait(self) -> None:
        """Read nothing until told to `go`: loading the rules must not hold up the first picture."""
        self._waiting = True
        self._timer.stop()

    def go(self) -> None:
        """Read whenever something changes, beginning with what changed meanwhile."""
        self._waiting = False
        if not self._fresh:
            self._timer.start()

    def _begin(self) -> None:
        if self.chores is None:
            self.refresh()
        else:
            self.chores.add(READING, self._read())

    def _read(self) -> Iterator[None]:
        """Read the findings, a little at every step; they are told when all are there."""
        found: list[Finding] = []
        if self._document.plan != Plan():  # a project that was never planned has no faults yet: all is still to do
            from layout.rules import check_in_parts

            for part in check_in_parts(self._document.project, self._document.plan, self._document.unit):
                found += part
                yield
        self._fresh = True
        self._findings = tuple(found)
        self.changed.emit()

    def _stale(self) -> None:
        self._fresh = False
        if self.chores is not None:
            self.chores.drop(READING)
        if not self._waiting:
            self._timer.start()


def dies_of(findings: Iterable[Finding], layout: int) -> frozenset[int]:
    """Return the numbers of the dies of a layout that findings are about."""
    found = (_DIE.fullmatch(thing) for finding in findings for thing in finding.things)
    return frozenset(int(m[2]) for m in found if m and int(m[1]) == layout)


def scraps_of(findings: Iterable[Finding], layout: int, run: int) -> frozenset[int]:
    """Return the numbers of the scraps of a run that findings are about."""
    found = (_SCRAP.fullmatch(thing) for finding in findings for thing in finding.things)
    return frozenset(int(m[3]) for m in found if m and (int(m[1]), int(m[2])) == (layout, run))


def place_of(finding: Finding) -> tuple[int, int] | None:
    """Return layout and run that a finding is about, None where it is about neither."""
    for thing in finding.things:
        match = _RUN.match(thing)
        if match:
            return int(match[1]), int(match[2] or 0)
    return None
