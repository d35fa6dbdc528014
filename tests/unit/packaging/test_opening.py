"""The first command from end to end: on a machine without a screen it hands out plan, guide and picture."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pymupdf
import pytest
from PySide6.QtGui import QImage

from launching import needs, opening
from launching.environment import Environment
from tests.support.shared import independent_faults, load

ROOT = Path(__file__).resolve().parents[3]
DEMO = ROOT / "resources" / "demo" / "night-garden.json"
PAGES = {(595, 842), (612, 792)}  # A4 and Letter in points of 1/72 in: ISO 216 and 8 1/2 x 11 in


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, subprocess.CompletedProcess[str]]:
    if not Environment(ROOT / ".venv").has("run"):
        pytest.skip("the command's own environment is not there; python3 packaging/test.py makes it")
    # As in a shell without a screen, in a folder of the person's own.
    folder = tmp_path_factory.mktemp("somewhere")
    variables = {key: value for key, value in os.environ.items() if key not in ("DISPLAY", "WAYLAND_DISPLAY")}
    line = [sys.executable, str(ROOT / "packaging" / "run.py")]
    return folder, subprocess.run(line, cwd=folder, env=variables, capture_output=True, text=True, check=False)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere a screen is taken for granted")
class TestWithoutAScreen:
    """The demo as files in the folder the command was called in."""

    def test_it_says_so_and_names_what_it_wrote(self, written: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
        folder, done = written
        assert done.returncode in opening.PLANNED, done.stderr
        assert "There is no screen here" in done.stdout
        assert str(folder / "plateful-demo") in done.stdout

    def test_the_plan_breaks_no_rule(self, written: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
        plan = load(written[0] / "plateful-demo" / "night-garden.plan.json")
        assert plan["layouts"]
        assert independent_faults(load(DEMO), plan) == []

    def test_the_guide_can_be_read_by_another_program(
        self, written: tuple[Path, subprocess.CompletedProcess[str]]
    ) -> None:
        with pymupdf.open(written[0] / "plateful-demo" / "night-garden-guide.pdf") as guide:
            assert guide.page_count >= 1
            assert {(round(page.rect.width), round(page.rect.height)) for page in guide} <= PAGES | {
                (high, wide) for wide, high in PAGES
            }

    def test_the_picture_shows_something(self, written: tuple[Path, subprocess.CompletedProcess[str]]) -> None:
        picture = QImage(str(written[0] / "plateful-demo" / "night-garden-plate.png"))
        assert picture.width() > 100
        seen = {picture.pixel(x, y) for x in range(0, picture.width(), 7) for y in range(0, picture.height(), 7)}
        assert len(seen) > 10


def test_a_wish_that_names_no_file_is_told_by_the_planner(tmp_path: Path) -> None:
    if not Environment(ROOT / ".venv").has("run"):
        pytest.skip("the command's own environment is not there; python3 packaging/test.py makes it")
    line = [sys.executable, str(ROOT / "packaging" / "run.py"), str(tmp_path / "no.json"), "--out", str(tmp_path)]
    done = subprocess.run(line, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "no.json" in done.stderr


def test_the_demo_it_opens_is_there() -> None:
    assert opening.DEMO == DEMO
    assert DEMO.exists()
    assert needs.ROOT == ROOT
