"""Embossing turns: each piece once, inside the folder, apart, hinge first; beside the contract and never against it."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.formats.plan_file import parse_plan, plan_bytes
from layout.formats.project_file import parse_project, project_bytes
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.embossing import Embossed, Folder, Turn, folders, turns, with_folder, with_folders, with_turns
from layout.model.plan import Plan, Unplaced
from layout.model.project import Die, Paper, Project, Scrap, Wanted
from layout.planning.embossing import embossed, embossing_faults, too_large
from layout.planning.planner import Limits, make_plan
from tests.support.checked import assert_good

FOLDER = Folder("dots", "dots", 100.0, 140.0)


def project_of(*sides: tuple[float, float], kits: int = 1, folder: Folder = FOLDER) -> Project:
    """Return a project whose pieces are rectangles, all wanted embossed."""
    shapes = [Outline.rectangle(w, h, x=-w / 2, y=-h / 2) for w, h in sides]
    dies = tuple(Die(f"d{n}", f"die {n}", shape, shape) for n, shape in enumerate(shapes))
    wanted = tuple(with_folder(Wanted(f"w{n}", f"d{n}"), folder.id) for n in range(len(sides)))
    sheet = Scrap("sheet", "card", Outline.rectangle(150.0, 200.0), 20)
    made = Project(dies=dies, papers=(Paper("card", "card"),), scraps=(sheet,), wanted=wanted, kits=kits)
    return with_folders(made, [folder])


def test_four_quarters_of_a_folder_take_one_turn_and_five_take_two() -> None:
    project = project_of((49.5, 69.5), kits=4)
    assert [len(turn.pieces) for turn in turns(embossed(project, Plan()))] == [4]
    more = replace(project, kits=5)
    assert [len(turn.pieces) for turn in turns(embossed(more, Plan()))] == [4, 1]


def test_pieces_begin_at_the_hinge() -> None:
    project = project_of((40.0, 30.0))
    (turn,) = turns(embossed(project, Plan()))
    x0, _, _, top = turn.pieces[0].pose.outline(project.dies[0].cut).bounds
    assert (x0, top) == pytest.approx((0.0, FOLDER.length))


def test_a_piece_is_turned_only_where_it_must_be_and_named_where_it_cannot_fit() -> None:
    project = project_of((40.0, 30.0), (130.0, 50.0), (150.0, 20.0))
    laid = {piece.wanted: piece.pose.turn for turn in turns(embossed(project, Plan())) for piece in turn.pieces}
    assert laid == {"w0": 0.0, "w1": 90.0}
    assert too_large(project) == [("w2", FOLDER)]


@settings(max_examples=40, deadline=None)
@given(
    sides=st.lists(st.tuples(st.floats(5, 95), st.floats(5, 95)), min_size=1, max_size=6),
    kits=st.integers(1, 4),
)
def test_every_piece_is_laid_once_inside_and_apart(sides: list[tuple[float, float]], kits: int) -> None:
    project = project_of(*sides, kits=kits)
    plan = embossed(project, Plan())
    assert embossing_faults(project, plan) == []
    area = kits * sum(w * h for w, h in sides)
    assert len(turns(plan)) >= math.ceil(area / (FOLDER.width * FOLDER.length) - 1e-9)  # no bound is beaten
    assert embossed(project, plan) is plan


def test_faults_are_caught() -> None:
    project = project_of((40.0, 30.0), kits=2)
    plan = embossed(project, Plan())
    (turn,) = turns(plan)
    one, two = turn.pieces

    def faults(*pieces: Embossed, folder: str = "dots") -> str:
        return " ".join(embossing_faults(project, with_turns(Plan(), [Turn(folder, pieces)])))

    outside = replace(one, pose=Pose(one.pose.x - 0.1, one.pose.y, 0.0))
    assert "outside" in faults(outside, two)
    assert "apart" in faults(one, replace(two, pose=Pose(two.pose.x - 0.1, two.pose.y, 0.0)))
    assert "each piece once" in faults(one)
    assert "does not have" in faults(one, two, folder="none")
    assert faults(one, two) == ""


def test_what_is_not_made_is_not_embossed() -> None:
    project = project_of((40.0, 30.0), kits=3)
    plan = embossed(project, Plan(unplaced=(Unplaced("w0", 2, "no paper"),)))
    assert sum(len(turn.pieces) for turn in turns(plan)) == 1


def test_a_plan_with_turns_goes_through_the_files_and_the_independent_checker() -> None:
    project = project_of((40.0, 30.0), (30.0, 20.0), kits=2)
    plan = make_plan(project, Limits(seconds=60.0, attempts=1))
    assert turns(plan)
    assert_good(project, plan)
    again = parse_project(project_bytes(project), "p"), parse_plan(plan_bytes(plan), "p")
    assert folders(again[0]) == (FOLDER,)
    assert turns(again[1]) == turns(plan)
    assert embossing_faults(*again) == []
    assert "embossing" in json.loads(plan_bytes(plan))


def test_what_cannot_be_read_is_passed_over() -> None:
    project = replace(Project(), extra={"embossing_folders": [{"id": "a"}, 7, {"id": "b", "width": "x", "length": 2}]})
    assert folders(project) == ()
    assert turns(replace(Plan(), extra={"embossing": "no list"})) == ()
    assert embossed(project, Plan()) == Plan()
