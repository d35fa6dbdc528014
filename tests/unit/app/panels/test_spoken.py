"""What is picked is told in words: name, place, turn, how much is clear about it, what is wrong."""

import re

import pytest

from app.panels.spoken import NOTHING, picked_words
from layout.geometry.pose import Pose
from layout.geometry.value import replace


def test_nothing_picked_says_how_to_pick(planned):
    planned.selection.pick()
    assert picked_words(planned.canvas) == NOTHING


def test_a_picked_die_is_told_with_place_turn_and_clearance(planned):
    planned.selection.pick(dies=frozenset({0}))
    words = picked_words(planned.canvas)
    box = planned.canvas.picked_bounds()
    assert words.startswith("flower 1: middle ")
    assert f"{box.center().x():g} mm from the left" in words
    assert "from the edge of the bed" in words
    gap = float(re.search(r"([\d.]+) mm from flower \d", words)[1])
    dies = planned.canvas.scene.dies
    polygons = [d.pose.outline(d.die.body).polygon for d in dies]
    assert gap == pytest.approx(min(polygons[0].distance(p) for p in polygons[1:]), abs=0.06)


def test_dies_that_touch_are_told_with_what_is_wrong(planned):
    there = planned.document.plan.layouts[0].dies[1].pose
    planned.hands.place({0: replace(there, x=there.x - 5)}, {}, "Move")
    planned.selection.pick(dies=frozenset({0}))
    assert planned.faults.findings
    words = picked_words(planned.canvas)
    assert "touching flower 2" in words
    assert "a gap of 1.0 mm is needed" in words


def test_the_plate_describes_itself_anew_after_each_change(planned, qtbot):
    planned.selection.pick(dies=frozenset({0}))
    qtbot.waitUntil(lambda: planned.canvas.accessibleDescription().startswith("flower 1"))
    before = planned.canvas.accessibleDescription()
    pose = planned.document.plan.layouts[0].dies[0].pose
    planned.hands.place({0: Pose(pose.x + 0.5, pose.y, pose.turn)}, {}, "Move")
    qtbot.waitUntil(lambda: planned.canvas.accessibleDescription() != before)
    planned.actions_by_id["hold"].trigger()
    qtbot.waitUntil(lambda: "held in place" in planned.canvas.accessibleDescription())
