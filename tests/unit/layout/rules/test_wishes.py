import pytest

from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import LaidScrap
from layout.model.project import Image
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project, with_run


def wanting(project=None, **changes):
    """The leaf is wanted in another way."""
    project = project or simple_project()
    return replace(project, wanted=(replace(project.wanted[0], **changes), *project.wanted[1:]))


def test_another_shape():
    found = check(wanting(shape="frame"), simple_plan())
    assert [f.what for f in found] == ["w-leaf wants window frame, it is cut with fern leaf"]


def test_another_paper():
    found = check(wanting(paper="cream"), simple_plan())
    assert [f.what for f in found] == ["fern leaf wants cream, it lies on scrap s (moss)"]


@pytest.mark.parametrize(
    ("turn", "tolerance", "up", "off"),
    [
        ("any", None, 33.0, None),
        ("upright", None, 90.0, None),
        ("upright", None, 85.0, 5.0),
        ("upright", 5.0, 85.0, None),
        ((90.0, 270.0), None, 0.0, None),
        ((180.0,), None, 90.0, 180.0),
        ((359.0,), 1.0, 90.0, None),
        ((45.0, 350.0), 3.0, 90.0, 10.0),
    ],
)
def test_the_turn_against_the_print(turn, tolerance, up, off):
    project = wanting(turn=turn, turn_tolerance=tolerance)
    project = replace(project, scraps=(replace(project.scraps[0], up=up), *project.scraps[1:]))
    found = check(project, simple_plan())
    assert [(f.rule, f.amount) for f in found] == ([] if off is None else [("wishes", pytest.approx(off))])


def test_the_turn_is_measured_in_the_frame_of_the_scrap():
    turned = with_run(replace(simple_plan(), punched=()), scraps=(LaidScrap("s", Pose(100, 0, 90)),))
    project = replace(wanting(turn="upright"), wanted=wanting(turn="upright").wanted[:2])
    found = check(project, turned)
    assert [f.what for f in found] == ["fern leaf is turned 270° against the print, 0° is wanted"]


@pytest.mark.parametrize(
    ("x", "turn", "is_right"), [(30.5, 0, True), (30.6, 0, False), (30, 1, True), (30, 1.5, False)]
)
def test_an_image(x, turn, is_right):
    project = wanting(image="a moth")
    image = Image("a moth", Pose(x, 50, turn))
    project = replace(project, scraps=(replace(project.scraps[0], images=(image,)), *project.scraps[1:]))
    found = check(project, simple_plan())
    assert [f.rule for f in found] == ([] if is_right else ["wishes"])
    if x == 30.6:
        assert found[0].what == (
            "fern leaf is 0.6 mm and 0° off the image a moth of scrap s (moss), 0.5 and 1° are allowed"
        )


def test_an_image_that_is_not_there():
    found = check(wanting(image="a moth"), simple_plan())
    assert [f.what for f in found] == ["fern leaf wants the image a moth, which is not on scrap s (moss)"]
