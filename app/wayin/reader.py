"""Runs the reading process beside the window, one at a time, and says what it says."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path
from typing import Any

from PySide6.QtCore import QElapsedTimer, QObject, QProcess, QProcessEnvironment, QTemporaryDir, Signal

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_MS = 6000
ENDS = ("done", "images", "asks", "fault")
BROKEN = "could not be read: the reading broke off. Try a smaller picture, or scan at 300 dpi."


class Reader(QObject):
    """Reads one file in a process of its own; `stop` ends it at once."""

    told = Signal(dict)
    ended = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._process: QProcess | None = None
        self._folder = QTemporaryDir()
        self._rest = b""
        self._name = ""
        self._concluded = False
        self._since = QElapsedTimer()

    @property
    def seconds(self) -> int:
        """How long the file has been read."""
        return self._since.elapsed() // 1000 if self.running else 0

    @property
    def running(self) -> bool:
        """Whether a file is being read."""
        return self._process is not None

    def start(self, request: dict[str, Any]) -> None:
        """Begin to read a file; one that is being read is left."""
        self.stop()
        if request["how"] != "images":  # these are looked for on the picture that was written last time
            self._folder = QTemporaryDir()
        self._since.start()
        self._name, self._rest, self._concluded = Path(request["path"]).name, b"", False
        wish = Path(self._folder.path()) / "request.json"
        wish.write_text(json.dumps({**request, "folder": self._folder.path()}), "utf-8")
        process = self._process = QProcess(self)
        process.setProcessEnvironment(_environment())
        process.setWorkingDirectory(str(ROOT))
        process.setStandardErrorFile(QProcess.nullDevice())
        process.readyReadStandardOutput.connect(self._read)
        process.finished.connect(self._finished)
        process.errorOccurred.connect(self._broken)
        process.start(sys.executable, ["-m", "app.wayin.job", str(wish)])

    def stop(self) -> None:
        """End the reading and hear nothing more of it."""
        process, self._process = self._process, None
        if process is not None:
            process.blockSignals(True)
            process.kill()
            process.waitForFinished(PATIENCE_MS)
            process.deleteLater()
            self.ended.emit()

    def _read(self) -> None:
        if self._process is None:
            return
        *lines, self._rest = (self._rest + self._process.readAllStandardOutput().data()).split(b"\n")
        for line in lines:
            if line.strip():
                self._take(json.loads(line))

    def _take(self, said: dict[str, Any]) -> None:
        self._concluded = self._concluded or said["event"] in ENDS
        self.told.emit(said)

    def _finished(self) -> None:
        self._read()
        self._end()

    def _broken(self, error: QProcess.ProcessError) -> None:
        if error == QProcess.ProcessError.FailedToStart:
            self._end()

    def _end(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        process.deleteLater()
        if not self._concluded:
            self.told.emit({"event": "fault", "words": f"{self._name} {BROKEN}"})
        self.ended.emit()


def _environment() -> QProcessEnvironment:
    environment = QProcessEnvironment.systemEnvironment()
    before = environment.value("PYTHONPATH", "")
    environment.insert("PYTHONPATH", os.pathsep.join(p for p in (str(ROOT), before) if p))
    return environment
