"""Several beds mixed so that every pass is full, where one bed after the other would leave half-empty ones."""

from __future__ import annotations

from layout.geometry.outline import Outline
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted
from layout.planning.planner import Limits, make_plan
from tests.support.checked import assert_good


def test_three_dies_of_which_two_share_a_bed_take_turns() -> None:
    # pairs fit, three do not: 4 pieces of each are 12 cuts, two a pass; the best is 6, all pairs twice each,
    # while the same pair four times and then the third alone would take 8
    body, cut = Outline.rectangle(42, 80), Outline.rectangle(36, 74, x=3, y=3)
    asked = Project(
        machine=Machine("", 100, 90, overhang_across=10.0),
        dies=tuple(Die(name, name, body, cut) for name in ("moth", "leaf", "star")),
        papers=(Paper("cream", "cream"),),
        scraps=(Scrap("sheet", "cream", Outline.rectangle(116, 116), count=12),),
        wanted=tuple(Wanted(f"{name}s", name, 1, "cream") for name in ("moth", "leaf", "star")),
        kits=4,
    )
    plan = make_plan(asked, Limits(seconds=100, attempts=6))
    assert_good(asked, plan)
    assert (plan.passes, plan.unplaced) == (6, ())
