import pytest

from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Punched, Run
from layout.model.project import Clearances
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project

NEXT_TO_IT = Layout(
    "B", (PlacedDie("star", Pose(46, 60)),), (Run((LaidScrap("s", Pose(0, 30)),), (Cut(0, 0, "w-star"),)),)
)


def test_within_one_run():
    # The pieces are 15 mm apart; the bodies 11.
    found = check(simple_project(clearances=Clearances(web=16)), simple_plan())
    assert "fern leaf and star are 15.0 mm apart on scrap s (moss), 16.0 is needed" in {f.what for f in found}


@pytest.mark.parametrize(("copy", "clash"), [(0, True), (1, False)])
def test_across_runs_off_the_same_sheet(copy, clash):
    project = simple_project()
    project = replace(project, wanted=tuple(replace(w, count=2 if w.id == "w-star" else 1) for w in project.wanted))
    run = NEXT_TO_IT.runs[0]
    second = replace(NEXT_TO_IT, runs=(replace(run, scraps=(replace(run.scraps[0], copies=(copy,)),)),))
    plan = simple_plan()
    found = check(project, replace(plan, layouts=(*plan.layouts, second)))
    assert {f.rule for f in found} == ({"webs"} if clash else set())
    if clash:
        # In the sheet's frame the second star lies at (46, 30): it overlaps the leaf at (30, 50).
        assert found[0].what.startswith(
            "fern leaf and star touch or overlap on scrap s (moss), a gap of 1.5 mm is needed"
        )
        assert found[0].things == ("layouts[0].dies[0]", "layouts[1].dies[0]")


def test_punched_pieces_count_too():
    plan = replace(simple_plan(), punched=(Punched("w-dot", "dot", "s", Pose(7, 64, 90)),))
    assert check(simple_project(), plan) == []
    plan = replace(plan, punched=(Punched("w-dot", "dot", "s", Pose(16.25, 50, 90)),))
    found = [f for f in check(simple_project(), plan) if f.rule == "webs"]
    assert found[0].what.startswith("fern leaf and dot are 0.75 mm apart on scrap s (moss), 1.5 is needed")
    assert found[0].amount == pytest.approx(0.75)
