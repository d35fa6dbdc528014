"""How deep a sheet goes into a punch, counted on the fingers."""

from __future__ import annotations

import pytest

from app.guide.job import Job
from app.guide.punching import depth
from app.guide.sheet import A4
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.plan import CutDown, Plan, Punched, StraightCut
from layout.model.project import Paper, Project, Punch, Scrap

SQUARE = Outline.rectangle(10.0, 10.0, x=-5.0, y=-5.0)


def job(plan: Plan) -> Job:
    project = Project(
        punches=(Punch("square", "square", SQUARE, reach=20.0, mouth=30.0),),
        papers=(Paper("card", "card"),),
        scraps=(Scrap("sheet", "card", Outline.rectangle(70.0, 60.0)),),
    )
    return Job(project, plan, A4)


@pytest.mark.parametrize(
    ("pose", "middle", "rest"),
    [
        (Pose(35.0, 48.0, 0.0), 12.0, 8.0),  # upper edge at y = 60 goes in
        (Pose(35.0, 40.0, 0.0), 20.0, 0.0),  # up to the stop
        (Pose(58.0, 30.0, 270.0), 12.0, 8.0),  # turned to the right: the right edge at x = 70 goes in
        (Pose(12.0, 30.0, 90.0), 12.0, 8.0),  # to the left
        (Pose(35.0, 7.0, 180.0), 7.0, 13.0),  # downward
    ],
)
def test_depth_behind_the_edge(pose: Pose, middle: float, rest: float) -> None:
    entry = Punched("w", "square", "sheet", pose)
    found = depth(job(Plan(punched=(entry,))), entry)
    assert found == pytest.approx((middle, rest))


def test_a_part_has_edges_of_its_own() -> None:
    cut = CutDown("sheet", (StraightCut(0, ((0.0, 40.0), (70.0, 40.0))),))
    # right of the cut's direction (below it) is part 1: its upper edge is the cut at y = 40
    entry = Punched("w", "square", "sheet", Pose(35.0, 30.0, 0.0), part=1)
    assert depth(job(Plan(punched=(entry,), cut_downs=(cut,))), entry) == pytest.approx((10.0, 10.0))
