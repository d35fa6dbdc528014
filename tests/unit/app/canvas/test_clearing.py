"""The nearest clear place, offered while a die rests in a bad one and taken with a key."""

import math

import pytest
from PySide6.QtCore import QPointF, Qt

from app.canvas.clearing import places_around
from layout.geometry.pose import Pose
from layout.rules import check


def test_a_die_in_the_way_finds_a_clear_place_near_by(planned):
    planned.hands.put_back()
    planned.selection.pick(dies=frozenset({1}))
    planned.hands.put_back()  # room for one
    planned.hands.place({0: Pose(24.0, 13.0)}, {}, "Move")
    planned.hands.place({0: Pose(58.0, 14.0)}, {}, "Move")
    assert check(planned.document.project, planned.document.plan)
    planned.selection.pick(dies=frozenset({0}))
    planned.actions_by_id["clear"].trigger()
    plan = planned.document.plan
    assert check(planned.document.project, plan) == []
    assert planned.document.undo.undoText() == "Move to a clear place of flower 1"
    moved = plan.layouts[0].dies[0].pose
    assert abs(moved.x - 58.0) + abs(moved.y - 14.0) < 45


def test_the_ghost_is_offered_while_the_hand_rests(planned, qtbot):
    canvas = planned.canvas
    planned.selection.pick(dies=frozenset({1}))
    planned.hands.put_back()
    body = canvas.scene.dies[0].body
    start = canvas.viewing.to_screen(body.pointAtPercent(0.0) * 0.97 + body.boundingRect().center() * 0.03)
    qtbot.mousePress(canvas, Qt.MouseButton.LeftButton, pos=start.toPoint())
    qtbot.mouseMove(canvas, (start + QPointF(20, 0)).toPoint())
    qtbot.mouseMove(canvas, (start + QPointF(43 * canvas.viewing.scale, 3)).toPoint())
    assert canvas.fault_words()
    qtbot.waitUntil(lambda: canvas.clear_place.pose is not None, timeout=10000)
    offered = canvas.clear_place.pose
    qtbot.keyClick(canvas, Qt.Key.Key_C)
    assert planned.document.plan.layouts[0].dies[0].pose == offered
    assert check(planned.document.project, planned.document.plan) == []


def test_nothing_is_offered_where_nothing_is_wrong(planned):
    canvas = planned.canvas
    planned.selection.pick(dies=frozenset({0}))
    canvas.take_draft(canvas.in_hand())
    canvas.clear_place._begin()
    assert not canvas.clear_place._next.isActive()
    assert canvas.clear_place.pose is None
    canvas.drop_gesture()


@pytest.mark.parametrize("away", [3.0, 11.0, 26.0, 39.0])
def test_no_strip_of_paper_is_skipped_by_the_places_looked_at(away):
    ring = [p for p in places_around(Pose(10.0, 20.0, 30.0)) if abs(math.hypot(p.x - 10.0, p.y - 20.0) - away) <= 3.0]
    for k in range(90):
        angle = math.radians(4.0 * k)
        x, y = 10.0 + away * math.cos(angle), 20.0 + away * math.sin(angle)
        assert min(math.hypot(p.x - x, p.y - y) for p in ring) <= 3.2
        assert min(abs(p.y - y) for p in ring if abs(p.x - x) < 4.0) <= 1.5
