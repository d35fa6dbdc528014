"""A process that is dropped is heard no more: neither its end nor a warning, also when the next one begins at once."""

import sys

import pytest
from PySide6.QtCore import QCoreApplication

from app.planner.counting import Counting
from app.planner.runner import Runner
from tests.support.desk import grid

SLEEPER = [sys.executable, "-c", "import time; print('{}', flush=True); time.sleep(60)"]


@pytest.fixture
def project():
    return grid(2, 1, corners=12)[0]


def started(asker, qtbot):
    asker.program = SLEEPER
    return lambda: qtbot.waitUntil(lambda: asker._process.state() == asker._process.ProcessState.Running)


def silent(qtbot, qtlog, heard):
    qtbot.wait(50)
    QCoreApplication.processEvents()
    assert heard == []
    assert [record.message for record in qtlog.records if "disconnect" in record.message] == []


def test_a_planner_that_is_dropped_for_the_next_one_tells_no_end(qtbot, qtlog, project):
    runner, heard = Runner(), []
    runs = started(runner, qtbot)
    runner.finished.connect(lambda: heard.append("finished"))
    runner.failed.connect(heard.append)
    runner.start(project)
    runs()
    runner.start(project)
    assert runner.running
    silent(qtbot, qtlog, heard)
    assert runner.running
    runner.drop()
    silent(qtbot, qtlog, heard)
    assert not runner.running


def test_a_question_that_is_dropped_tells_no_end(qtbot, qtlog, project):
    counting, heard = Counting(), []
    runs = started(counting, qtbot)
    counting.ended.connect(lambda: heard.append("ended"))
    counting.failed.connect(heard.append)
    counting.start(project, (210.0, 297.0))
    runs()
    counting.start(project, (210.0, 297.0))
    assert counting.running
    heard.clear()  # what the sleeper said first is no answer
    counting.drop()
    silent(qtbot, qtlog, heard)
    assert not counting.running
