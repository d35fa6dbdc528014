"""A sheet exactly as wide as the rollers goes through in one place alone: it is laid there, not searched for."""

from __future__ import annotations

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted
from layout.planning.bedding import filling_pose
from layout.planning.planner import Limits, make_plan
from tests.support.checked import assert_good

BED = (0.0, 0.0, 130.0, 110.0)


def test_a_sheet_as_wide_as_the_rollers_is_laid_square() -> None:
    assert filling_pose(Outline.rectangle(150, 130), BED, (0.0, -100.0, 130.0, 210.0)) == Pose(130.0, -20.0, 90.0)
    assert filling_pose(Outline.rectangle(150, 131), BED, (0.0, -100.0, 130.0, 210.0)) is None
    assert filling_pose(Outline.rectangle(60, 130), BED, BED) is None


def test_pieces_come_from_a_sheet_that_just_goes_through() -> None:
    asked = Project(
        machine=Machine("", 130, 110),
        dies=tuple(Die(n, n, Outline.rectangle(58, 50), Outline.rectangle(52, 44, x=3, y=3)) for n in ("moth", "leaf")),
        papers=(Paper("cream", "cream"),),
        scraps=(Scrap("sheet", "cream", Outline.rectangle(150, 130), count=3),),
        wanted=(Wanted("moths", "moth", 3, "cream"), Wanted("leaves", "leaf", 3, "cream")),
    )
    plan = make_plan(asked, Limits(seconds=60, attempts=3))
    assert_good(asked, plan)
    assert (plan.passes, plan.unplaced, plan.proven) == (3, (), True)
