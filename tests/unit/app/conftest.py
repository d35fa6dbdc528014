"""The program's tests run without a screen, each with a window and settings of its own."""

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pytest
import shiboken6
from PySide6.QtTest import QTest

from app.document.state import State


@pytest.fixture
def settings(tmp_path):
    from app.settings import Settings

    return Settings(tmp_path / "home")


@pytest.fixture
def window(qapp, settings):  # noqa: ARG001
    """Return an empty window that is shown and closed again."""
    from app.window import Window

    made = Window(settings)
    made.resize(1340, 860)
    made.show()
    made.activateWindow()
    assert QTest.qWaitForWindowActive(made, 10_000)
    made.finish()
    yield made
    made.planning.drop()
    made.keeping.drop()
    made.close()
    shiboken6.delete(made)  # at once: windows that linger are dressed again with every later one


@pytest.fixture
def planned(window):
    """Return a window with six dies planned over two sheets."""
    from tests.support.desk import grid

    window.document.start_with(State(*grid(3, 2, corners=24, sheets=2)), None)
    return window
