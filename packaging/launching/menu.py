"""The program's entry in the desktop's menu, for this user alone, after the desktop standards (Linux and its like)."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from launching import system
from launching.needs import ROOT
from launching.saying import SetupError, say

SHIPPED = ROOT / "packaging"
ICON = ROOT / "resources" / "icons" / "plateful.svg"


def add() -> None:
    """Write entry, icon and file type into the user's data folder; raises SetupError elsewhere than on Linux."""
    _refuse_elsewhere()
    for place, text in _files().items():
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, "utf-8")
    _refresh()
    say("Plateful is in the menu now; it starts from this folder, so leave the folder where it is.")


def remove() -> None:
    """Take away what `add` wrote."""
    _refuse_elsewhere()
    for place in _files():
        place.unlink(missing_ok=True)
    _refresh()
    say("Plateful is out of the menu.")


def _refuse_elsewhere() -> None:
    if not system.is_linux():
        raise SetupError("A menu entry is made on Linux only; here, make a shortcut to packaging/run.py.")


def _files() -> dict[Path, str]:
    home = _data_home()
    entry = (SHIPPED / "plateful.desktop").read_text("utf-8").replace("Exec=plateful", f"Exec={_command()}")
    return {
        home / "applications" / "plateful.desktop": entry,
        home / "icons" / "hicolor" / "scalable" / "apps" / "plateful.svg": ICON.read_text("utf-8"),
        home / "mime" / "packages" / "plateful.xml": (SHIPPED / "plateful.mime.xml").read_text("utf-8"),
    }


def _data_home() -> Path:
    return Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")


def _command() -> str:
    return f"{_quoted(sys.executable)} {_quoted(str(SHIPPED / 'run.py'))}"


def _quoted(word: str) -> str:
    """Quote as the Desktop Entry Specification asks: its reserved signs, then backslashes once more as in any value."""
    for sign in '\\"`$':
        word = word.replace(sign, f"\\{sign}")
    return '"' + word.replace("\\", "\\\\").replace("%", "%%") + '"'


def _refresh() -> None:
    """Tell the desktop's caches, where they are; without them it finds out at the next login."""
    home = _data_home()
    for tool, folder in (("update-mime-database", home / "mime"), ("update-desktop-database", home / "applications")):
        if shutil.which(tool) and folder.is_dir():
            subprocess.run([tool, str(folder)], stdin=subprocess.DEVNULL, capture_output=True, check=False)
