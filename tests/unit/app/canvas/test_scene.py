"""What lies on the plate: a sheet that is cut down lies there as the part that is left of it."""

import pytest

from app.canvas.scene import scene_of, scrap_item
from app.document import edits
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import CutDown, LaidScrap, StraightCut
from tests.support.simple_plans import simple_plan, simple_project


@pytest.fixture
def cut_down():
    """The simple plan with its sheet, stained across the cut, parted at x = 60; the left part is laid."""
    project, plan = simple_project(), simple_plan()
    stained = replace(project.scraps[0], spoiled=(Outline.rectangle(10, 10, x=55, y=5),))
    cut = CutDown("s", (StraightCut(0, ((60.0, 0.0), (60.0, 100.0))),))
    run = replace(plan.layouts[0].runs[0], scraps=(LaidScrap("s", Pose(7, 3), part=0),))
    layout = replace(plan.layouts[0], runs=(run,))
    return replace(project, scraps=(stained, project.scraps[1])), replace(plan, cut_downs=(cut,), layouts=(layout,))


def sides(path):
    around = path.boundingRect()
    return (around.left(), around.top(), around.right(), around.bottom())


def test_a_part_lies_there_with_what_is_left_of_its_stains(cut_down):
    item = scene_of(*cut_down, 0, 0).scraps[0]
    assert sides(item.shape) == pytest.approx((7, 3, 67, 103))
    assert [sides(s) for s in item.spoiled] == [pytest.approx((62, 8, 67, 18))]
    assert sides(scrap_item(item, Pose(0, 0)).shape) == pytest.approx((0, 0, 60, 100))


def test_only_over_what_is_left_of_it_a_die_cuts_from_a_sheet(cut_down):
    project, plan = cut_down
    run, (leaf, star) = plan.layouts[0].runs[0], plan.layouts[0].dies
    assert edits.scrap_under(project, plan.cut_downs, leaf, run) == 0
    assert edits.scrap_under(project, plan.cut_downs, star, run) is None
    assert edits.scrap_under(project, (), star, replace(run, scraps=(LaidScrap("s", Pose(7, 3)),))) == 0


def test_a_part_that_is_not_there_is_shown_as_its_sheet(cut_down):
    project, plan = cut_down
    layout = plan.layouts[0]
    run = replace(layout.runs[0], scraps=(LaidScrap("s", Pose(), part=9),))
    item = scene_of(project, replace(plan, layouts=(replace(layout, runs=(run,)),)), 0, 0).scraps[0]
    assert sides(item.shape) == pytest.approx((0, 0, 100, 100))
