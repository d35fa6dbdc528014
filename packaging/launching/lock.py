"""A lock between two starts at the same time; the operating system lets go of it when its holder dies."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from launching.saying import say


@contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold the lock file for the length of the block; waits for another start that holds it.

    A child process started with `close_fds=False` shares it (not on Windows): pip may outlive a killed start.
    """
    with path.open("a+b") as file:
        os.set_inheritable(file.fileno(), True)
        if not _taken(file):
            say("Another start is installing just now; waiting for it.")
            while not _taken(file):
                time.sleep(0.5)
        yield


def _taken(file: IO[bytes]) -> bool:
    try:
        _lock(file)
    except OSError:
        return False
    return True


if sys.platform == "win32":
    import msvcrt

    def _lock(file: IO[bytes]) -> None:
        file.seek(0)
        msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(file: IO[bytes]) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
