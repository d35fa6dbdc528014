"""One way of change: a step at a time, with names, merged where it is one gesture, and back to the same bytes."""

import pytest

from app.document.document import Document
from app.document.state import State
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.model.project import Project

pytestmark = pytest.mark.usefixtures("qapp")


def test_a_step_has_a_name_and_a_way_back():
    document = Document()
    document.start_with(State(Project(name="one")), None)
    document.change("Rename", State(Project(name="two")))
    assert (document.name, document.undo.undoText(), document.saved) == ("two", "Rename", False)
    document.undo.undo()
    assert (document.name, document.saved) == ("one", True)


def test_nudges_in_a_row_are_one_step_and_a_step_between_parts_them():
    document = Document()
    for bound in (1, 2):
        document.change_plan("Nudge", replace(Plan(), lower_bound=bound), merge=1)
    document.change_plan("Turn", replace(Plan(), lower_bound=3), merge=2)
    document.change_plan("Nudge", replace(Plan(), lower_bound=4), merge=1)
    assert document.undo.count() == 3
    document.undo.undo()
    document.undo.undo()
    assert document.plan.lower_bound == 2


def test_nudging_there_and_back_leaves_nothing_to_undo():
    document = Document()
    document.change_plan("Nudge", replace(Plan(), lower_bound=1), merge=1)
    document.change_plan("Nudge", Plan(), merge=1)
    assert document.undo.count() == 0


def test_the_same_state_again_is_no_step():
    document = Document()
    document.change_plan("Plan", Plan())
    assert document.undo.count() == 0


def test_it_tells_only_what_changed():
    document = Document()
    told = []
    document.project_changed.connect(lambda: told.append("project"))
    document.plan_changed.connect(lambda: told.append("plan"))
    document.change_plan("Plan", replace(Plan(), lower_bound=1))
    document.change("Rename", State(Project(name="two"), document.plan))
    document.undo.undo()
    assert told == ["plan", "project", "project"]


def test_opening_another_project_has_no_way_back(tmp_path):
    document = Document()
    document.change_plan("Plan", replace(Plan(), lower_bound=1))
    document.start_with(State(Project(name="two")), tmp_path / "two.json")
    assert not document.undo.canUndo()
    assert document.path == tmp_path / "two.json"


def test_what_is_printed_bears_the_name_that_the_window_shows(tmp_path):
    document = Document()
    assert document.named_project.name == "Untitled"
    document.start_with(State(Project(name="one")), tmp_path / "party.json")
    assert document.named_project.name == document.name == "one"
    document.start_with(State(Project()), tmp_path / "party.json")
    assert document.named_project.name == document.name == "party"
