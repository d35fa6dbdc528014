"""What is wrong is told by the numbers that the row of passes shows."""

from app.document.state import State
from app.panels.words import in_passes, passes_words
from layout.geometry.value import replace
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


def test_an_empty_project_is_told_where_to_begin(planned):
    drawer = replace(planned.document.project, wanted=())
    assert passes_words(Project(), Plan()).startswith("Bring dies into the drawer")
    assert passes_words(drawer, Plan()) == "Say what the project needs, then press Plan."


def test_the_guide_waits_for_the_first_plan_in_words(planned, monkeypatch):
    planned.document.start_with(State(planned.document.project, Plan()), None)
    monkeypatch.setattr(type(planned.planning), "running", True)
    planned.actions_by_id["print"].trigger()
    assert planned.bar.text == "There is no plan to print yet: the first plan is still being looked for."
    monkeypatch.undo()
