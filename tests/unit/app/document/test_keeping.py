"""Changes that are not saved are kept aside in time."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QTimer

from app.document.document import Document
from app.document.keeping import Keeping
from app.document.state import State


def test_a_busy_hand_cannot_put_keeping_off(qtbot, tmp_path: Path) -> None:
    document = Document()
    keeping = Keeping(document, tmp_path, pytest.fail)
    timer = keeping.findChild(QTimer)
    assert timer.interval() <= 1000
    timer.setInterval(60_000)  # long, so that this test asks of the order and not of the clock
    document.change("one", State(replace(document.project, kits=2), document.plan))
    waits = timer.remainingTime()
    qtbot.wait(30)
    document.change("two", State(replace(document.project, kits=3), document.plan))
    assert timer.isActive()
    assert timer.remainingTime() < waits
    timer.timeout.emit()
    assert (tmp_path / "untitled.json").is_file()
    keeping.drop()
