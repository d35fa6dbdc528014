import pytest

from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import PlacedDie
from layout.model.project import Clearances
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project, with_dies

LEAF, STAR = PlacedDie("leaf", Pose(30, 50)), PlacedDie("star", Pose(70, 50))


def only(project, plan):
    found = check(project, plan)
    assert len(found) == 1, found
    return found[0]


def test_a_right_plan_has_no_findings():
    assert check(simple_project(), simple_plan()) == []


def test_two_bodies_too_close():
    # The leaf's metal ends 12 mm right of its middle, the star's begins 17 mm left of its own.
    plan = with_dies(simple_plan(), replace(LEAF, pose=Pose(40.4, 50)), STAR)
    finding = only(simple_project(), plan)
    assert finding.rule == "bodies"
    assert finding.what == "fern leaf and star are 0.6 mm apart, 1.0 is needed"
    assert finding.where == "layout A"
    assert finding.amount == pytest.approx(0.6)
    assert finding.needed == 1.0
    assert finding.things == ("layouts[0].dies[0]", "layouts[0].dies[1]")


def test_the_same_in_inches():
    plan = with_dies(simple_plan(), replace(LEAF, pose=Pose(40.4, 50)), STAR)
    assert check(simple_project(), plan, unit="in")[0].what == "fern leaf and star are 0.023 in apart, 0.039 is needed"


@pytest.mark.parametrize(("gap", "is_right"), [(1.0, True), (0.996, True), (0.994, False), (0.0, False)])
def test_the_bound_is_inclusive_and_rounding_may_cost_five_thousandths(gap, is_right):
    plan = with_dies(simple_plan(), replace(LEAF, pose=Pose(70 - 29 - gap, 50)), STAR)
    found = check(simple_project(), plan)
    assert (found == []) == is_right or {f.rule for f in found} == {"bodies", "webs"}
    assert all(f.amount == pytest.approx(gap) for f in found if f.rule == "bodies")


def test_a_body_at_the_edge_of_the_bed():
    project = simple_project(clearances=Clearances(paper_edge=0.0))
    finding = only(project, with_dies(simple_plan(), replace(LEAF, pose=Pose(14.5, 50)), STAR))
    assert finding.what == "fern leaf is 2.5 mm from the edge of the bed, 3.0 is needed"
    assert finding.amount == pytest.approx(2.5)


def test_a_body_beyond_the_bed():
    project = simple_project(clearances=Clearances(paper_edge=0.0))
    finding = only(project, with_dies(simple_plan(), replace(LEAF, pose=Pose(10.75, 50)), STAR))
    assert finding.what == "fern leaf sticks 1.25 mm out of the bed"
    assert finding.amount == pytest.approx(-1.25)


def test_a_body_may_lie_in_the_opening_of_another():
    # The frame's opening is 50 mm wide, the leaf's metal 24: 13 mm all round.
    project = simple_project(wanted=simple_project().wanted[:1])
    frame = PlacedDie("frame", Pose(50, 50))
    plan = replace(simple_plan(), punched=())
    plan = replace(plan, layouts=(replace(plan.layouts[0], dies=(replace(LEAF, pose=Pose(50, 50)), frame)),))
    plan = replace(plan, layouts=(replace(plan.layouts[0], runs=(cuts_first_only(plan),)),))
    assert check(project, plan) == []
    plan = with_dies(plan, replace(LEAF, pose=Pose(62.5, 50)), frame)
    assert only(project, plan).what == "fern leaf and window frame are 0.5 mm apart, 1.0 is needed"


def cuts_first_only(plan):
    run = plan.layouts[0].runs[0]
    return replace(run, cuts=run.cuts[:1])


def test_a_layout_without_dies_is_no_fault():
    project = simple_project(wanted=())
    assert check(project, replace(simple_plan(), layouts=(), punched=())) == []
    empty = replace(simple_plan().layouts[0], dies=(), runs=())
    assert check(project, replace(simple_plan(), layouts=(empty,), punched=())) == []
