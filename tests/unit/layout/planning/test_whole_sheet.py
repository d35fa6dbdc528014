"""Panels, dies and punches off the same paper: no rule is broken, and every sheet is cut down from edge to edge."""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import count, islice

import pytest
from shapely.geometry import LineString

from layout.geometry.outline import Outline
from layout.model.parting import cut_apart
from layout.model.plan import CutDown, Plan, StraightCut
from layout.model.project import Project, Scrap
from layout.planning import planner
from layout.planning.planner import Limits, make_plan
from tests.support.checked import assert_good
from tests.support.random_projects import random_project

# All of them: PLATEFUL_WHOLE_SHEETS=500 pytest tests/unit/layout/planning/test_whole_sheet.py
MANY = int(os.environ.get("PLATEFUL_WHOLE_SHEETS", "24"))
BATCHES = max(8, MANY // 5)  # few projects a test: each has a limit of its own
PLENTY = 120.0  # seconds: what ends these searches is the number of attempts


@pytest.fixture(autouse=True)
def _no_draft_is_thrown_away(monkeypatch: pytest.MonkeyPatch) -> None:
    """A draft that breaks a rule fails the test, though the planner would only have dropped it."""
    monkeypatch.setattr(planner, "STRICT", True)


def with_everything() -> Iterator[tuple[int, Project]]:
    """Give random projects that have panels, dies and punches."""
    for seed in count():
        project = random_project(seed, panels=True)
        if project.punches:
            yield seed, project


@pytest.mark.parametrize("batch", range(BATCHES))
def test_random_projects_with_panels_dies_and_punches_break_no_rule(batch: int) -> None:
    for seed, project in islice(with_everything(), batch, MANY, BATCHES):
        plan = make_plan(project, Limits(PLENTY, attempts=2, seed=seed))
        assert_good(project, plan)
        assert all(u.reason for u in plan.unplaced), f"seed {seed}: a piece is missing without a reason"
        assert_edge_to_edge(project, plan)


def assert_edge_to_edge(project: Project, plan: Plan) -> None:
    """Every cut goes straight through its part, from edge to edge, and leaves paper on both sides."""
    sheets = {s.id: s.outline for s in project.scraps}
    for entry in plan.cut_downs:
        for number, cut in enumerate(entry.cuts):
            before = cut_apart(sheets[entry.scrap].polygon, entry.cuts[:number])
            after = cut_apart(sheets[entry.scrap].polygon, entry.cuts[: number + 1])
            line, part = LineString(cut.line), before[cut.part]
            assert part.intersection(LineString(_longer(cut.line))).length <= line.length + 0.01
            assert part.difference(line.buffer(0.01)).area < part.area
            assert after[cut.part].area > 0.0
            assert after[-1].area > 0.0


def _longer(line: tuple[tuple[float, float], tuple[float, float]]) -> list[tuple[float, float]]:
    (ax, ay), (bx, by) = line
    return [(ax - 99 * (bx - ax), ay - 99 * (by - ay)), (bx + 99 * (bx - ax), by + 99 * (by - ay))]


def test_a_cut_that_ends_inside_the_paper_is_found_out() -> None:
    sheet = Outline.rectangle(100, 80)
    short = CutDown("a", (StraightCut(0, ((50.0, 0.0), (50.0, 40.0))),))
    with pytest.raises(AssertionError):
        assert_edge_to_edge(Project(scraps=(Scrap("a", "cream", sheet),)), Plan(cut_downs=(short,)))
