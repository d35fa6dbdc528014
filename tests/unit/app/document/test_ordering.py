"""Passes and layouts by hand: their order, what is lifted off, and what is laid in another pass."""

import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt
from PySide6.QtGui import QDropEvent

from app.document.state import State
from app.panels.passmodel import PASS_MIME
from app.panels.to_pass import ask_for_pass
from layout.rules import check
from tests.support.desk import grid


@pytest.fixture
def two(planned):
    """Return a window whose plan has a second layout with the same dies and no paper, and looks at the first."""
    planned.ordering.duplicate()
    planned.selection.look_at(0, 0)
    return planned


def ids(window):
    return [layout.id for layout in window.document.plan.layouts]


def test_a_die_owned_once_is_not_laid_twice_in_a_layout(two):
    two.selection.pick(dies=frozenset({0}))
    two.ordering.carry_over((1, 0))
    assert two.bar.text == "flower 1 is already taped down there; you own 1."


def test_a_scrap_and_its_dies_go_to_another_pass_and_cut_there(two):
    plan = two.document.plan
    two.selection.look_at(1, 0)
    two.selection.pick(dies=frozenset(range(6)))
    two.hands.put_back()
    two.selection.look_at(0, 0)
    two.hands.along = True
    two.selection.pick(scraps=frozenset({1}))
    two.ordering.carry_over((1, 0))
    first, second = two.document.plan.layouts
    assert (len(first.dies), len(second.dies)) == (3, 3)
    assert [c.wanted for c in second.runs[0].cuts] == ["w flower 4", "w flower 5", "w flower 6"]
    assert two.document.plan.unplaced == ()
    assert [f for f in check(two.document.project, two.document.plan) if f.rule != "bound"] == []
    two.document.undo.undo()
    two.document.undo.undo()
    assert two.document.plan == plan


def test_what_is_held_stays_in_its_pass(two):
    two.selection.pick(dies=frozenset({0}))
    two.hands.hold(True)
    before = two.document.plan
    two.ordering.carry_over((1, 0))
    assert two.document.plan is before
    assert "held in place" in two.bar.text


def test_lifted_off_and_cutting_again(planned):
    plan = planned.document.plan
    planned.selection.pick(dies=frozenset({2}))
    planned.actions_by_id["lift_off"].trigger()
    assert [u.wanted for u in planned.document.plan.unplaced] == ["w flower 3"]
    planned.actions_by_id["lift_off"].trigger()
    assert planned.document.plan == plan


def test_a_scrap_takes_along_what_lies_on_it_where_asked(planned):
    planned.selection.pick(scraps=frozenset({0}))
    before = planned.document.plan.layouts[0]
    planned.actions_by_id["along"].setChecked(True)
    planned.hands.nudge(1, 0, fine=False)
    after = planned.document.plan.layouts[0]
    moved = [i for i in range(6) if after.dies[i].pose != before.dies[i].pose]
    assert moved == [0, 1, 2]
    assert planned.document.undo.undoText() == "Nudge of sheet 1"
    planned.hands.turn(90)
    dies = planned.document.plan.layouts[0].dies
    apart = (dies[1].pose.x - dies[0].pose.x, dies[1].pose.y - dies[0].pose.y)
    assert apart == pytest.approx((0.0, 26.0))


@pytest.mark.parametrize("key", ["pass_earlier", "drag"])
def test_passes_change_places_by_key_and_by_drag(two, key):
    two.selection.look_at(1, 0)
    if key == "drag":
        drop(two, 1, over=0)
    else:
        two.actions_by_id[key].trigger()
    assert ids(two) == ["B", "A"]
    assert (two.selection.layout, two.selection.run) == (0, 0)
    assert two.document.undo.undoText() == "Reorder of layouts"


def drop(window, row, *, over):
    data, passes = QMimeData(), window.passes
    data.setData(PASS_MIME, str(row).encode())
    at = QPointF(passes.visualRect(passes.model().index(over, 0)).center())
    passes.dropEvent(
        QDropEvent(at, Qt.DropAction.MoveAction, data, Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier)
    )


def test_let_go_over_another_pass_it_is_laid_there(two, qtbot):
    two.selection.look_at(1, 0)
    two.selection.pick(dies=frozenset({0}))
    two.hands.put_back()
    two.selection.look_at(0, 0)
    passes, canvas = two.passes, two.canvas
    body = canvas.scene.dies[0].body
    start = canvas.viewing.to_screen(body.pointAtPercent(0.0) * 0.97 + body.boundingRect().center() * 0.03)
    there = passes.viewport().mapToGlobal(passes.visualRect(passes.model().index(1, 0)).center())
    qtbot.mousePress(canvas, Qt.MouseButton.LeftButton, pos=start.toPoint())
    qtbot.mouseMove(canvas, (start + QPointF(20, 20)).toPoint())
    qtbot.mouseRelease(canvas, Qt.MouseButton.LeftButton, pos=canvas.mapFromGlobal(there))
    assert "flower 1" not in [d.die for d in two.document.plan.layouts[0].dies]
    assert two.document.plan.layouts[1].dies[-1].die == "flower 1"


def test_the_menu_of_passes_names_all_but_this_one(two):
    two.selection.pick(dies=frozenset({0}))
    menu = ask_for_pass(two)
    offered = [(a.text(), a.isEnabled()) for a in menu.actions()]
    assert offered == [("Pass 1 · layout A", False), ("Pass 2 · layout B", True)]
    menu.close()


def test_with_one_pass_there_is_nowhere_to_move_to(planned):
    planned.selection.pick(dies=frozenset({0}))
    assert ask_for_pass(planned) is None
    assert "only this pass" in planned.bar.text
    planned.document.start_with(State(grid(3, 2, corners=12, sheets=2)[0]), None)
    assert ask_for_pass(planned) is None
