"""A question asked of a process of its own; its answer comes in line by line, ending it ends the question."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QProcess, QTemporaryDir, Signal

from app.planner.runner import ROOT, TALKING, end_unheard, planner_environment
from layout.model.project import Project

ANSWERED = (0, 3)  # exit codes: all of it can be made, or not all


class Question(QObject):
    """Asks one question at a time."""

    told = Signal(object)
    failed = Signal(str)
    ended = Signal()
    FAILED = "That was not found out; ask once more."

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.program = [sys.executable, "-m", "layout"]
        self._process: QProcess | None = None
        self._folder: QTemporaryDir | None = None
        self._rest = b""

    @property
    def running(self) -> bool:
        """Whether an answer is still to come."""
        return self._process is not None

    def drop(self) -> None:
        """End the question and hear nothing more of it."""
        process, self._process = self._process, None
        self._rest, self._folder = b"", None
        if process is not None:
            end_unheard(process)

    def read(self, told: dict[str, Any]) -> object:
        """Return what one line says; raises KeyError, TypeError or ValueError where it says nothing."""
        raise NotImplementedError

    def _hand_over(self, project: Project) -> Path:
        """Write a project where the process finds it; raises FileError."""
        from layout.formats.project_file import write_project

        self._folder = QTemporaryDir()
        path = Path(self._folder.path()) / "project.json"
        write_project(project, path)
        return path

    def _ask(self, arguments: Sequence[str]) -> None:
        process = self._process = QProcess(self)
        process.setProcessEnvironment(planner_environment())
        process.setWorkingDirectory(str(ROOT))
        process.readyReadStandardOutput.connect(self._read)
        process.finished.connect(self._finished)
        process.errorOccurred.connect(self._broken)
        process.start(self.program[0], [*self.program[1:], *arguments, *TALKING])

    def _read(self) -> None:
        if self._process is None:
            return
        *lines, self._rest = (self._rest + self._process.readAllStandardOutput().data()).split(b"\n")
        for line in lines:
            try:
                answer = self.read(json.loads(line))
            except (ValueError, KeyError, TypeError):
                self.failed.emit(self.FAILED)
                continue
            self.told.emit(answer)

    def _finished(self, code: int) -> None:
        self._read()
        process, self._process = self._process, None
        if code not in ANSWERED:
            said = process.readAllStandardError().data().decode(errors="replace").strip() if process else ""
            self.failed.emit(said.splitlines()[-1] if code == UNREADABLE and said else self.FAILED)
        self.ended.emit()

    def _broken(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._process = None
            self.failed.emit("The planner could not be started; install Plateful again.")
            self.ended.emit()


UNREADABLE = 2  # the exit code with which one clear sentence comes
