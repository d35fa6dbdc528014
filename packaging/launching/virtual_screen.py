"""A screen that exists in memory only, for tests of the real window."""

from __future__ import annotations

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager

from launching import system
from launching.saying import say


@contextmanager
def screen() -> Iterator[dict[str, str]]:
    """The variables under which Qt finds a screen: a virtual one where Xvfb is or can be installed, else memory."""
    if not _available():
        say("Xvfb is not installed; the window's tests draw into memory instead.")
        yield {"QT_QPA_PLATFORM": "offscreen"}
        return
    number_out, number_in = os.pipe()
    command = ["Xvfb", "-displayfd", str(number_in), "-screen", "0", "1600x1000x24", "-nolisten", "tcp"]
    quiet = subprocess.DEVNULL
    with subprocess.Popen(command, pass_fds=[number_in], stdin=quiet, stdout=quiet, stderr=quiet) as server:
        os.close(number_in)
        try:
            with os.fdopen(number_out) as answer:
                number = answer.readline().strip()
            yield {"DISPLAY": f":{number}", "QT_QPA_PLATFORM": "xcb"} if number else {"QT_QPA_PLATFORM": "offscreen"}
        finally:
            server.terminate()


def _available() -> bool:
    """Whether Xvfb and what Qt's X plugin leans on are here; as root they are brought."""
    missing = list(system.missing_libraries(system.TO_SHOW_ON_X).values()) if system.is_linux() else []
    if system.is_linux() and shutil.which("Xvfb") is None:
        missing.append("xvfb")
    if missing and system.can_install():
        system.install(missing)
        return True
    return system.is_linux() and not missing
