"""Under the rollers: the advice in the window does what it says, and marks are remembered for the machine."""

import pytest
import shiboken6

from app.document.state import State
from app.panels.rolling import WENT, known, open_rollers
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Run
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted
from layout.rules.rollers import run_profile

CUT = Outline.rectangle(60.0, 20.0, x=-30.0, y=-10.0)
BODY = Outline.rectangle(64.0, 24.0, x=-32.0, y=-12.0)


@pytest.fixture
def flat(window):
    """A window with one long label, its edges along the rollers: all of an edge comes at once."""
    project = Project(
        machine=Machine("home machine", 120.0, 160.0),
        dies=(Die("label", "label", BODY, CUT),),
        papers=(Paper("card", "card"),),
        scraps=(Scrap("sheet", "card", Outline.rectangle(120.0, 160.0)),),
        wanted=(Wanted("w", "label"),),
    )
    run = Run((LaidScrap("sheet", Pose()),), (Cut(0, 0, "w"),))
    plan = Plan((Layout("A", (PlacedDie("label", Pose(60.0, 80.0)),), (run,)),), lower_bound=1)
    window.document.start_with(State(project, plan), None)
    return window


def peak(window):
    document = window.document
    layout = document.plan.layouts[0]
    return run_profile({d.id: d for d in document.project.dies}, layout, layout.runs[0]).peak().length


@pytest.fixture
def dialog(flat):
    made = open_rollers(flat)
    yield made
    if shiboken6.isValid(made):
        made.close()


def test_the_peak_is_told(dialog, flat):
    # two ends of 2 mm and the whole of a 60 mm edge
    assert peak(flat) == pytest.approx(64.0)
    assert "At most 64 mm of blade" in dialog.peak.text()


def test_the_advice_is_followed_as_one_step(dialog, flat, qtbot):
    qtbot.waitUntil(lambda: dialog.apply.isEnabled(), timeout=20_000)
    said = dialog.advice.text()
    before = flat.document.plan
    dialog.apply.click()
    assert flat.document.undo.count() == 1
    assert peak(flat) < 32.0
    assert f"to {peak(flat):.0f} mm" in said
    flat.document.undo.undo()
    assert flat.document.plan == before


def test_marks_teach_the_limit_of_this_machine(dialog, flat):
    assert "marked yet" in dialog.limit.text()
    dialog.mark("hard")
    assert "went hard" in dialog.limit.text()
    dialog.mark("stalled")
    assert "stalled" in dialog.limit.text()
    assert known(flat.settings, "home machine").stalled == pytest.approx(64.0)
    assert known(flat.settings, "another machine").stalled is None
    assert set(WENT) == {"easy", "hard", "stalled"}


def test_spoiled_settings_are_let_be(flat):
    flat.settings.set_value("rollers/marks", "{broken")
    assert known(flat.settings, "home machine").hard is None


def test_another_pass_or_no_plan_is_followed(dialog, flat):
    flat.document.change_plan("Move", replace(flat.document.plan, layouts=()))
    assert not shiboken6.isValid(dialog) or not dialog.isVisible()


def test_without_a_plan_a_word_says_why(window):
    assert open_rollers(window) is None
