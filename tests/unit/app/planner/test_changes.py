"""What a new plan changed is said in one sentence, and can be undone from there."""

import pytest

from app.document import edits
from app.planner.changes import what_changed
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Plan, Unplaced
from tests.support.desk import grid


@pytest.fixture
def plan():
    return grid(3, 2, corners=12, sheets=2)[1]


def moved(plan, *dies):
    layout = plan.layouts[0]
    there = tuple(replace(d, pose=Pose(0.5, 0.5)) if i in dies else d for i, d in enumerate(layout.dies))
    return replace(plan, layouts=(replace(layout, dies=there),))


def test_nothing_before_or_nothing_new_is_not_worth_a_word(plan):
    assert what_changed(Plan(), plan) == ""
    assert what_changed(plan, plan) == ""


def test_dies_that_lie_elsewhere_are_counted(plan):
    assert what_changed(plan, moved(plan, 0, 4)) == "Still 1 pass; 2 dies lie elsewhere."


def test_passes_missing_pieces_and_what_was_held(plan):
    short = replace(plan, unplaced=(Unplaced("w flower 1", 2, "no paper"),))
    held = edits.with_layout(plan, 0, lambda old: edits.hold(old, 0, frozenset({1}), frozenset(), True))
    told = what_changed(short, replace(held, layouts=(*held.layouts, *moved(plan, 3).layouts)))
    assert told == "2 passes, before 1; 0 pieces missing, before 2; 6 dies lie elsewhere; 1 held die stayed."


def test_what_was_held_where_it_may_not_lie_is_said_to_be_gone(plan):
    held = edits.with_layout(plan, 0, lambda old: edits.hold(old, 0, frozenset({0, 1}), frozenset(), True))
    layout = held.layouts[0]
    without = replace(held, layouts=(replace(layout, dies=layout.dies[1:]),))
    assert "1 held die stayed; 1 held die may not lie there and went back in the drawer." in what_changed(held, without)


def test_it_is_said_after_planning_and_undone_by_its_button(planned, monkeypatch, tmp_path, qtbot):
    import json
    import sys
    from pathlib import Path

    from layout.formats.plan_file import plan_bytes

    before = planned.document.plan
    after = moved(before, 2)
    line = {"event": "better", "seconds": 0.5, "proven": False, "missing": 0, "plan": json.loads(plan_bytes(after))}
    (tmp_path / "lines").write_text(json.dumps(line))
    (tmp_path / "code").write_text("0")
    speaker = Path(__file__).resolve().parents[3] / "support" / "speaking_planner.py"
    monkeypatch.setattr(planned.planning.runner, "program", [sys.executable, str(speaker), str(tmp_path)])
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.actions_by_id["plan_rest"].trigger()
    assert planned.bar.text == "Still 1 pass; 1 die lies elsewhere."
    planned.bar.buttons[0].click()
    assert planned.document.plan == before
