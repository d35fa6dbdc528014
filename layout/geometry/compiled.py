"""Compiling of hot loops where the machine can; the very same loops, slower, where it cannot.

Compiled code is kept on disk in a folder named after the sources of all loops together: the compiler's own check looks
at one file at a time and would keep a stale caller of a changed loop.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

Loop = Callable[..., Any]


def kernel_folder() -> Path:
    """The folder in the user's cache where the compiled loops of exactly these sources are kept."""
    digest = hashlib.sha256(f"{sys.version_info[:2]}".encode())
    engine = Path(__file__).resolve().parent.parent
    for source in sorted([*engine.glob("geometry/*.py"), *engine.glob("nesting/*.py")]):
        text = source.read_bytes()
        if b"@compiled" in text:
            digest.update(text)
    return _cache_home() / "plateful" / f"kernels-{digest.hexdigest()[:16]}"


def _cache_home() -> Path:
    """The platform's folder for caches: the XDG base directory, or its like on Windows and macOS."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Caches"
    return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")


try:
    if os.environ.get("PLATEFUL_PLAIN"):
        raise ImportError("plain twins asked for")
    os.environ.setdefault("NUMBA_CACHE_DIR", str(kernel_folder()))
    from numba import njit as _njit
except ImportError:
    COMPILED = False

    def compiled(function: Loop) -> Loop:
        """Leave the function as it is: nothing can be compiled here."""
        return function

    def inlined(function: Loop) -> Loop:
        """Leave the function as it is: nothing can be compiled here."""
        return function
else:
    COMPILED = True

    def compiled(function: Loop) -> Loop:
        """Compile a loop over flat arrays, free of the interpreter's lock, kept on disk."""
        made: Loop = _njit(cache=True, nogil=True, fastmath=True, error_model="numpy")(function)
        return made

    def inlined(function: Loop) -> Loop:
        """Compile a small step that always runs inside another compiled loop."""
        made: Loop = _njit(cache=True, nogil=True, fastmath=True, error_model="numpy", inline="always")(function)
        return made
