"""`python -m app sheet`: PDF and pictures without a screen, exit codes, one line for each fault."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from tests.support.shared import ROOT
from tests.unit.app.guide.test_true_size import DEMO


def sheet(*words: str | Path) -> subprocess.CompletedProcess[str]:
    bare = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}
    command = [sys.executable, "-m", "app", "sheet", *map(str, words)]
    return subprocess.run(command, cwd=ROOT, env=bare, capture_output=True, text=True, check=False, timeout=120)


def test_writes_a_pdf_and_pictures_without_a_screen(tmp_path: Path) -> None:
    asked = (DEMO / "night-garden.json", DEMO / "night-garden.plan.json", "--out", tmp_path / "s.pdf")
    done = sheet(*asked, "--page", "letter", "--grey", "--template", "--pictures", tmp_path / "pictures")
    assert (done.returncode, done.stderr) == (0, "")
    assert "project sheet of 3 pages" in done.stdout
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF-")
    assert len(list((tmp_path / "pictures").glob("sheet-*.png"))) == 3


def test_a_project_that_is_not_there_is_one_line(tmp_path: Path) -> None:
    done = sheet(tmp_path / "none.json", "--out", tmp_path / "s.pdf")
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert not (tmp_path / "s.pdf").exists()
