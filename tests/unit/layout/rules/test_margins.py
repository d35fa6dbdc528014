import pytest

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import LaidScrap
from layout.model.project import Clearances, Image
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project, with_run


def with_scrap(**changes):
    project = simple_project()
    return replace(project, scraps=(replace(project.scraps[0], **changes), *project.scraps[1:]))


def laid_at(x):
    """The leaf's piece begins 20 mm right of the plate's left edge."""
    return with_run(replace(simple_plan(), punched=()), scraps=(LaidScrap("s", Pose(x, 0)),))


@pytest.mark.parametrize(("edge", "is_right"), [(2.0, True), (15.0, True), (15.1, False)])
def test_the_bound_is_inclusive(edge, is_right):
    # The star's piece ends 15 mm before the right edge.
    project = simple_project(clearances=Clearances(paper_edge=edge), wanted=simple_project().wanted[:2])
    found = [f.what for f in check(project, laid_at(0))]
    assert found == ([] if is_right else [f"star is 15.0 mm from the edge of scrap s (moss), {edge} is needed"])


def test_too_near_the_edge():
    found = check(simple_project(wanted=simple_project().wanted[:2]), laid_at(18.5))
    assert [f.rule for f in found] == ["margins"]
    assert found[0].what == "fern leaf is 1.5 mm from the edge of scrap s (moss), 2.0 is needed"
    assert found[0].amount == pytest.approx(1.5)
    assert found[0].things == ("layouts[0].dies[0]",)


@pytest.mark.parametrize(("name", "said"), [("moss offcut", "scrap moss offcut"), ("offcut", "scrap offcut (moss)")])
def test_a_scrap_is_called_by_the_name_it_was_given(name, said):
    project = with_scrap(extra={"name": name})
    found = check(replace(project, wanted=project.wanted[:2]), laid_at(18.5))
    assert found[0].what == f"fern leaf is 1.5 mm from the edge of {said}, 2.0 is needed"


def test_beyond_the_edge():
    found = check(simple_project(wanted=simple_project().wanted[:2]), laid_at(25))
    assert found[0].what == "fern leaf sticks out of scrap s (moss), it must lie 2.0 mm inside the edge"


def test_a_stain():
    stain = Outline.rectangle(4, 3, x=38, y=50)  # the leaf's piece ends at x = 40
    found = check(with_scrap(spoiled=(stain,)), simple_plan())
    assert [f.what for f in found] == ["fern leaf takes 6.0 mm² of a spoiled part of scrap s (moss), it may take none"]
    assert found[0].amount == pytest.approx(6.0)


def test_a_stain_in_the_window_of_a_piece_does_no_harm():
    project = with_scrap(spoiled=(Outline.rectangle(20, 20, x=40, y=40),))
    plan = simple_plan()
    frame = replace(plan.layouts[0].dies[0], die="frame", pose=Pose(50, 50))
    plan = replace(plan, layouts=(replace(plan.layouts[0], dies=(frame,)),), punched=())
    plan = with_run(plan, cuts=plan.layouts[0].runs[0].cuts[:1])
    wanted = replace(project.wanted[0], shape="frame")
    assert check(replace(project, wanted=(wanted,)), plan) == []


def test_an_image_of_another():
    image = Image("a moth", Pose(0, 0), Outline.rectangle(10, 10, x=60, y=60))
    found = check(with_scrap(images=(image,)), simple_plan())
    assert [f.what for f in found] == ["star takes 50.0 mm² of the image a moth of scrap s (moss), it may take none"]


def test_its_own_image():
    image = Image("a moth", Pose(70.3, 50), Outline.rectangle(10, 10, x=65, y=45))
    project = with_scrap(images=(image,))
    wanted = tuple(replace(w, image="a moth") if w.shape == "star" else w for w in project.wanted)
    assert check(replace(project, wanted=wanted), simple_plan()) == []
