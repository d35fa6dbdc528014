"""Drawn to just clear: exactly the gap that the project asks for, never nearer, and only within reach."""

import pytest

from app.canvas.draft import Draft
from app.canvas.scene import scene_of
from app.canvas.snapping import Snapper
from layout.geometry.pose import Pose
from tests.support.desk import grid


@pytest.fixture
def scene():
    project, plan = grid(3, 2, corners=60, sheets=2)
    return scene_of(project, plan, 0, 0)


def distance(scene, pose, other):
    moved = pose.outline(scene.dies[0].die.body.solid).polygon
    return moved.distance(scene.dies[other].pose.outline(scene.dies[other].die.body.solid).polygon)


@pytest.mark.parametrize("x", [16.0, 16.5, 17.2, 18.0])
def test_near_another_die_it_comes_to_lie_just_clear_of_it(scene, x):
    snapped = Snapper(scene, 1.0).snap(Draft({0: Pose(x, 13.0)}), 3.0).dies[0]
    assert distance(scene, snapped, 1) == pytest.approx(1.0, abs=0.006)
    assert distance(scene, snapped, 1) >= 1.0
    assert distance(scene, snapped, 3) >= 1.0


def test_far_from_everything_it_stays_where_the_hand_is(scene):
    draft = Draft({0: Pose(200.0, 200.0)})
    assert Snapper(scene, 1.0).snap(draft, 3.0) == draft


def test_near_the_margin_it_lies_along_it(scene):
    low = scene.dies[0].die.body.bounds[1]
    snapped = Snapper(scene, 1.0).snap(Draft({0: Pose(13.0, -low + 0.7)}), 1.0).dies[0]
    assert snapped.outline(scene.dies[0].die.body).bounds[1] == pytest.approx(0.0, abs=1e-9)


def test_several_in_hand_keep_their_places(scene):
    draft = Draft({0: Pose(16.0, 13.0), 1: Pose(40.0, 13.0)})
    assert Snapper(scene, 1.0).snap(draft, 3.0) == draft


def test_a_sheet_is_drawn_to_the_bed_and_to_the_edges_of_other_sheets():
    project, plan = grid(3, 2, corners=24, sheets=2)
    snapper = Snapper(scene_of(project, plan, 0, 0), 1.0)
    length = project.scraps[0].outline.bounds[3]
    drawn = snapper.snap(Draft(scraps={1: Pose(0.8, length - 0.7)}), 2.0)
    assert (drawn.scraps[1].x, drawn.scraps[1].y) == pytest.approx((0.0, length))
    far = Draft(scraps={1: Pose(9.0, length + 9.0)})
    assert snapper.snap(far, 2.0) == far
