"""The planner as a whole: known cases in their known passes, random projects, repeats, and what the user holds."""

import os

import pytest

from layout.formats.project_file import read_project
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.planning import planner
from layout.planning.planner import STOPPED, Limits, make_plan, rank
from tests.support import shared
from tests.support.checked import assert_good
from tests.support.random_projects import random_project

PLENTY = 120.0  # seconds: what ends these searches is the number of attempts
QUICK = (
    "onepass-05-12-11",
    "onepass-05-12-12",
    "onepass-08-12-11",
    "frames-04-11",
    "images-04-11",
    "kits-06-6-11",
    "scraps-06-2-11",
)
# Ten thousand on a quiet evening: PLATEFUL_RANDOM_PROJECTS=10000 pytest tests/unit/layout/planning/test_planner.py
RANDOM = int(os.environ.get("PLATEFUL_RANDOM_PROJECTS", "60"))
BATCHES = 12


@pytest.fixture(autouse=True)
def _no_draft_is_thrown_away(monkeypatch):
    """A draft that breaks a rule fails the test, though the planner would only have dropped it."""
    monkeypatch.setattr(planner, "STRICT", True)


def case(name):
    return read_project(shared.need(shared.CASES / f"{name}.json"))


@pytest.mark.parametrize("name", QUICK)
def test_known_cases_are_complete_in_their_known_passes(name):
    project = case(name)
    reported = []
    plan = make_plan(project, Limits(PLENTY, attempts=40), reported.append)
    assert_good(project, plan)
    assert plan.status == "complete"
    assert plan.passes == project.known_passes
    assert plan.proven
    assert_ever_better(project, reported)


def assert_ever_better(project, reported):
    assert reported
    for plan in reported:
        assert_good(project, plan)
    ranks = [rank(project, p) for p in reported]
    assert ranks == sorted(set(ranks), reverse=True)


@pytest.mark.parametrize("batch", range(BATCHES))
def test_random_projects_give_valid_plans(batch):
    for seed in range(batch, RANDOM, BATCHES):
        project = random_project(seed, panels=seed % 3 == 0)
        plan = make_plan(project, Limits(PLENTY, attempts=2, seed=seed))
        assert_good(project, plan)
        assert all(u.reason for u in plan.unplaced), f"seed {seed}: a piece is missing without a reason"


WRONG_ONCE = {
    "a sheet with a very thin neck touches itself when turned": 1264,
    "two stacks of one piece make more than is due": 1279,
    "pieces of two parts of a sheet lie nearer than the web across their cut": 4005,
    "a punched piece lies nearer than the web to one beyond a cut": 7758,
}


@pytest.mark.parametrize("seed", WRONG_ONCE.values(), ids=WRONG_ONCE)
def test_what_went_wrong_once_goes_right(seed):
    project = random_project(seed, panels=seed % 3 == 0)
    assert_good(project, make_plan(project, Limits(PLENTY, attempts=2, seed=seed)))


@pytest.mark.parametrize("seed", [3, 14, 15])
def test_same_seed_and_attempts_give_the_same_plan(seed):
    project = random_project(seed)
    limits = [Limits(PLENTY, attempts=3, seed=7) for _ in range(2)]
    assert make_plan(project, limits[0]) == make_plan(project, limits[1])


def test_a_plan_can_be_shown_while_the_first_pass_still_grows():
    project = case("onepass-14-06-11")
    reported = []
    make_plan(project, Limits(PLENTY, attempts=0), reported.append)
    assert_ever_better(project, reported)
    assert len(reported) >= 2
    assert [len(lay.dies) for lay in reported[0].layouts] == [4]
    assert reported[0].status == "partial"


def test_a_stop_before_the_start_gives_an_honest_plan():
    project = random_project(3)
    limits = Limits(PLENTY)
    limits.stop[0] = STOPPED
    plan = make_plan(project, limits)
    assert_good(project, plan)
    assert plan.status == "partial"


def test_a_stop_in_the_middle_keeps_the_best():
    project = case("kits-06-6-11")
    limits = Limits(PLENTY)
    reported = []

    def stop_at_once(plan):
        reported.append(plan)
        limits.stop[0] = STOPPED

    plan = make_plan(project, limits, stop_at_once)
    assert plan.layouts == reported[-1].layouts
    assert_good(project, plan)


# ---- what the user holds -----------------------------------------------------------------------------------------


HELD = {"held": True}


def planned(name, attempts=6):
    project = case(name)
    return project, make_plan(project, Limits(PLENTY, attempts=attempts))


def holding_first(plan, change):
    return replace(plan, layouts=(change(plan.layouts[0]), *plan.layouts[1:]))


def replanned(project, hold):
    plan = make_plan(project, Limits(PLENTY, attempts=2, seed=5, hold=hold))
    assert_good(project, plan)
    return plan


def test_a_held_layout_stays_exactly():
    project, plan = planned("kits-06-6-11")
    again = replanned(project, holding_first(plan, lambda lay: replace(lay, extra=HELD)))
    kept = again.layouts[0]
    assert (kept.dies, kept.runs[: len(plan.layouts[0].runs)]) == (plan.layouts[0].dies, plan.layouts[0].runs)


def test_a_held_run_stays_exactly():
    project, plan = planned("kits-06-6-11")

    def hold_first_run(layout):
        return replace(layout, runs=(replace(layout.runs[0], extra=HELD), *layout.runs[1:]))

    again = replanned(project, holding_first(plan, hold_first_run))
    held = plan.layouts[0].runs[0]
    assert again.layouts[0].dies == plan.layouts[0].dies
    assert any((r.scraps, r.cuts) == (held.scraps, held.cuts) for r in again.layouts[0].runs)


def test_held_dies_stay_where_they_are_taped():
    project, plan = planned("onepass-05-12-11")
    first = plan.layouts[0]
    held = [replace(d, extra=HELD) for d in first.dies[:2]]
    again = replanned(project, holding_first(plan, lambda lay: replace(lay, dies=(*held, *lay.dies[2:]))))
    taped = {(d.die, d.pose) for lay in again.layouts for d in lay.dies}
    assert {(d.die, d.pose) for d in held} <= taped


def test_a_held_sheet_stays_where_it_lies():
    project, plan = planned("scraps-06-2-11")
    laid = replace(plan.layouts[0].runs[0].scraps[0], extra=HELD)

    def hold_first_sheet(layout):
        run = layout.runs[0]
        return replace(layout, runs=(replace(run, scraps=(laid, *run.scraps[1:])), *layout.runs[1:]))

    again = replanned(project, holding_first(plan, hold_first_sheet))
    there = [s for lay in again.layouts for run in lay.runs for s in run.scraps]
    assert any((s.scrap, s.copies, s.pose) == (laid.scrap, laid.copies, laid.pose) for s in there)


def test_nothing_held_is_as_good_as_no_plan():
    project = case("onepass-05-12-11")
    again = make_plan(project, Limits(PLENTY, attempts=40, hold=Plan()))
    assert_good(project, again)
    assert again.passes == project.known_passes
