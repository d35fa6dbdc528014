"""Hand steps on plans: what lies over what, what is missing afterwards, and nothing lost on the way back."""

from collections import Counter

import pytest

from app.document import edits
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.rules import check
from tests.support.desk import grid


@pytest.fixture
def desk():
    return grid(3, 2, corners=24, sheets=2)


def test_the_made_up_desk_breaks_no_rule(desk):
    assert check(*desk) == []


def test_a_die_moved_over_another_sheet_cuts_from_that_one(desk):
    project, plan = desk
    layout = edits.move_dies(project, (), plan.layouts[0], {0: Pose(13.0, 39.0)}, edits.short_of(project, plan))
    assert [c.scrap for c in layout.runs[0].cuts if c.die == 0] == [1]


def test_a_die_moved_off_all_paper_leaves_its_piece_missing(desk):
    project, plan = desk
    moved = edits.with_layout(plan, 0, lambda old: edits.move_dies(project, (), old, {0: Pose(-90.0, 0.0)}, Counter()))
    settled = edits.settle(project, moved)
    assert [(u.wanted, u.count) for u in settled.unplaced] == [("w flower 1", 1)]
    there, short = {0: plan.layouts[0].dies[0].pose}, edits.short_of(project, settled)
    back = edits.with_layout(settled, 0, lambda old: edits.move_dies(project, (), old, there, short))
    assert edits.settle(project, back) == plan


def test_a_sheet_pulled_away_leaves_its_dies_idle(desk):
    project, plan = desk
    moved = edits.with_layout(
        plan, 0, lambda old: edits.move_scraps(project, (), old, 0, {0: Pose(500.0, 0.0)}, Counter())
    )
    assert {c.die for c in moved.layouts[0].runs[0].cuts} == {3, 4, 5}


def test_dies_put_back_take_their_cuts_with_them_and_the_others_keep_theirs(desk):
    project, plan = desk
    layout = edits.put_back(plan.layouts[0], frozenset({1, 3}))
    assert [d.die for d in layout.dies] == ["flower 1", "flower 3", "flower 5", "flower 6"]
    assert [(c.die, c.wanted) for c in layout.runs[0].cuts] == [
        (0, "w flower 1"),
        (1, "w flower 3"),
        (2, "w flower 5"),
        (3, "w flower 6"),
    ]
    assert check(project, edits.settle(project, replace(plan, layouts=(layout,)))) == []


def test_putting_on_again_makes_the_piece_again(desk):
    project, plan = desk
    off = edits.with_layout(plan, 0, lambda old: edits.put_back(old, frozenset({5})))
    sixth, short = plan.layouts[0].dies[5], edits.short_of(project, off)
    on = edits.with_layout(off, 0, lambda old: edits.put_on(project, (), old, sixth, short))
    assert edits.settle(project, on) == plan


def test_a_die_that_was_lifted_off_begins_to_cut_only_what_is_still_short(desk):
    project, plan = desk
    lifted = edits.with_layout(plan, 0, lambda old: edits.with_run(old, 0, lambda r: edits.lift_off(r, frozenset({0}))))
    enough = replace(project, spares={"w flower 1": 1})
    there = {0: Pose(13.5, 13.0)}
    still = edits.move_dies(enough, (), lifted.layouts[0], there, edits.short_of(enough, lifted))
    assert all(c.die != 0 for c in still.runs[0].cuts)
    again = edits.move_dies(project, (), lifted.layouts[0], there, edits.short_of(project, lifted))
    assert [c.wanted for c in again.runs[0].cuts if c.die == 0] == ["w flower 1"]


def test_a_heap_that_is_used_up_gives_no_sheet(desk):
    project, plan = desk
    assert edits.free_copy(project, plan, "sheet 1") is None
    assert edits.free_copy(project, Plan(), "sheet 1") == 0


def test_holding_marks_and_letting_go_leaves_no_trace(desk):
    _, plan = desk
    held = edits.hold(plan.layouts[0], 0, frozenset({2}), frozenset({1}), True)
    assert held.dies[2].extra == {"held": True}
    assert held.runs[0].scraps[1].extra == {"held": True}
    assert edits.hold(held, 0, frozenset({2}), frozenset({1}), False) == plan.layouts[0]


def test_the_spares_tin_counts_before_anything_is_missing(desk):
    project, plan = desk
    off = edits.with_layout(plan, 0, lambda old: edits.put_back(old, frozenset({5})))
    assert edits.settle(replace(project, spares={"w flower 6": 1}), off).unplaced == ()


def test_what_is_held_stays_marked_in_the_plan_that_comes_back(desk):
    _, plan = desk
    held = edits.with_layout(plan, 0, lambda old: edits.hold(old, 0, frozenset({2}), frozenset({1}), True))
    back = edits.keep_marks(held, plan)
    assert back == held
    assert edits.anything_held(back)
    assert edits.keep_marks(plan, plan) is plan
