"""Drawn to where it lies well: just clear, evenly in a row, round its image; never too near, only within reach."""

import math

import pytest
from PySide6.QtCore import QPointF, Qt

from app.canvas.draft import Draft
from app.canvas.gestures import Move
from app.canvas.scene import scene_of
from app.canvas.snapping import Snapper
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.model.project import Image
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
    snapped = Snapper(scene, 1.0).snap(Draft({0: Pose(x, 13.0)}), 3.0).draft.dies[0]
    assert distance(scene, snapped, 1) == pytest.approx(1.0, abs=0.006)
    assert distance(scene, snapped, 1) >= 1.0
    assert distance(scene, snapped, 3) >= 1.0


def test_far_from_everything_it_stays_where_the_hand_is(scene):
    draft = Draft({0: Pose(200.0, 200.0)})
    assert Snapper(scene, 1.0).snap(draft, 3.0).draft == draft


def test_near_the_margin_it_lies_along_it(scene):
    low = scene.dies[0].die.body.bounds[1]
    snapped = Snapper(scene, 1.0).snap(Draft({0: Pose(13.0, -low + 0.7)}), 1.0).draft.dies[0]
    assert snapped.outline(scene.dies[0].die.body).bounds[1] == pytest.approx(0.0, abs=1e-9)


def test_several_in_hand_keep_their_places(scene):
    draft = Draft({0: Pose(16.0, 13.0), 1: Pose(40.0, 13.0)})
    assert Snapper(scene, 1.0).snap(draft, 3.0).draft == draft


def test_a_sheet_is_drawn_to_the_bed_and_to_the_edges_of_other_sheets():
    project, plan = grid(3, 2, corners=24, sheets=2)
    snapper = Snapper(scene_of(project, plan, 0, 0), 1.0)
    length = project.scraps[0].outline.bounds[3]
    drawn = snapper.snap(Draft(scraps={1: Pose(0.8, length - 0.7)}), 2.0).draft
    assert (drawn.scraps[1].x, drawn.scraps[1].y) == pytest.approx((0.0, length))
    far = Draft(scraps={1: Pose(9.0, length + 9.0)})
    assert snapper.snap(far, 2.0).draft == far


def row_of(*places):
    """Three flowers in a row, their middles at these places."""
    project, plan = grid(3, 1, corners=60)
    layout = plan.layouts[0]
    dies = tuple(replace(d, pose=Pose(x, 13.0)) for d, x in zip(layout.dies, places, strict=True))
    return scene_of(
        replace(project, machine=replace(project.machine, bed_width=200.0)), Plan((replace(layout, dies=dies),)), 0, 0
    )


def test_in_a_row_it_is_drawn_to_an_equal_gap_and_a_mark_shows_both():
    scene = row_of(150.0, 50.0, 20.0)  # the one in hand, its neighbour, and the next
    snapped = Snapper(scene, 1.0).snap(Draft({0: Pose(81.0, 13.0)}), 2.0)
    assert snapped.draft.dies[0].x == pytest.approx(80.0)
    assert [m.kind for m in snapped.marks] == ["equal"]
    boxes = [scene.dies[i].solid.boundingRect() for i in (1, 2)]
    assert snapped.marks[0].gap == pytest.approx(boxes[0].left() - boxes[1].right())
    assert len(snapped.marks[0].lines) == 2


def test_an_equal_gap_never_draws_a_die_onto_another():
    project, plan = grid(3, 2, corners=60)
    layout = plan.layouts[0]
    places = ((150.0, 13.0), (50.0, 13.0), (20.0, 13.0), (79.0, 41.0), (150.0, 60.0), (190.0, 60.0))
    dies = tuple(replace(d, pose=Pose(*at)) for d, at in zip(layout.dies, places, strict=True))
    scene = scene_of(project, Plan((replace(layout, dies=dies),)), 0, 0)
    for y in (13.0, 18.0, 22.0, 23.5):
        snapped = Snapper(scene, 1.0).snap(Draft({0: Pose(81.0, y)}), 2.0)
        clear = Snapper(scene, 1.0).snap(Draft({0: Pose(81.0, y)}), 0.0).draft.dies[0]
        before, after = (distance(scene, pose, 3) for pose in (clear, snapped.draft.dies[0]))
        assert after >= min(before, 1.0) - 1e-9


