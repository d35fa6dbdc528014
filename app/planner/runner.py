"""The planner as a process of its own: what it finds comes in line by line, and stopping it keeps the best."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QProcess, QProcessEnvironment, QTemporaryDir, QTimer, Signal

from app.planner.priority import give_way
from layout.model.errors import FileError
from layout.model.plan import Plan
from layout.model.project import Project

if TYPE_CHECKING:
    from app.chores import Chores

ASKING, TAKING, ENDING = "asking the planner", "plan that came", "end of the planner"
TALKING = ("--stream", "--until-input-ends")  # says what it finds as it finds it, and stops once it is let go
ROOT = Path(__file__).resolve().parents[2]
USUAL_SECONDS = 30.0
PATIENCE_MS = 6000  # how long a planner that was asked to stop may take to do so
CRASHED = "The planner broke off; what it had found until then is kept. Plan again with F5."
EXIT_COMPLETE, EXIT_UNREADABLE, EXIT_PARTIAL = 0, 2, 3


@dataclass(frozen=True, slots=True)
class Progress:
    """The best plan so far and how it stands."""

    seconds: float
    plan: Plan
    proven: bool
    missing: int


class Runner(QObject):
    """Runs one planner at a time beside the window."""

    started = Signal()
    better = Signal(object)  # a Progress
    finished = Signal()
    failed = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.seconds = USUAL_SECONDS
        self.program = [sys.executable, "-m", "layout"]
        self.chores: Chores | None = None  # where files are written and plans are read a little at a time
        self._stopped = False
        self._process: QProcess | None = None
        self._folder: QTemporaryDir | None = None
        self._rest = b""
        self._told = b""
        self._end = QTimer(self)
        self._end.setSingleShot(True)
        self._end.setInterval(PATIENCE_MS)
        self._end.timeout.connect(self._kill)

    @property
    def running(self) -> bool:
        """Whether a planner is at work."""
        return self._process is not None

    def start(self, project: Project, held: Plan | None = None) -> None:
        """Begin planning a project around what a plan holds in place; a planner at work is dropped."""
        self.drop()
        folder = QTemporaryDir()
        process = QProcess(self)
        process.setProcessEnvironment(planner_environment())
        process.setWorkingDirectory(str(ROOT))
        process.started.connect(self._give_way)
        process.readyReadStandardOutput.connect(self._read)
        process.readyReadStandardError.connect(self._read_errors)
        process.finished.connect(self._finished)
        process.errorOccurred.connect(self._broken)
        self._process, self._folder, self._rest, self._told = process, folder, b"", b""
        self._stopped = False
        self._do(ASKING, self._ask(process, Path(folder.path()), project, held))
        self.started.emit()

    def stop(self) -> None:
        """Ask the planner to end; what it has found stays."""
        if self._process is None:
            return
        if self.chores is not None and self.chores.waits(ASKING):
            self.drop()
            self.finished.emit()
            return
        self._stopped = True
        self._process.closeWriteChannel()
        self._end.start()

    def drop(self) -> None:
        """End the planner at once and hear nothing more of it."""
        process, self._process = self._process, None
        self._end.stop()
        for work in (ASKING, TAKING, ENDING) if self.chores is not None else ():
            self.chores.drop(work)
        if process is not None:
            end_unheard(process)
        self._folder = None

    def _give_way(self) -> None:
        if self._process is not None:
            give_way(self._process.processId())

    def _do(self, name: str, work: Iterator[None]) -> None:
        if self.chores is not None:
            self.chores.add(name, work, first=True)
            return
        for _ in work:
            pass

    def _ask(self, process: QProcess, folder: Path, project: Project, held: Plan | None) -> Iterator[None]:
        """Write down what is asked, a little at every step, and let the planner begin."""
        from layout.formats.plan_file import plan_in_parts
        from layout.formats.project_file import project_in_parts

        yield from _written(project_in_parts(project), folder / "project.json")
        arguments = ["plan", str(folder / "project.json"), "--out", str(folder / "plan.json")]
        arguments += [*TALKING, "--seconds", f"{self.seconds:g}"]
        if held is not None:
            yield from _written(plan_in_parts(held), folder / "held.json")
            arguments += ["--hold", str(folder / "held.json")]
        process.start(self.program[0], [*self.program[1:], *arguments])

    def _read(self) -> None:
        if self._process is None:
            return
        *lines, self._rest = (self._rest + self._process.readAllStandardOutput().data()).split(b"\n")
        told = [line for line in lines if line.strip()]
        if told:
            self._do(TAKING, self._take(told[-1]))  # each is better than the one before

    def _read_errors(self) -> None:
        if self._process is not None:
            self._told += self._process.readAllStandardError().data()

    def _take(self, line: bytes) -> Iterator[None]:
        """Read one line of the planner, a little at every step, and tell it."""
        from layout.formats.plan_file import plan_in_steps

        try:
            told = json.loads(line)
            yield
            plan = yield from plan_in_steps(told["plan"], "the planner's plan")
            progress = Progress(float(told["seconds"]), plan, bool(told["proven"]), int(told["missing"]))
        except (ValueError, KeyError, TypeError, FileError) as error:
            self._told += f"the planner said something that cannot be read ({error})".encode()
            return
        yield
        self.better.emit(progress)

    def _finished(self, code: int) -> None:
        self._read()
        self._read_errors()
        self._end.stop()
        if self.chores is None:
            self._ended(code)
        else:
            self.chores.call(ENDING, lambda: self._ended(code))  # once the last plan is taken

    def _ended(self, code: int) -> None:
        told = self._told.decode(errors="replace").strip()
        self._process = None
        self._folder = None
        if code not in (EXIT_COMPLETE, EXIT_PARTIAL) and not self._stopped:
            # Only an unreadable project gets a sentence from the planner; what else it says is for its makers.
            unreadable = code == EXIT_UNREADABLE and told
            self.failed.emit(told.splitlines()[-1] if unreadable else CRASHED)
        self.finished.emit()

    def _broken(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._process = None
            self._folder = None
            self.failed.emit("The planner could not be started; install Plateful again.")
            self.finished.emit()

    def _kill(self) -> None:
        if self._process is not None:
            self._process.kill()


def end_unheard(process: QProcess) -> None:
    """End a process at once; nothing it still says, nor its end, is told to anyone."""
    process.blockSignals(True)  # disconnecting a receiver from all signals is refused by Qt for Python
    process.kill()
    process.waitForFinished(PATIENCE_MS)
    process.deleteLater()


def _written(parts: Iterator[bytes], path: Path) -> Iterator[None]:
    with path.open("wb") as file:
        for part in parts:
            file.write(part)
            yield


def planner_environment() -> QProcessEnvironment:
    """Return the surroundings in which the headless program finds itself."""
    environment = QProcessEnvironment.systemEnvironment()
    before = environment.value("PYTHONPATH", "")
    environment.insert("PYTHONPATH", os.pathsep.join(p for p in (str(ROOT), before) if p))
    return environment
