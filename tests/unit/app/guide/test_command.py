"""`python -m app guide`: a PDF without a screen, exit codes, one line for each fault."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.support.shared import CASES, ROOT, load, need


def guide(*words: str | Path) -> subprocess.CompletedProcess[str]:
    bare = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}
    command = [sys.executable, "-m", "app", "guide", *map(str, words)]
    return subprocess.run(command, cwd=ROOT, env=bare, capture_output=True, text=True, check=False, timeout=120)


@pytest.fixture
def case() -> tuple[Path, Path]:
    return need(CASES / "frames-04-11.json"), need(CASES / "frames-04-11.known.json")


def test_writes_a_pdf_without_a_screen(case: tuple[Path, Path], tmp_path: Path) -> None:
    done = guide(*case, "--out", tmp_path / "g.pdf", "--page", "letter")
    assert (done.returncode, done.stderr) == (0, "")
    assert (tmp_path / "g.pdf").read_bytes().startswith(b"%PDF-")


def test_a_partial_plan_is_written_and_told_by_the_exit_code(case: tuple[Path, Path], tmp_path: Path) -> None:
    plan = load(case[1])
    lost = plan["layouts"][0]["runs"][0]["cuts"].pop()
    plan["unplaced"] = [{"wanted": lost["wanted"], "count": 1, "reason": "no scrap is wide enough"}]
    plan["status"] = "partial"
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(plan))
    done = guide(case[0], path, "--out", tmp_path / "g.pdf")
    assert done.returncode == 3
    assert (tmp_path / "g.pdf").exists()


@pytest.mark.parametrize("broken", ["", "{", "[]", '{"format": "plateful-plan", "version": 1}'])
def test_a_broken_project_is_one_line_and_no_file(case: tuple[Path, Path], tmp_path: Path, broken: str) -> None:
    path, out = tmp_path / "p.json", tmp_path / "g.pdf"
    path.write_text(broken)
    out.write_bytes(b"kept")
    done = guide(path, case[1], "--out", out)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "p.json" in done.stderr
    assert out.read_bytes() == b"kept"


def test_a_plan_of_another_project_is_refused(case: tuple[Path, Path], tmp_path: Path) -> None:
    done = guide(case[0], need(CASES / "images-07-11.known.json"), "--out", tmp_path / "g.pdf")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert not (tmp_path / "g.pdf").exists()


def test_a_folder_that_cannot_be_written_is_told(case: tuple[Path, Path], tmp_path: Path) -> None:
    done = guide(*case, "--out", tmp_path / "missing" / "g.pdf")
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
