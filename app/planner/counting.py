"""'What can I make?' asked of a process of its own; its answer comes in line by line, ending it ends the question."""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from PySide6.QtCore import QObject, QProcess, QTemporaryDir, Signal

from app.planner.runner import ROOT, end_unheard, planner_environment
from layout.model.project import Project

SECONDS = 20.0
FAILED = "What can be made was not found out; ask once more."


@dataclass(frozen=True, slots=True)
class Answer:
    """What is known so far, as plain data of `python -m layout makeable`."""

    kits: int
    most: int
    asked: int
    short: tuple[tuple[str, int, tuple[float, float], str], ...]
    cures: tuple[tuple[str, tuple[float, float], int, int], ...]
    incurable: tuple[str, ...]
    final: bool


class Counting(QObject):
    """Asks one question at a time."""

    told = Signal(object)  # an Answer
    failed = Signal(str)
    ended = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.seconds = SECONDS
        self.program = [sys.executable, "-m", "layout"]
        self._process: QProcess | None = None
        self._folder: QTemporaryDir | None = None
        self._rest = b""

    @property
    def running(self) -> bool:
        """Whether an answer is still to come."""
        return self._process is not None

    def start(self, project: Project, sheet: tuple[float, float]) -> None:
        """Ask about a project; raises FileError where it cannot be handed over."""
        from layout.formats.project_file import write_project

        self.drop()
        self._folder = QTemporaryDir()
        path = Path(self._folder.path()) / "project.json"
        write_project(project, path)
        process = self._process = QProcess(self)
        process.setProcessEnvironment(planner_environment())
        process.setWorkingDirectory(str(ROOT))
        process.readyReadStandardOutput.connect(self._read)
        process.finished.connect(self._finished)
        process.errorOccurred.connect(self._broken)
        asked = ["makeable", str(path), "--stream", "--seconds", f"{self.seconds:g}"]
        process.start(self.program[0], [*self.program[1:], *asked, "--sheet", f"{sheet[0]:g}", f"{sheet[1]:g}"])

    def drop(self) -> None:
        """End the question and hear nothing more of it."""
        process, self._process = self._process, None
        self._rest, self._folder = b"", None
        if process is not None:
            end_unheard(process)

    def _read(self) -> None:
        if self._process is None:
            return
        *lines, self._rest = (self._rest + self._process.readAllStandardOutput().data()).split(b"\n")
        for line in lines:
            try:
                self.told.emit(answer_of(json.loads(line)))
            except (ValueError, KeyError, TypeError):
                self.failed.emit(FAILED)

    def _finished(self, code: int) -> None:
        self._read()
        self._process = None
        if code not in (0, 3):
            self.failed.emit(FAILED)
        self.ended.emit()

    def _broken(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._process = None
            self.failed.emit("The planner could not be started; install Plateful again.")
            self.ended.emit()


def answer_of(told: dict[str, Any]) -> Answer:
    """Read one line of the answer; raises KeyError, TypeError or ValueError where it is none."""
    return Answer(
        int(told["kits"]),
        int(told["most"]),
        int(told["asked"]),
        tuple((str(s["wanted"]), int(s["count"]), _pair(s["needs"]), str(s["why"])) for s in told["short"]),
        tuple((str(c["paper"]), _pair(c["sides"]), int(c["sheets"]), int(c["least"])) for c in told["cures"]),
        tuple(str(p) for p in told["incurable"]),
        told["event"] == "done",
    )


def _pair(sides: Any) -> tuple[float, float]:
    width, length = sides
    return float(width), float(length)