def test_marks_tell_what_drew_it_and_a_free_die_has_none(scene):
    touching = Snapper(scene, 1.0).snap(Draft({0: Pose(16.5, 13.0)}), 3.0)
    assert {m.kind for m in touching.marks} == {"touch"}
    for mark in touching.marks:
        assert math.dist(*mark.lines[0]) == pytest.approx(1.0, abs=0.03)
    low = scene.dies[0].die.body.bounds[1]
    edge = Snapper(scene, 1.0).snap(Draft({0: Pose(13.0, -low + 0.7)}), 1.0)
    assert [m.lines[0][0][1] for m in edge.marks if m.kind == "edge"] == [0.0]
    assert Snapper(scene, 1.0).snap(Draft({0: Pose(200.0, 200.0)}), 3.0).marks == ()


# ---- images ---------------------------------------------------------------------------------------------------------

STAMPED = Image("moth", Pose(31.0, 12.0, 25.0))


@pytest.fixture
def stamped():
    """A sheet laid turned, with one stamped image; the first flower must frame it."""
    project, plan = grid(3, 2, corners=60, sheets=1)
    scrap = replace(project.scraps[0], images=(STAMPED,))
    wanted = (replace(project.wanted[0], image="moth"), *project.wanted[1:])
    laid = replace(plan.layouts[0].runs[0].scraps[0], pose=Pose(70.0, 5.0, 90.0))
    layout = replace(plan.layouts[0], runs=(replace(plan.layouts[0].runs[0], scraps=(laid,)),))
    project = replace(project, scraps=(scrap,), wanted=wanted)
    return scene_of(project, Plan((layout,)), 0, 0), wanted, laid.pose.after(STAMPED.pose)


def test_a_die_that_must_frame_an_image_is_drawn_to_its_place_and_turn(stamped):
    scene, wanted, target = stamped
    snapped = Snapper(scene, 1.0, wanted).snap(Draft({0: Pose(target.x + 2.0, target.y - 2.0, 0.0)}), 2.0)
    assert snapped.draft.dies[0] == target
    assert target.turn == pytest.approx(115.0)
    assert [m.kind for m in snapped.marks] == ["image"]


def test_another_die_passes_over_the_image_and_so_does_one_far_from_it(stamped):
    scene, wanted, target = stamped
    snapper = Snapper(scene, 1.0, wanted)
    for draft in (Draft({1: Pose(target.x, target.y)}), Draft({0: Pose(target.x + 9.0, target.y)})):
        assert all(m.kind != "image" for m in snapper.snap(draft, 2.0).marks)


def test_an_image_framed_already_draws_no_second_die(stamped):
    scene, wanted, target = stamped
    twin = replace(scene.dies[1], die=scene.dies[0].die, pose=target)
    crowded = replace(scene, dies=(scene.dies[0], twin, *scene.dies[2:]))
    snapped = Snapper(crowded, 1.0, wanted).snap(Draft({0: Pose(target.x + 1.0, target.y)}), 1.0)
    assert all(m.kind != "image" for m in snapped.marks)


# ---- in the window --------------------------------------------------------------------------------------------------


def test_a_drag_shows_its_marks_and_alt_frees_it(planned):
    canvas, start = planned.canvas, QPointF(100.0, 100.0)
    planned.selection.pick(dies=frozenset({0}))
    x, step = canvas.scene.dies[0].pose.x, QPointF(3.6 * canvas.viewing.scale, 0.0)
    for modifiers, drawn in ((Qt.KeyboardModifier.NoModifier, True), (Qt.KeyboardModifier.AltModifier, False)):
        Move(canvas, start).move(start + step, modifiers)
        assert bool(canvas.snap_marks) == drawn
        assert (canvas.draft.dies[0].x - x != pytest.approx(3.6)) == drawn
        canvas.repaint()
        canvas.drop_gesture()
        assert canvas.snap_marks == ()


def test_a_drag_at_something_held_says_why_it_stays(planned):
    planned.selection.pick(dies=frozenset({0}))
    planned.actions_by_id["hold"].trigger()
    Move(planned.canvas, QPointF(100.0, 100.0)).move(QPointF(160.0, 100.0), Qt.KeyboardModifier.NoModifier)
    assert "held in place" in planned.bar.text
