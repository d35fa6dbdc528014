"""What the window's first picture may wait for: Qt and our own small modules, no heavy library."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
HEAVY = ("numpy", "shapely", "numba", "cv2", "ezdxf", "highspy", "pypdf", "PIL")
WATCHED = f"""
import os, sys
import app.start

def told(*words, **_):
    sys.stdout.write(' '.join([*words, *(name for name in {HEAVY} if name in sys.modules)]))
    sys.stdout.flush()
    os._exit(0)

app.start.print = told
app.start.run_window(['--say-when-ready'])
"""


def test_no_heavy_library_is_loaded_before_the_demo_is_seen(tmp_path: Path) -> None:
    variables = {**os.environ, "PLATEFUL_HOME": str(tmp_path), "QT_QPA_PLATFORM": "offscreen"}
    done = subprocess.run(
        [sys.executable, "-c", WATCHED], env=variables, cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.stdout == "ready", done.stderr
