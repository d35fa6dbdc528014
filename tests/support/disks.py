"""A small disk of its own, mounted where the system lets one: to be filled to the brim, or to be read only."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

needs_root = pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0, reason="a small disk is mounted, which only root may do"
)


@contextmanager
def small_disk(at: Path, megabytes: int = 1) -> Iterator[Path]:
    """Mount an empty disk at a folder for a while; skips the test where none may be mounted."""
    at.mkdir(exist_ok=True)
    mount = ["mount", "-t", "tmpfs", "-o", f"size={megabytes}m", "tmpfs", str(at)]
    if subprocess.run(mount, check=False, capture_output=True).returncode:
        pytest.skip("no disk may be mounted here")
    try:
        yield at
    finally:
        subprocess.run(["umount", "-l", str(at)], check=True)


def make_read_only(disk: Path) -> None:
    """Let nobody write on a disk any more, root neither."""
    subprocess.run(["mount", "-o", "remount,ro", str(disk)], check=True)


def fill_up(disk: Path) -> Path:
    """Write until the disk is full; returns the file that takes the room."""
    filler = disk / "filler"
    with filler.open("wb", buffering=0) as file:
        for size in (2**16, 2**12, 1):
            try:
                while True:
                    file.write(b"x" * size)
            except OSError:
                continue
    return filler
