import pytest

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Punched
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project


def punched_at(x, y, turn):
    return replace(simple_plan(), punched=(Punched("w-dot", "dot", "s", Pose(x, y, turn)),))


@pytest.mark.parametrize(
    ("x", "y", "turn", "is_right"),
    [
        (50, 90, 0, True),  # the upper edge lies 10 mm beyond: as far as it reaches
        (50, 89.9, 0, False),
        (50, 90, 90, False),  # now it comes in from the right, and the left edge is 50 mm away
        (10, 80, 90, True),  # turned by 90 degrees the throat points to -x
        (50, 10, 180, True),
        (90, 80, 270, True),
    ],
)
def test_from_each_side(x, y, turn, is_right):
    assert [f.rule for f in check(simple_project(), punched_at(x, y, turn))] == ([] if is_right else ["reach"])


def test_only_paper_in_the_mouth_is_in_the_way():
    # A sheet with a bay 40 mm wide in its upper edge; the mouth is 30 mm wide, and fits in.
    bay = Outline.of([(0, 0), (100, 0), (100, 100), (70, 100), (70, 86), (30, 86), (30, 100), (0, 100)])
    project = simple_project()
    project = replace(project, scraps=(replace(project.scraps[0], outline=bay), *project.scraps[1:]))
    assert check(project, punched_at(50, 80, 0)) == []
    wide = replace(project, punches=(replace(project.punches[0], mouth=60.0),))
    found = check(wide, punched_at(50, 80, 0))
    # On either side 10 mm of the mouth are over paper, from y = 90 to 100.
    assert [f.rule for f in found] == ["reach"]
    assert found[0].amount == pytest.approx(200, abs=0.2)
    assert found[0].what == "dot does not reach that far into scrap s (moss): 199.9 mm² of it is in the way"
