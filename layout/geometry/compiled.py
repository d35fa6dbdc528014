"""Compiling of hot loops where the machine can; the very same loops, slower, where it cannot."""

from __future__ import annotations

import os
from collections.abc import Callable
from typing import Any

Loop = Callable[..., Any]

try:
    if os.environ.get("PLATEFUL_PLAIN"):
        raise ImportError("plain twins asked for")
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
        """Compile a loop over flat arrays, free of the interpreter's lock, cached on disk."""
        made: Loop = _njit(cache=True, nogil=True, fastmath=True, error_model="numpy")(function)
        return made

    def inlined(function: Loop) -> Loop:
        """Compile a small step that always runs inside another compiled loop."""
        made: Loop = _njit(cache=True, nogil=True, fastmath=True, error_model="numpy", inline="always")(function)
        return made
