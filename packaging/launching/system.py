"""What the operating system must bring: Python's venv part, and the libraries Qt leans on (Debian-likes by apt-get)."""

from __future__ import annotations

import ctypes
import importlib.util
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from launching.saying import SetupError, say

# Read off `ldd` of QtWidgets, QtSvg, QtPrintSupport and the platform plugins in the wheels, on a bare Debian 12.
TO_DRAW = {
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libglib-2.0.so.0": "libglib2.0-0",
}
TO_SHOW_ON_X = {
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render.so.0": "libxcb-render0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-shm.so.0": "libxcb-shm0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-util.so.1": "libxcb-util1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
}
TO_SHOW_ON_WAYLAND = {
    "libwayland-client.so.0": "libwayland-client0",
    "libwayland-cursor.so.0": "libwayland-cursor0",
    "libwayland-egl.so.1": "libwayland-egl1",
}
TO_PRINT = {"libcups.so.2": "libcups2"}


def is_linux() -> bool:
    """Whether this is Linux, where Qt leans on libraries that the system must bring."""
    return sys.platform.startswith("linux")


def has_screen() -> bool:
    """Whether a window could be shown; on Windows and macOS that is taken for granted."""
    if not is_linux():
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def libraries_for_qt(*, on_screen: bool) -> dict[str, str]:
    """The shared libraries that Qt will ask for, with their Debian packages; empty where Qt's wheels bring all."""
    if not is_linux():
        return {}
    if not on_screen:
        return TO_DRAW
    on_x = TO_SHOW_ON_X if os.environ.get("DISPLAY") else {}
    on_wayland = TO_SHOW_ON_WAYLAND if os.environ.get("WAYLAND_DISPLAY") else {}
    return TO_DRAW | TO_PRINT | on_x | on_wayland


def missing_libraries(needed: dict[str, str]) -> dict[str, str]:
    """Those of them that this machine cannot load."""
    return {library: package for library, package in needed.items() if not _loads(library)}


def missing_python_parts() -> list[str]:
    """The Debian package that holds what a Debian Python leaves out of `venv`; empty where nothing is left out."""
    if importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip"):
        return []
    return [f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"]


def install(packages: Iterable[str], libraries: Iterable[str] = ()) -> None:
    """Install Debian packages as root; otherwise raise SetupError with the command that a person has to run."""
    packages = sorted(packages)
    if not packages:
        return
    if shutil.which("apt-get") is None:
        raise SetupError(_without_apt(packages, list(libraries)))
    if os.geteuid() != 0:
        command = _by_hand(packages)
        raise SetupError(
            f"Plateful needs what only an administrator can install: run this, then start again.\n  {command}"
        )
    say(f"Installing from the system's packages: {' '.join(packages)}")
    # Always a fresh list first: a bare machine has none, an old one names files that are gone.
    _apt(["update"])
    _apt(["install", "-y", "--no-install-recommends", *packages])


def can_install() -> bool:
    """Whether `install` could work here: root on a Debian-like."""
    return is_linux() and os.geteuid() == 0 and shutil.which("apt-get") is not None


def _loads(library: str) -> bool:
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _by_hand(packages: list[str]) -> str:
    line = f"sudo apt-get install -y {' '.join(packages)}"
    listed = any(Path("/var/lib/apt/lists").glob("*_Packages*"))
    return line if listed else f"sudo apt-get update && {line}"


def _without_apt(packages: list[str], libraries: list[str]) -> str:
    what = ", ".join(libraries) or "Python's own venv and ensurepip modules"
    return (
        f"Plateful needs {what}; install them with this system's package manager and start again "
        f"(Debian calls the packages {' '.join(packages)})."
    )


def _apt(words: list[str]) -> None:
    environment = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C"}
    command = ["apt-get", "-q", "-o", "DPkg::Lock::Timeout=300", *words]
    with tempfile.TemporaryFile("w+") as log:
        done = subprocess.run(command, env=environment, stdin=subprocess.DEVNULL, stdout=log, stderr=log, check=False)
        log.seek(0)
        if done.returncode:
            raise SetupError(_apt_failed(words[0], log.read().splitlines()))


def _apt_failed(verb: str, lines: list[str]) -> str:
    errors = [line for line in lines if line.startswith(("E:", "Err:"))]
    reason = errors[-1] if errors else (lines[-1] if lines else "it said nothing")
    return f"apt-get {verb} did not work ({reason.strip()}); see to that, then start again."
