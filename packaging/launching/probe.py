"""A tiny child process that opens a window, since Qt ends the whole process where it cannot."""

from __future__ import annotations

import os
import subprocess

from launching import system
from launching.environment import Environment
from launching.saying import SetupError

WINDOW = """
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtSvg import QSvgRenderer
from PySide6.QtWidgets import QApplication, QWidget
application = QApplication(['plateful'])
window = QWidget()
window.show()
application.processEvents()
print('opened')
"""
NO_SCREEN = ("could not connect to display", "Failed to create wl_display")


def opens_window(environment: Environment, *, on_screen: bool) -> bool:
    """Whether a window opens; False where the screen is out of reach. Raises SetupError where Qt itself fails."""
    command = [str(environment.python), "-c", WINDOW]
    variables = environment.variables() if on_screen else without_screen(environment)
    try:
        done = subprocess.run(
            command, env=variables, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=120, check=False
        )
    except subprocess.TimeoutExpired:
        raise SetupError("Qt did not open a window within two minutes; restart the desktop and start again.") from None
    if "opened" in done.stdout:
        return True
    if any(sign in done.stderr for sign in NO_SCREEN):
        return False
    raise SetupError(f"Qt cannot open a window on this machine: {_reason(done.stderr)}")


def without_screen(environment: Environment) -> dict[str, str]:
    """The variables with which Qt draws into memory."""
    return environment.variables() | {"QT_QPA_PLATFORM": "offscreen"}


def prepare_libraries(*, on_screen: bool) -> bool:
    """See that the system's libraries for Qt are there; True when some had to be installed. Raises SetupError."""
    needed = system.libraries_for_qt(on_screen=on_screen)
    missing = system.missing_libraries(needed)
    if not missing:
        return False
    packages = [*missing.values(), *(system.missing_python_parts() if os.geteuid() else [])]
    system.install(packages, missing)
    return True


def _reason(stderr: str) -> str:
    lines = [line for line in stderr.strip().splitlines() if line.strip()]
    named = [line for line in lines if "cannot open shared object file" in line or "libxcb-cursor" in line]
    return (named or lines or ["it gave no reason"])[-1].strip()
