"""What the window's first picture may wait for: Qt and our own small modules, no heavy library."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtTest import QTest

from app.document.files import open_into
from app.settings import Settings
from app.start import DEMO, live_on
from app.window import Window

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


@pytest.mark.parametrize("size", [(1340, 860), (1366, 700), (1100, 420)])
def test_the_plate_stays_where_it_was_first_seen(qtbot, tmp_path: Path, size: tuple[int, int]) -> None:
    settings = Settings(tmp_path)
    window = Window(settings)
    qtbot.addWidget(window)
    open_into(window.document, DEMO)
    window.resize(*size)
    window.show()
    qtbot.waitExposed(window)
    first = window.canvas.geometry()
    live_on(window)
    if window._hints is not None:
        window._hints.hide()
    QTest.qWait(0)
    assert window.passes.isVisible()
    assert window.canvas.geometry() == first
