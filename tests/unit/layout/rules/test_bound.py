from layout.rules import check
from tests.support.simple_plans import simple_plan, simple_project


def test_a_bound_above_its_own_plan():
    found = check(simple_project(), simple_plan(lower_bound=2))
    assert [f.what for f in found] == ["fewer than 2 passes are said to be impossible, but this plan does with 1"]


def test_a_bound_above_a_known_plan():
    found = check(simple_project(known_passes=0), simple_plan(lower_bound=1))
    assert [(f.rule, f.what) for f in found] == [
        ("bound", "fewer than 1 passes are said to be impossible, but a known plan does with 0")
    ]


def test_a_bound_below_says_nothing():
    assert check(simple_project(known_passes=1), simple_plan(lower_bound=1)) == []
