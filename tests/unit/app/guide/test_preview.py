"""The preview paints with the guide's painter, mends a printer's scale, and prints true to size."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtPrintSupport import QPrinter
from pytestqt.qtbot import QtBot

from app.guide.job import Job
from app.guide.preview import GuidePreview
from app.guide.sheet import A4
from layout.formats.plan_file import parse_plan
from layout.formats.project_file import parse_project
from tests.support import guide_reading as reading
from tests.support.shared import CASES, load, need

NAME = "images-07-11"


@pytest.fixture
def preview(qtbot: QtBot) -> GuidePreview:
    case = need(CASES / f"{NAME}.json")
    project = parse_project(case.read_bytes(), case.name)
    plan = parse_plan(case.with_name(f"{NAME}.known.json").read_bytes(), "plan")
    made = GuidePreview(Job(project, plan, A4))
    qtbot.addWidget(made)
    return made


def faults(data: bytes, page: str, mirrored: bool) -> list[str]:
    case = CASES / f"{NAME}.json"
    return reading.faults(data, load(case), load(case.with_name(f"{NAME}.known.json")), page, mirrored)


def test_paper_and_blades_are_set_here(preview: GuidePreview, tmp_path: Path, qtbot: QtBot) -> None:
    preview.paper.setCurrentText("Letter")
    preview.way.setCurrentIndex(1)
    with qtbot.waitSignal(preview.written):
        preview.save_to(tmp_path / "g.pdf")
    assert faults((tmp_path / "g.pdf").read_bytes(), "letter", True) == []


def test_the_printer_gets_true_size_too(preview: GuidePreview, tmp_path: Path, qtbot: QtBot) -> None:
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
    printer.setOutputFileName(str(tmp_path / "printed.pdf"))
    with qtbot.waitSignal(preview.written):
        preview.print_on(printer)
    found = faults((tmp_path / "printed.pdf").read_bytes(), "a4", False)
    # the printer's own PDF has its sheet rounded to whole points; all that is drawn is true
    assert [fault for fault in found if "the sheet is" not in fault] == []


def test_a_measured_bar_is_told_and_mended(preview: GuidePreview) -> None:
    preview.across.setText("97.3")
    preview.make()
    assert "corrected" in preview.told.text()
    assert preview.job.sheet.stretch_x == pytest.approx(1 / 0.973)
    preview.across.setText("3.9 in")
    preview.make()
    assert preview.job.sheet.stretch_x == pytest.approx(100 / 99.06)
    preview.across.setText("12 apples")
    preview.make()
    assert "apples" in preview.told.text()
    assert preview.job.sheet.stretch_x == 1.0


def test_turning_stops_at_both_ends(preview: GuidePreview) -> None:
    preview.turn_to(-5)
    assert preview.view.index == 0
    preview.turn_to(999)
    last = preview.view.index
    assert last > 0
    preview.turn_to(last + 1)
    assert preview.view.index == last


def test_a_folder_that_is_not_there_is_told(preview: GuidePreview, tmp_path: Path, qtbot: QtBot) -> None:
    with qtbot.waitSignal(preview.refused) as refused:
        preview.save_to(tmp_path / "missing" / "g.pdf")
    assert "g.pdf" in refused.args[0]
