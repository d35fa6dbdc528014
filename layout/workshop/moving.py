"""The workshop taken to another folder: copied, read through, and only then left behind as a backup."""

from __future__ import annotations

import contextlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from layout.model.errors import WorkshopError
from layout.workshop.backups import FOLDER, copy, sum_of
from layout.workshop.base import BUSY, NAME, WAIT
from layout.workshop.looking import code_of, file_is_whole

SEAL = "workshop.seal"


def holds_workshop(folder: Path) -> bool:
    """Whether a folder has a workshop already."""
    return (folder / NAME).exists() or (folder / FOLDER).exists()


def move_workshop(folder: Path, to: Path) -> Path:
    """Take the workshop from one folder to another; returns where the old one is left. Nobody here may have it open.

    Raises WorkshopError with one sentence, and then everything is where it was.
    """
    if holds_workshop(to):
        raise WorkshopError(f"the folder {to} has a workshop already; choose an empty folder")
    try:
        made = not to.exists()
        to.mkdir(parents=True, exist_ok=True)
        try:
            with _nobody_writing(folder / NAME):
                _copy_all(folder, to)
                return _set_aside(folder)
        except BaseException:
            _take_away(to, made)
            raise
    except (OSError, sqlite3.Error) as error:
        raise WorkshopError(_told(error, folder, to)) from error


@contextlib.contextmanager
def _nobody_writing(path: Path) -> Iterator[None]:
    """Hold off every other window while the file is copied."""
    with contextlib.closing(sqlite3.connect(path, timeout=WAIT, isolation_level=None)) as base:
        base.execute("BEGIN IMMEDIATE")
        try:
            yield
        finally:
            base.execute("ROLLBACK")


def _copy_all(folder: Path, to: Path) -> None:
    pairs = [(folder / NAME, to / NAME)]
    pairs += [(file, to / FOLDER / file.name) for file in sorted((folder / FOLDER).glob("*")) if file.is_file()]
    for old, new in pairs:
        copy(old, new)
        if sum_of(old) != sum_of(new):
            raise OSError(f"{new.name} was not written as it was read")
    if not file_is_whole(to / NAME):
        raise OSError("the copy cannot be read")


def _set_aside(folder: Path) -> Path:
    """Leave the old files under another name, so that no window goes on with them by mistake."""
    moment = datetime.now(UTC).strftime("%Y-%m-%d %H%M%S")
    aside = folder / f"workshop moved {moment}"
    aside.mkdir()
    os.replace(folder / NAME, aside / NAME)
    with contextlib.suppress(OSError):  # the file alone says that it was moved; its notes may stay beside it
        os.replace(folder / FOLDER, aside / FOLDER)
    (folder / SEAL).unlink(missing_ok=True)
    return aside


def _take_away(to: Path, made: bool) -> None:
    with contextlib.suppress(OSError):
        (to / NAME).unlink(missing_ok=True)
        shutil.rmtree(to / FOLDER, ignore_errors=True)
        if made:
            to.rmdir()


def _told(error: Exception, folder: Path, to: Path) -> str:
    if code_of(error) in BUSY:
        return f"another window is changing the workshop in {folder}; wait a moment and try again"
    why = getattr(error, "strerror", None) or str(error)
    return f"the workshop could not be taken to {to} ({why}); it is where it was, choose another folder"
