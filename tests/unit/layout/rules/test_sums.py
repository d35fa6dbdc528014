from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import LaidScrap, Unplaced
from layout.model.project import Wanted
from layout.rules import check
from tests.support.checked import assert_good
from tests.support.simple_plans import simple_plan, simple_project, with_run


def counting(count, **changes):
    project = simple_project(**changes)
    return replace(project, wanted=(replace(project.wanted[0], count=count), *project.wanted[1:]))


def missing(count, reason="no room"):
    return simple_plan(unplaced=(Unplaced("w-leaf", count, reason),))


def test_too_many():
    found = check(counting(0), simple_plan())
    assert [f.what for f in found] == ["fern leaf: 1 piece made, 0 due"]


def test_too_many_may_be_fine():
    project = simple_project()
    assert (
        check(
            replace(project, wanted=(*project.wanted[1:], Wanted("w-leaf", "leaf", 0, more_is_fine=True))),
            simple_plan(),
        )
        == []
    )


def test_missing_and_unsaid():
    found = check(counting(3), missing(1))
    assert [(f.what, f.amount, f.needed) for f in found] == [
        ("fern leaf: 2 pieces missing, the plan names 1 as not placed", 1, 2)
    ]


def test_missing_and_said():
    assert_good(counting(3), missing(2))


def test_without_a_reason():
    assert [f.what for f in check(counting(3), missing(2, ""))] == ["fern leaf is not placed, without a reason"]


def test_spares_are_taken_off():
    assert_good(counting(3, spares={"w-leaf": 2}), simple_plan())


def test_a_stack_gives_one_off_each_sheet():
    plan = with_run(simple_plan(), scraps=(LaidScrap("s", Pose(), copies=(0, 1)),))
    project = counting(2)
    twice = tuple(replace(w, count=2) if w.id != "w-dot" else w for w in project.wanted)
    assert_good(replace(project, wanted=twice), plan)


def test_two_wishes_for_one_shape_are_told_apart():
    project = simple_project()
    second = Wanted("w-more", "leaf", 2)
    found = check(replace(project, wanted=(*project.wanted, second)), simple_plan())
    assert [f.what for f in found] == ["fern leaf (w-more): 2 pieces missing, the plan names 0 as not placed"]
