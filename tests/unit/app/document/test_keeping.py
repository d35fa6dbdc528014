"""Changes that are not saved are kept aside in time."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QTimer

from app.document.document import Document
from app.document.keeping import Keeping
from app.document.state import State
from app.start import open_first
from layout.geometry.value import replace


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


def test_a_new_project_never_saved_is_had_back_after_another_new_one(window) -> None:
    window.document.change("two kits", State(replace(window.document.project, kits=2), window.document.plan))
    window.actions_by_id["new"].trigger()
    assert window.document.project.kits == 1
    window.bar.buttons[0].click()
    assert window.document.project.kits == 2


def test_a_new_project_never_saved_is_back_after_the_demo(window) -> None:
    window.document.change("two kits", State(replace(window.document.project, kits=2), window.document.plan))
    window.commands.open_demo()
    window.actions_by_id["new"].trigger()
    assert window.document.path is None
    assert window.document.project.kits == 2


def test_a_new_project_never_saved_is_back_at_the_next_start(window, settings) -> None:
    window.document.change("two kits", State(replace(window.document.project, kits=2), window.document.plan))
    window.commands.may_leave()
    window.document.start_with(State(), None)  # as the next window begins
    open_first(window, settings, None)
    assert window.document.path is None
    window.commands.bring_back()
    assert window.document.project.kits == 2
