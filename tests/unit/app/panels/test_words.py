"""What is wrong is told by the numbers that the row of passes shows."""

from dataclasses import replace

from app.panels.words import in_passes
from layout.model.plan import Layout, Plan, Run
from layout.model.project import Project


def test_runs_are_told_as_passes_counted_through_the_plan():
    one = Layout("A", (), (Run((), ()),) * 2)
    plan = Plan((one, replace(one, id="B", runs=(Run((), ()),) * 12)))
    assert in_passes("layout A, run 2", Project(), plan) == "pass 2"
    assert in_passes("layout B, run 1", Project(), plan) == "pass 3"
    assert in_passes("(the second is cut in layout B, run 12)", Project(), plan) == "(the second is cut in pass 14)"
    assert in_passes("layout A", Project(), plan) == "layout A"


def test_the_fault_of_a_hand_names_its_pass(planned, qtbot):
    planned.selection.pick(dies=frozenset({0}))
    planned.hands.move_to(2.0, 2.0)
    qtbot.waitUntil(lambda: bool(planned.faults.known), timeout=10000)
    told = [b.text() for b in planned.answers.findChildren(type(planned.header.plan_button)) if "Show in" in b.text()]
    assert told
    assert not any("run" in text for text in told)
