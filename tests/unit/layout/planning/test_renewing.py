"""A plan is renewed: a few passes are given up and built anew in fewer, the others stay."""

from __future__ import annotations

from collections import Counter

import pytest

from layout.formats.project_file import read_project
from layout.nesting.job import Effort
from layout.planning.bedding import Bench
from layout.planning.construct import Builder, Drive
from layout.planning.holding import hold_of
from layout.planning.planner import Limits, begin, make_plan
from layout.planning.renewing import Renewer
from tests.support.checked import assert_good
from tests.support.shared import ROOT
from tests.support.three_dies import three_of_which_two_share_a_bed

DEMO = ROOT / "resources" / "demo" / "night-garden.json"


@pytest.mark.parametrize("give_up", [1, 3])
def test_the_passes_not_given_up_stay_as_they_are(give_up: int) -> None:
    asked = three_of_which_two_share_a_bed()
    bench, held = Bench(asked), hold_of(asked, None)
    begun = begin(asked, bench, held)
    builder = Builder(bench, begun, held, Drive(Effort(starts=1, rounds=20)))
    built = builder.build()
    assert built is not None
    renewer = Renewer(bench, begun, held, Drive(Effort(starts=1, rounds=20)))
    renewed = renewer.renewed(builder.taped, give_up)
    assert renewed is not None
    before, after = (Counter(r for lay in plan.layouts for r in lay.runs) for plan in (built[0], renewed[0]))
    assert sum((before - after).values()) <= give_up
    assert renewed[1] == {}
    assert_good(asked, renewed[0])


def test_a_goal_that_no_giving_up_reaches_is_not_begun() -> None:
    """Four kits of three pieces, two a pass at most: fewer than six passes cannot be (by counting)."""
    asked = three_of_which_two_share_a_bed()
    bench, held = Bench(asked), hold_of(asked, None)
    begun = begin(asked, bench, held)
    builder = Builder(bench, begun, held, Drive(Effort(starts=1, rounds=20)))
    assert builder.build() is not None
    renewer = Renewer(bench, begun, held, Drive(Effort(starts=1, rounds=20), goal=3))
    assert renewer.renewed(builder.taped, 1) is None


@pytest.mark.parametrize("seed", [0, 4])
def test_the_demo_is_planned_in_as_few_passes_as_can_be(seed: int) -> None:
    """One die for the lower wings and eight kits: no plan has fewer than eight passes (by counting)."""
    project = read_project(DEMO)
    plan = make_plan(project, Limits(seconds=1000, attempts=24, seed=seed))
    assert_good(project, plan)
    assert (plan.passes, plan.unplaced, plan.proven) == (8, (), True)
