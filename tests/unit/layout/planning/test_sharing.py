"""Sheets that cannot lie side by side on the bed are cut down, where that spares a pass."""

from __future__ import annotations

from layout.geometry.outline import Outline
from layout.model.project import Die, Machine, Paper, Project, Scrap, Wanted
from layout.planning.planner import Limits, make_plan
from tests.support.checked import assert_good


def test_two_long_sheets_share_the_bed_once_they_are_cut_down() -> None:
    body, cut = Outline.rectangle(30, 30), Outline.rectangle(26, 26, x=2, y=2)
    asked = Project(
        machine=Machine("", 70, 140, overhang_along=0.0),
        dies=(Die("moth", "moth", body, cut), Die("leaf", "leaf", body, cut)),
        papers=(Paper("cream", "cream"), Paper("moss", "moss")),
        scraps=tuple(Scrap(p, p, Outline.rectangle(60, 130)) for p in ("cream", "moss")),
        wanted=(Wanted("moths", "moth", 1, "cream"), Wanted("leaves", "leaf", 1, "moss")),
    )
    plan = make_plan(asked, Limits(seconds=60, attempts=8))
    assert_good(asked, plan)
    assert (plan.passes, plan.unplaced) == (1, ())
    assert plan.cut_downs
