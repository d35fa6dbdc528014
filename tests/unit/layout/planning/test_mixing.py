"""Several beds mixed so that every pass is full, where one bed after the other would leave half-empty ones."""

from __future__ import annotations

from layout.planning.planner import Limits, make_plan
from tests.support.checked import assert_good
from tests.support.three_dies import three_of_which_two_share_a_bed


def test_three_dies_of_which_two_share_a_bed_take_turns() -> None:
    # the best is 6, all pairs twice each, while the same pair four times and then the third alone would take 8
    asked = three_of_which_two_share_a_bed()
    plan = make_plan(asked, Limits(seconds=100, attempts=6))
    assert_good(asked, plan)
    assert (plan.passes, plan.unplaced) == (6, ())
