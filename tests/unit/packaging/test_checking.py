"""The second command: its parts, its order, and what it reports."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from launching import checking
from launching.environment import Environment

ROOT = Path(__file__).resolve().parents[3]
NOWHERE = Environment(ROOT / "nowhere")


def test_a_part_that_is_not_there_is_refused_by_name() -> None:
    line = [sys.executable, str(ROOT / "packaging" / "test.py"), "lynt"]
    done = subprocess.run(line, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert "there is no part called lynt; the parts are lint, types" in done.stderr


def test_continuous_integration_runs_this_very_command() -> None:
    assert (ROOT / ".ci" / "run").read_text("utf-8").splitlines()[-1] == "exec python3 packaging/test.py"


def test_a_failure_is_told_and_the_rest_still_runs(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ran: list[str] = []

    def step(name: str, code: int) -> checking.Step:
        def run(_place: Environment, _words: list[str]) -> int:
            """one."""
            ran.append(name)
            return code

        return run

    monkeypatch.setattr(checking, "STEPS", {"first": step("first", 1), "window": step("window", 0)})
    monkeypatch.setattr(checking.environment, "ready", lambda _kind: (NOWHERE, False))
    monkeypatch.setattr(checking.probe, "prepare_libraries", lambda on_screen: on_screen)
    monkeypatch.setattr(sys, "argv", ["test.py"])
    assert checking.main() == 1
    assert ran == ["first", "window"]
    assert capsys.readouterr().out.splitlines()[-1].startswith("Failed: first.")


def test_nothing_is_printed_after_the_closing_line_of_the_last_tests(capsys: pytest.CaptureFixture[str]) -> None:
    assert list(checking.STEPS)[-1] == checking.LAST

    def quiet(_place: Environment, _words: list[str]) -> int:
        """the last."""
        return 0

    steps, checking.STEPS[checking.LAST] = dict(checking.STEPS), quiet
    try:
        assert checking._passes(checking.LAST, NOWHERE, [])
    finally:
        checking.STEPS.update(steps)
    assert capsys.readouterr().out == f"--- {checking.LAST}: the last.\n"


def test_qt_is_out_of_reach_for_the_engine_in_child_processes_too() -> None:
    blocked = {**os.environ, "PYTHONPATH": str(ROOT / "tests" / "support" / "without_qt")}
    inner = (
        "import subprocess, sys; sys.exit(subprocess.run([sys.executable, '-c', 'import PySide6.QtCore']).returncode)"
    )
    done = subprocess.run([sys.executable, "-c", inner], env=blocked, capture_output=True, text=True, check=False)
    assert done.returncode == 1
    assert "Qt is out of reach" in done.stderr
