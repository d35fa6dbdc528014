import math

import pytest

from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import LaidScrap
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project, with_run


def with_second(laid):
    plan = simple_plan()
    return with_run(plan, scraps=(*plan.layouts[0].runs[0].scraps, laid))


@pytest.mark.parametrize(("y", "shared"), [(100.0, 0.0), (99.9996, 0.0), (99.0, 100.0), (50.0, 5000.0)])
def test_papers_of_one_run_do_not_overlap(y, shared):
    found = check(simple_project(), with_second(LaidScrap("t", Pose(0, y))))
    if shared == 0.0:
        assert found == []
        return
    assert [f.rule for f in found] == ["papers"]
    assert found[0].amount == pytest.approx(shared)
    assert found[0].what == f"scrap s (moss) and scrap t (cream) overlap by {shared:.1f} mm²"
    assert found[0].things == ("layouts[0].runs[0].scraps[0]", "layouts[0].runs[0].scraps[1]")


def test_a_paper_may_stick_out_to_the_side_as_far_as_the_rollers_are_open():
    assert check(simple_project(), with_second(LaidScrap("t", Pose(55, 100)))) == []
    found = check(simple_project(), with_second(LaidScrap("t", Pose(57.5, 100))))
    assert [f.what for f in found] == ["scrap t (cream) sticks 7.5 mm out of the bed to the side, 5.0 is allowed"]


def test_along_the_feed_too():
    found = check(simple_project(), with_second(LaidScrap("t", Pose(0, 131))))
    assert [f.what for f in found] == ["scrap t (cream) sticks 21.0 mm out of the bed along the feed, 20.0 is allowed"]
    project = simple_project()
    project = replace(project, machine=replace(project.machine, overhang_along=math.inf))
    assert check(project, with_second(LaidScrap("t", Pose(0, 1000)))) == []


def test_sheets_that_are_not_there():
    found = check(simple_project(), with_second(LaidScrap("t", Pose(0, 100), copies=(1,))))
    assert [f.what for f in found] == ["scrap t (cream) has 1 sheet, sheet 2 is asked for"]


def test_too_many_layers():
    found = check(simple_project(), with_second(LaidScrap("s", Pose(0, 100), copies=(0, 1, 2))))
    assert "scrap s (moss) lies 3 layers high, one pass cuts 2 of moss" in {f.what for f in found}


def test_one_sheet_at_two_places():
    found = check(simple_project(), with_second(LaidScrap("s", Pose(0, 100))))
    assert [f.what for f in found] == ["scrap s (moss), sheet 1, lies in this run 2 times"]


def test_one_sheet_twice_in_a_stack():
    found = check(simple_project(), with_second(LaidScrap("s", Pose(0, 100), copies=(1, 1))))
    assert [f.what for f in found] == ["scrap s (moss) is stacked with one sheet named twice"]


def test_a_punched_sheet_must_be_there():
    plan = simple_plan()
    plan = replace(plan, punched=(replace(plan.punched[0], copy=7),))
    assert [f.what for f in check(simple_project(), plan)] == ["scrap s (moss) has 3 sheets, sheet 8 is asked for"]
