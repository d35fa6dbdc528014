"""Writing out from the menu: the dialog's answer, the folder of the last time, and sentences where it cannot be."""

import csv

import ezdxf
import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QFileDialog
from svgpathtools import svg2paths

from app.document.state import State
from app.exporting import KINDS, NO_PLAN, last_folder, own_folder
from app.start import DEMO
from layout.model.plan import Plan
from layout.model.project import Project
from tests.unit.layout.rules.test_easing import bench


@pytest.fixture
def told(window):
    found = []
    window.messages.told.connect(lambda message: found.append(message.text))
    window.document.start_with(State(*bench(3, 8.0)), None)
    return found


def choose(monkeypatch, path, seen=None):
    def answer(_parent, _caption, start, files):
        if seen is not None:
            seen.append(start)
        return str(path), files

    monkeypatch.setattr(QFileDialog, "getSaveFileName", answer)


def test_each_kind_is_written_as_others_read_it(window, told, tmp_path, monkeypatch):
    for name in KINDS:
        choose(monkeypatch, tmp_path / f"out-{name}")  # the ending is added
        window.actions_by_id[f"export_{name}"].trigger()
        assert f"out-{name}.{name} is written" in told[-1]
    assert not ezdxf.readfile(tmp_path / "out-dxf.dxf").audit().errors
    assert len(svg2paths(str(tmp_path / "out-svg.svg"))[0]) >= 6
    rows = list(csv.reader((tmp_path / "out-csv.csv").read_text("utf-8-sig").splitlines()))
    assert len(rows) == 1 + 3
    picture = QImage(str(tmp_path / "out-png.png"))
    assert 0.70 < picture.width() / picture.height() < 0.78  # A4 is 0.707, Letter 0.773


@pytest.mark.usefixtures("told")
def test_the_next_time_begins_in_the_folder_of_the_last(window, tmp_path, monkeypatch):
    seen = []
    choose(monkeypatch, tmp_path / "a.svg", seen)
    window.commands.export("svg")
    window.commands.export("dxf")
    assert last_folder(window) == tmp_path
    assert seen[1].startswith(str(tmp_path))
    assert seen[1].endswith("layout A.dxf")


def test_what_cannot_be_written_is_said_and_leaves_nothing(window, told, tmp_path, monkeypatch):
    choose(monkeypatch, tmp_path / "no such folder" / "a.csv")
    window.commands.export("csv")
    assert "a.csv" in told[-1]
    assert list(tmp_path.iterdir()) == []


def test_nothing_is_asked_without_a_plan_and_nothing_written_when_refused(window, told, monkeypatch):
    choose(monkeypatch, "")
    window.commands.export("png")
    assert told == []
    window.document.start_with(State(Project(), Plan()), None)
    window.commands.export("png")
    assert told[-1] == NO_PLAN


def test_the_demo_is_not_written_among_the_programs_own_files(window, tmp_path):
    window.document.start_with(window.document.state, DEMO)
    assert own_folder(window) != DEMO.parent
    mine = tmp_path / "mine.json"
    window.settings.remember(mine)
    window.document.start_with(window.document.state, None)
    assert own_folder(window) == tmp_path
