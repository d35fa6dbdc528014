"""The picture of the plate that stands in for the window where there is no screen."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QApplication

from app.look.tokens import LIGHT
from app.picture import CAPTION, EDGE, LONGER_SIDE, plate_picture
from layout.formats.plan_file import write_plan
from layout.formats.project_file import write_project
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Run
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted

ROOT = Path(__file__).resolve().parents[3]
BED = (100.0, 200.0)  # mm
PIXELS = LONGER_SIDE / BED[1]  # a mm
PROJECT = Project(
    machine=Machine(bed_width=BED[0], bed_length=BED[1]),
    dies=(Die("tag", "tag", Outline.rectangle(40, 40), Outline.rectangle(30, 30, x=5, y=5)),),
    papers=(Paper("moss", "moss"),),
    scraps=(Scrap("m1", "moss", Outline.rectangle(60, 60)),),
    wanted=(Wanted("tag", "tag", count=2),),
)
RUN = Run((LaidScrap("m1", Pose(20, 120)),), (Cut(0, 0, "tag"),))
PLAN = Plan(layouts=(Layout("A", (PlacedDie("tag", Pose(30, 130)),), (RUN, RUN)),), lower_bound=2)


@pytest.fixture
def picture(qapp: QApplication) -> QImage:  # noqa: ARG001 (Qt must have started)
    return plate_picture(PROJECT, PLAN)


def _colour(picture: QImage, x: float, y: float, tile: int = 0) -> str:
    """Return the colour at a point of the plate, in mm."""
    across = tile * (round(BED[0] * PIXELS) + 2 * EDGE)
    return picture.pixelColor(round(across + EDGE + x * PIXELS), round(EDGE + (BED[1] - y) * PIXELS)).name()


def test_it_shows_every_pass_at_true_proportion(picture: QImage) -> None:
    assert picture.width() == 2 * (round(BED[0] * PIXELS) + 2 * EDGE)
    assert picture.height() == LONGER_SIDE + 2 * EDGE + CAPTION


@pytest.mark.parametrize("tile", [0, 1])
def test_metal_paper_and_plate_lie_where_the_plan_says(picture: QImage, tile: int) -> None:
    bare = _colour(picture, 50, 60, tile)
    assert bare == LIGHT.plate
    paper = _colour(picture, 23, 123, tile)
    metal = _colour(picture, 32, 150, tile)
    assert len({bare, paper, metal}) == 3


def test_a_plan_without_passes_shows_the_empty_plate(qapp: QApplication) -> None:  # noqa: ARG001
    assert _colour(plate_picture(PROJECT, Plan()), 50, 150) == LIGHT.plate


def test_paper_that_sticks_out_does_not_reach_into_the_next_picture(qapp: QApplication) -> None:  # noqa: ARG001
    papers = tuple(Paper(name, name) for name in ("moss", "dusk", "silver", "cream"))
    wide = tuple(Scrap(paper.id, paper.id, Outline.rectangle(400, 30)) for paper in papers)
    laid = Run(tuple(LaidScrap(scrap.id, Pose(20, 40 * row)) for row, scrap in enumerate(wide)), ())
    plan = Plan(layouts=(Layout("A", (), (laid, Run((), ()))),), lower_bound=2)
    picture = plate_picture(replace(PROJECT, papers=papers, scraps=wide), plan)
    left = picture.width() // 2
    between = {picture.pixelColor(x, y).name() for x in range(left + 2, left + 12) for y in range(10, LONGER_SIDE)}
    assert between == {LIGHT.table}


def test_the_command_writes_it_without_a_screen(tmp_path: Path) -> None:
    done = _command(tmp_path, tmp_path / "plate.png")
    assert done.returncode == 0, done.stderr
    assert not QImage(str(tmp_path / "plate.png")).isNull()


def test_a_folder_that_is_not_there_is_said_in_one_line(tmp_path: Path) -> None:
    done = _command(tmp_path, tmp_path / "nowhere" / "plate.png")
    assert done.returncode == 2
    assert done.stderr == f"{tmp_path / 'nowhere' / 'plate.png'}: the picture cannot be written there; " + (
        "check the folder and its rights\n"
    )


def _command(folder: Path, out: Path) -> subprocess.CompletedProcess[str]:
    write_project(PROJECT, folder / "p.json")
    write_plan(PLAN, folder / "p.plan.json")
    line = [sys.executable, "-m", "app", "picture", str(folder / "p.json"), str(folder / "p.plan.json")]
    return subprocess.run([*line, "--out", str(out)], cwd=ROOT, capture_output=True, text=True, check=False)
