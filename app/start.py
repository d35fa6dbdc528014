"""From the command line to a window with the project in it."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtWidgets import QApplication

from app.document.files import open_into
from app.settings import Settings
from app.window import Window
from layout.model.errors import FileError

SAY_WHEN_READY = "--say-when-ready"
DEMO = Path(__file__).resolve().parents[1] / "resources" / "demo" / "night-garden.json"

STYLE = ("-style", "fusion")  # asked for as a word: asking by QStyle makes Qt for Python build all of that class first


def run_window(arguments: list[str]) -> int:
    """Open the window on the project that is named, the last one, or the demo; returns the exit code."""
    say = SAY_WHEN_READY in arguments
    asked = _asked([a for a in arguments if a != SAY_WHEN_READY])
    app = QApplication.instance() or QApplication([*sys.argv[:1], *STYLE])
    assert isinstance(app, QApplication)
    app.setApplicationName("Plateful")
    app.setDesktopFileName("plateful")
    settings = Settings()
    window = Window(settings)
    window.messages.catch_all()
    window.faults.wait()
    window.canvas.painted.connect(_at_first_picture(window, say), Qt.ConnectionType.SingleShotConnection)
    open_first(window, settings, asked)
    window.show()
    return app.exec()


def open_first(window: Window, settings: Settings, asked: Path | None) -> None:
    """Open what was asked for, else a new project left unsaved, else the last that is still there, else the demo."""
    if asked is None and window.keeping.untitled_last():
        return  # the empty project takes back what was kept of it
    last = next((p for p in settings.recent if p.is_file()), None)
    path = asked or last or DEMO
    try:
        open_into(window.document, path.resolve() if asked else path)
    except FileError as error:
        window.messages.fault(str(error))
        return
    if path != DEMO:
        settings.remember(window.document.path or path)


def _asked(arguments: list[str]) -> Path | None:
    """Return the file that the command line names."""
    if not arguments:
        return None
    import argparse  # costs more than it is worth where nothing is asked

    parser = argparse.ArgumentParser(prog="python -m app", description="Plan and tape down dies on the plate.")
    parser.add_argument("project", nargs="?", type=Path, help="a project or plan file to open")
    parser.add_argument(SAY_WHEN_READY, action="store_true", help="print 'ready' once the window shows its content")
    project: Path | None = parser.parse_args(arguments).project
    return project


def _at_first_picture(window: Window, say: bool) -> Callable[[], None]:
    def shown() -> None:
        if say:
            print("ready", flush=True)
        gc.enable()
        QTimer.singleShot(0, window, lambda: live_on(window))

    return shown


def live_on(window: Window) -> None:
    """Finish a window that has been seen; from then on nothing that takes long holds up a hand."""
    from app.chores import Chores

    window.finish()
    window.work_between(Chores(window))
    gc.collect()
    gc.freeze()  # what is there now stays: looking through all of it again and again would hold up a hand
