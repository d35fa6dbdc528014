"""Planning from the window: better plans come in as one undo step, stop keeps the best, a hand goes before."""

import json
import sys
from pathlib import Path

import pytest

from app.document.state import State
from layout.formats.plan_file import plan_bytes
from layout.geometry.pose import Pose
from layout.model.plan import Plan
from tests.support.desk import grid

SPEAKER = Path(__file__).resolve().parents[3] / "support" / "speaking_planner.py"


def line(plan, missing=0):
    told = {
        "event": "better",
        "seconds": 0.5,
        "proven": False,
        "missing": missing,
        "plan": json.loads(plan_bytes(plan)),
    }
    return json.dumps(told)


@pytest.fixture
def speaker(planned, tmp_path):
    """Return a function that lets the planner of the window say these lines."""

    def make(lines, *, code=0, wait=None, complaint=None):
        (tmp_path / "lines").write_text("\n".join(lines))
        (tmp_path / "code").write_text(str(code))
        if wait is not None:
            (tmp_path / "wait").touch()
            (tmp_path / "last").write_text(wait)
        if complaint is not None:
            (tmp_path / "complaint").write_text(complaint)
        planned.planning.runner.program = [sys.executable, str(SPEAKER), str(tmp_path)]
        planned.document.start_with(State(grid(3, 2, corners=24, sheets=2)[0]), None)
        return tmp_path

    return make


@pytest.fixture
def plans():
    plan = grid(3, 2, corners=24, sheets=2)[1]
    return plan, Plan(plan.layouts, lower_bound=1, because="something has to go through the rollers")


def test_what_it_finds_is_one_step(planned, speaker, plans, qtbot):
    speaker([line(plans[0]), line(plans[1])])
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.actions_by_id["plan"].trigger()
    assert planned.document.plan == plans[1]
    assert planned.document.undo.count() == 1
    assert planned.document.undo.undoText() == "Plan"
    planned.document.undo.undo()
    assert planned.document.plan == Plan()


def test_stop_keeps_the_best_and_what_is_said_last(planned, speaker, plans, qtbot):
    speaker([line(plans[0])], wait=line(plans[1]))
    planned.actions_by_id["plan"].trigger()
    qtbot.waitUntil(lambda: planned.document.plan == plans[0], timeout=20000)
    assert planned.header.plan_button.text() == "Stop"
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.header.plan_button.click()
    assert planned.document.plan == plans[1]
    assert planned.header.plan_button.text() == "Plan"
    assert planned.bar.text == ""


def test_a_hand_goes_before_the_planner(planned, speaker, plans, qtbot):
    speaker([line(plans[0])], wait=line(plans[1]))
    planned.actions_by_id["plan"].trigger()
    qtbot.waitUntil(lambda: planned.document.plan == plans[0], timeout=20000)
    planned.hands.place({0: Pose(12.0, 12.5)}, {}, "Move")
    assert not planned.planning.running
    assert planned.document.plan.layouts[0].dies[0].pose == Pose(12.0, 12.5)
    assert "you changed the plate" in planned.bar.text


def test_the_rest_is_planned_round_what_is_held(planned, speaker, plans, qtbot):
    folder = speaker([line(plans[1])])
    planned.document.change_plan("Open", plans[0])
    planned.selection.pick(dies=frozenset({2}))
    planned.hands.hold(True)
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.actions_by_id["plan_rest"].trigger()
    asked = (folder / "asked").read_text().splitlines()
    assert asked[0] == "plan"
    assert "--hold" in asked
    assert planned.document.undo.undoText() == "Plan of the rest"


def test_what_the_planner_complains_of_is_told_in_its_words(planned, speaker, qtbot):
    speaker([], code=2, complaint="project.json: dies[0].body: the outline crosses itself\n")
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.planning.start()
    assert planned.bar.text == "project.json: dies[0].body: the outline crosses itself"
    assert planned.document.plan == Plan()


def test_a_planner_that_cannot_be_started_is_told_of(planned, qtbot, tmp_path):
    planned.planning.runner.program = [str(tmp_path / "no such program")]
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.planning.start()
    assert "could not be started" in planned.bar.text


def test_closing_the_window_ends_the_planner(planned, speaker, plans, qtbot):
    speaker([line(plans[0])], wait=line(plans[1]))
    planned.planning.start()
    qtbot.waitUntil(lambda: planned.document.plan == plans[0], timeout=20000)
    planned.close()
    assert not planned.planning.running


def test_stopped_before_anything_was_found_says_so_calmly(planned, speaker, qtbot):
    speaker([], wait="")
    planned.planning.start()
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.planning.stop()
    assert planned.bar.text == "Planning ended before a plan was found. Press Plan and let it look a little longer."


def test_a_planner_that_breaks_off_is_told_of_without_its_inner_words(planned, speaker, plans, qtbot):
    speaker([line(plans[0])], code=134, complaint="Fatal error\n<no frame>\n")
    with qtbot.waitSignal(planned.planning.ended, timeout=20000):
        planned.planning.start()
    assert planned.bar.text.startswith("The planner broke off; what it had found until then is kept.")
    assert planned.document.plan == plans[0]


@pytest.mark.skipif(sys.platform == "win32", reason="niceness is a matter of Unix")
def test_the_planner_gives_way_to_the_window(planned, speaker, plans, qtbot):
    import os

    speaker([line(plans[0])], wait=line(plans[1]))
    with qtbot.waitSignal(planned.planning.improved, timeout=20000):
        planned.actions_by_id["plan"].trigger()
    process = planned.planning.runner._process.processId()
    assert os.getpriority(os.PRIO_PROCESS, process) >= max(10, os.getpriority(os.PRIO_PROCESS, 0))
