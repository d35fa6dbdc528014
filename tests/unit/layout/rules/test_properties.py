"""What must hold for every plan, whatever is in it."""

from random import Random

import pytest

from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Plan
from layout.model.project import Clearances
from layout.rules import RULES, check, layout_findings
from layout.rules.live import LiveRules
from tests.support.odd_plans import odd_project_and_plan
from tests.support.random_plans import lucky_plan
from tests.support.random_projects import random_project


def told(found):
    return sorted((f.rule, sorted(f.things), round(f.amount or 0.0, 4)) for f in found)


@pytest.fixture(scope="module", params=range(100, 112))
def pushed_about(request):
    """A lucky plan whose dies were all pushed a little, so that some rules are broken."""
    dice, project = Random(request.param), random_project(request.param)
    plan = lucky_plan(project, request.param, tries=6)

    def push(pose):
        return Pose(pose.x + dice.uniform(-8, 8), pose.y + dice.uniform(-8, 8), pose.turn)

    def pushed(layout):
        return replace(layout, dies=tuple(replace(d, pose=push(d.pose)) for d in layout.dies))

    return project, replace(plan, layouts=tuple(map(pushed, plan.layouts)))


@pytest.mark.parametrize("seed", range(60))
def test_odd_shapes_crash_nothing(seed):
    project, plan = odd_project_and_plan(seed)
    found = check(project, plan)
    assert {f.rule for f in found} <= set(RULES)
    assert all(f.what.isprintable() and f.where for f in found)
    live = LiveRules(project, plan, seed % 2)
    live.move_die(seed % 4, Pose(seed, 3, 0))
    live.move_scrap(0, seed % 3, Pose(0, seed, 17))
    assert live.findings()


def test_whole_turns_change_nothing(pushed_about):
    project, plan = pushed_about

    def turned(layout):
        return replace(layout, dies=tuple(replace(d, pose=whole_turns(d.pose)) for d in layout.dies))

    assert told(check(project, replace(plan, layouts=tuple(map(turned, plan.layouts))))) == told(check(project, plan))


def whole_turns(pose):
    return replace(pose, turn=pose.turn - 720.0)


def test_wider_gaps_are_never_easier(pushed_about):
    project, plan = pushed_about
    gaps = project.clearances
    wide = Clearances(gaps.body_gap + 1, gaps.paper_edge + 1, gaps.web + 1, gaps.image_tolerance)
    broken = {(f.rule, *sorted(f.things)) for f in check(project, plan)}
    assert broken <= {(f.rule, *sorted(f.things)) for f in check(replace(project, clearances=wide), plan)}


def test_the_order_of_dies_does_not_matter(pushed_about):
    project, plan = pushed_about
    amounts = sorted((f.rule, round(f.amount or 0.0, 6)) for f in check(project, plan))
    turned_round = replace(plan, layouts=tuple(map(backwards, plan.layouts)))
    assert sorted((f.rule, round(f.amount or 0.0, 6)) for f in check(project, turned_round)) == amounts


def backwards(layout):
    last = len(layout.dies) - 1
    runs = tuple(
        replace(run, cuts=tuple(replace(c, die=last - c.die) for c in reversed(run.cuts))) for run in layout.runs
    )
    return replace(layout, dies=layout.dies[::-1], runs=runs)


def test_one_layout_alone_has_no_more_findings_than_the_plan(pushed_about):
    project, plan = pushed_about
    for k, layout in enumerate(plan.layouts):
        alone = layout_findings(project, layout, plan.cut_downs)
        moved = [[t.replace("layouts[0]", f"layouts[{k}]") for t in f.things] for f in alone]
        here = [list(f.things) for f in check(project, plan)]
        assert all(things in here for things in moved)


def test_the_same_plan_gives_the_same_findings(pushed_about):
    assert check(*pushed_about) == check(*pushed_about)


def test_an_empty_plan_only_lacks_its_pieces():
    project = random_project(5)
    found = check(project, Plan())
    assert {f.rule for f in found} == {"sums"}
    assert sum(f.needed for f in found) == sum(project.due(w) for w in project.wanted)
