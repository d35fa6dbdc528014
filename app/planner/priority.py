"""The planner gives way to the window: it runs at lower priority, so that a hand never waits for the processor."""

from __future__ import annotations

import contextlib
import os
import sys

NICENESS = 10
SET_INFORMATION, BELOW_NORMAL = 0x0200, 0x4000  # winbase.h: PROCESS_SET_INFORMATION, BELOW_NORMAL_PRIORITY_CLASS


def give_way(process: int) -> None:
    """Lower the priority of a process just started; its threads and children take it over. A refusal does no harm."""
    if sys.platform == "win32":
        _lower_class(process)
        return
    with contextlib.suppress(OSError):  # ended already, or already lower than this
        os.setpriority(os.PRIO_PROCESS, process, NICENESS)


def _lower_class(process: int) -> None:
    import ctypes

    kernel = ctypes.windll.kernel32  # type: ignore[attr-defined,unused-ignore]
    handle = kernel.OpenProcess(SET_INFORMATION, False, process)
    if handle:
        kernel.SetPriorityClass(handle, BELOW_NORMAL)
        kernel.CloseHandle(handle)
