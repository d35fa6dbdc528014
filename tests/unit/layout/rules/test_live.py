"""While things move, the live rules say what the plain check of the whole plan says: the clever against the plain."""

from random import Random

import pytest

from layout.formats.plan_file import read_plan
from layout.formats.project_file import read_project
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Cut
from layout.rules import check
from layout.rules.live import LiveRules
from tests.bench import live_rules
from tests.support import shared
from tests.support.random_plans import lucky_plan
from tests.support.random_projects import random_project


def plainly(project, plan, layout):
    """Return what the plain check finds about one layout, in a form that can be compared."""
    path = f"layouts[{layout}]"
    found = [f for f in check(project, plan) if any(t.startswith(path) for t in f.things)]
    return comparable(found)


def comparable(found):
    return sorted((f.rule, sorted(f.things), round(f.amount or 0.0, 6), f.needed or 0.0) for f in found)


def moved(plan, layout, live):
    return replace(plan, layouts=tuple(live.layout if i == layout else old for i, old in enumerate(plan.layouts)))


def move_about(project, plan, layout, dice, moves):
    """Move dies and sheets at random, let dies cut other sheets, and compare after each."""
    live = LiveRules(project, plan, layout)
    assert comparable(live.findings()) == plainly(project, plan, layout)
    seen = set()
    for _ in range(moves):
        now = live.layout
        die = dice.randrange(len(now.dies))
        run = dice.randrange(len(now.runs))
        scrap = dice.randrange(len(now.runs[run].scraps))
        how = dice.random()
        if how < 0.5:
            live.move_die(die, pushed(dice, now.dies[die].pose))
        elif how < 0.6 and now.runs[run].cuts:
            cut = dice.choice(now.runs[run].cuts)
            live.recut(run, cut.die, scrap, cut.wanted)
        elif how < 0.8:
            live.move_scrap(run, scrap, pushed(dice, now.runs[run].scraps[scrap].pose))
        else:
            some = dice.sample(range(len(now.dies)), min(len(now.dies), 3))
            live.move_dies({i: pushed(dice, now.dies[i].pose) for i in some})
        assert comparable(live.findings()) == plainly(project, moved(plan, layout, live), layout)
        seen |= {f.rule for f in live.findings()}
    return seen


def pushed(dice, pose):
    far = dice.choice((0.5, 3.0, 30.0))
    return Pose(
        pose.x + dice.uniform(-far, far),
        pose.y + dice.uniform(-far, far),
        pose.turn + dice.choice((0.0, 0.0, 1.0, 90.0)),
    )


@pytest.mark.parametrize("seed", range(12))
def test_lucky_plans(seed):
    project = random_project(seed)
    plan = lucky_plan(project, seed, tries=6)
    for layout in range(len(plan.layouts)):
        move_about(project, plan, layout, Random(seed), 6)


@pytest.mark.parametrize("name", ["frames-07-11", "images-07-11", "kits-06-6-11", "scraps-06-2-11", "kits-09-12-11"])
def test_known_plans(name):
    case = shared.need(shared.CASES / f"{name}.json")
    project, plan = read_project(case), read_plan(shared.known_plan(case))
    seen = move_about(project, plan, 0, Random(name), 25)
    assert {"bodies", "margins"} <= seen


def test_a_crowded_bed():
    """The benchmark's bed: 40 dies of 300 corners over 12 scraps."""
    project, plan = live_rules.crowded()
    assert check(project, plan) == []
    live = LiveRules(project, plan, 0)
    assert live.findings() == []
    drag = live_rules.drag_a_die(live, Random(3))
    rules = {f.rule for k in range(60) for f in drag(k)}
    assert rules == {"bodies", "margins", "webs"}
    assert live_rules.agrees(live, project)


def test_back_where_it_was_all_is_well():
    project, plan = live_rules.crowded()
    live = LiveRules(project, plan, 0)
    home = live.layout.dies[2].pose
    assert {f.rule for f in live.move_die(2, Pose(home.x + 6, home.y, home.turn))} == {"bodies"}
    assert live.about_die(3) != []
    assert live.move_die(2, home) == []
    assert live.findings() == []
    assert live.layout == plan.layouts[0]


def test_a_die_that_cuts_nothing_has_no_piece_to_be_wrong():
    project, plan = live_rules.crowded()
    live = LiveRules(project, plan, 0)
    assert {f.rule for f in live.move_die(2, Pose(118, 15))} >= {"margins"}
    live.recut(0, 2, None)
    assert {f.rule for f in live.about_die(2)} == {"bodies"}
    live.recut(0, 2, 2, "w2")
    cuts = [cut for cut in plan.layouts[0].runs[0].cuts if cut.die != 2]
    run = replace(plan.layouts[0].runs[0], cuts=(*cuts, Cut(2, 2, "w2")))
    now = replace(live.layout, runs=(run,))
    assert comparable(live.findings()) == plainly(project, replace(plan, layouts=(now,)), 0)
