from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Run
from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project, with_dies, with_run


def test_more_of_a_die_than_are_owned():
    plan = simple_plan()
    finding = check(simple_project(), with_dies(plan, *plan.layouts[0].dies, PlacedDie("leaf", Pose(30, 150))))
    assert [f.what for f in finding] == ["fern leaf is taped down 2 times, 1 owned"]
    assert finding[0].rule == "copies"
    assert finding[0].things == ("layouts[0].dies[0]", "layouts[0].dies[2]")


def test_as_many_as_are_owned():
    project = simple_project()
    project = replace(project, dies=(replace(project.dies[0], copies=2), *project.dies[1:]))
    plan = simple_plan()
    assert check(project, with_dies(plan, *plan.layouts[0].dies, PlacedDie("leaf", Pose(30, 150)))) == []


def test_a_die_cuts_once_in_a_run():
    project = simple_project()
    project = replace(project, wanted=tuple(replace(w, count=2 if w.id == "w-leaf" else 1) for w in project.wanted))
    two = (LaidScrap("s", Pose(0, 0)), LaidScrap("t", Pose(0, 101)))
    plan = with_run(simple_plan(), scraps=two, cuts=(Cut(0, 0, "w-leaf"), Cut(1, 0, "w-star"), Cut(0, 1, "w-leaf")))
    found = check(project, plan)
    assert "fern leaf is to cut 2 times in one run, a die cuts once" in {f.what for f in found}


def test_in_another_layout_it_is_there_again():
    project = simple_project()
    project = replace(project, wanted=tuple(replace(w, count=2 if w.id == "w-leaf" else 1) for w in project.wanted))
    second = Layout("B", (PlacedDie("leaf", Pose(50, 50)),), (Run((LaidScrap("t", Pose()),), (Cut(0, 0, "w-leaf"),)),))
    plan = simple_plan()
    assert check(project, replace(plan, layouts=(*plan.layouts, second))) == []
