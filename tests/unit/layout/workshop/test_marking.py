"""Marking passes done and back: nothing of the paper and none of the pieces is lost, whatever the order."""

from __future__ import annotations

import os
import random
from collections import Counter
from functools import lru_cache
from pathlib import Path

import pytest
from shapely.geometry import Point

from layout.formats.done_part import read_run
from layout.formats.fields import Fields
from layout.formats.plan_file import read_plan
from layout.formats.project_file import parse_project, project_bytes, read_project, read_scrap
from layout.formats.values import FieldError
from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.errors import WorkshopError
from layout.model.plan import Cut, CutDown, LaidScrap, Layout, PlacedDie, Plan, Run, StraightCut
from layout.model.project import Image, Project, Scrap, Wanted
from layout.rules import check
from layout.workshop.marking import After, mark_hand_done, mark_run_done, mark_undone, redo
from layout.workshop.using_up import remains_of
from tests.support.random_plans import lucky_plan
from tests.support.random_projects import random_project
from tests.support.simple_plans import simple_plan, simple_project

DEMO = Path(__file__).resolve().parents[4] / "resources" / "demo"
HISTORIES = int(os.environ.get("PLATEFUL_HISTORIES", "20"))
STEPS = 12


def without_noughts(project: Project) -> Project:
    """In a file none in the tin and none said are the same once some were made."""
    return replace(project, spares={name: count for name, count in project.spares.items() if count})


def sheet_area(scraps: tuple[Scrap, ...]) -> float:
    return sum(s.outline.area * s.count for s in scraps)


def assert_conserved(start: Project, now: Project) -> None:
    """The paper of all sheets is what remains, was cut and was trimmed; the pieces are those used and those spare."""
    gone = sum(run.cut_area + run.trimmed for run in now.done.runs)
    assert sheet_area(now.scraps) + gone == pytest.approx(sheet_area(start.scraps), abs=0.01)
    for run in now.done.runs:
        before = sum(t.scrap.outline.area * len(t.copies) for t in run.taken)
        after = sum(k.scrap.outline.area * k.scrap.count for k in run.left)
        assert after + run.cut_area + run.trimmed == pytest.approx(before, abs=0.01)
        pieces: Counter[str] = Counter()
        if run.layout is not None:
            for cut in run.layout.runs[0].cuts:
                pieces[cut.wanted] += len(run.layout.runs[0].scraps[cut.scrap].copies)
        else:
            pieces[(run.punched or run.panel).wanted] += 1
        shared = Counter(run.made)
        for spare in run.spares:
            shared[spare.wanted] += spare.count
        assert shared == pieces


@lru_cache(maxsize=1)
def night_garden() -> tuple[Project, Plan]:
    return read_project(DEMO / "night-garden.json"), read_plan(DEMO / "night-garden.plan.json")


def a_start(dice: random.Random) -> tuple[Project, Plan]:
    if dice.random() < 0.3:
        return night_garden()
    project = random_project(dice.randrange(40))
    return project, lucky_plan(project, 1, tries=4)


def a_mark(project: Project, plan: Plan, dice: random.Random, number: int) -> After | None:
    worth = dice.choice((5.0, 25.0, 60.0))
    if plan.punched and dice.random() < 0.3:
        return mark_hand_done(
            project, plan, "punched", dice.randrange(len(plan.punched)), worth, record_id=f"r{number}"
        )
    if not plan.layouts:
        return None
    layout = dice.choice(plan.layouts)
    return mark_run_done(
        project, plan, layout.id, dice.randrange(len(layout.runs)), worth, record_id=f"r{number}", when="2001-02-03"
    )


def edited(project: Project, dice: random.Random) -> Project:
    """Change what a person changes between two passes: kits, the tin, a new scrap."""
    kind = dice.randrange(3)
    if kind == 0:
        return replace(project, kits=dice.randint(1, 5))
    if kind == 1 and project.wanted:
        return replace(project, spares={**project.spares, dice.choice(project.wanted).id: dice.randint(0, 3)})
    return project


@pytest.mark.parametrize("seed", range(HISTORIES))
def test_nothing_is_lost_in_any_history_of_marking_unmarking_editing_and_undoing(seed: int) -> None:
    dice = random.Random(seed)
    start, plan = a_start(dice)
    project, steps, refused = start, [(start, plan)], list[str]()
    for number in range(STEPS):
        does = dice.random()
        try:
            if does < 0.5:
                after = a_mark(project, plan, dice, number)
            elif does < 0.75 and project.done.runs:
                after = mark_undone(project, plan, dice.choice(project.done.runs).id)
            else:
                after = None
        except WorkshopError as error:
            refused.append(str(error))
            continue
        if after is not None:
            project, plan = after.project, after.plan
            steps.append((project, plan))
        elif does < 0.9:
            project = edited(project, dice)
            steps.append((project, plan))
        elif len(steps) > 1:
            steps.pop()
            project, plan = steps[-1]
        assert_conserved(start, project)
        back = parse_project(project_bytes(project), "there and back")
        assert without_noughts(back) == without_noughts(project)
    assert all("\n" not in words and ("first" in words or "again" in words) for words in refused)


def test_every_pass_of_the_demo_can_be_marked_and_the_rest_stays_right() -> None:
    project, plan = night_garden()
    start, passes, bound = project, plan.passes, plan.lower_bound
    for number in range(passes):
        after = mark_run_done(project, plan, plan.layouts[0].id, 0)
        project, plan = after.project, after.plan
        assert check(project, plan) == []
        assert (plan.passes, plan.lower_bound) == (passes - number - 1, bound - number - 1)
    for index in reversed(range(len(plan.punched))):
        after = mark_hand_done(project, plan, "punched", index)
        project, plan = after.project, after.plan
    for index in reversed(range(len(plan.panels))):
        after = mark_hand_done(project, plan, "panels", index)
        project, plan = after.project, after.plan
    assert all(project.due(w) == 0 for w in project.wanted)
    assert check(project, plan) == []
    assert_conserved(start, project)


def test_taking_everything_back_in_turn_gives_the_demo_back_exactly() -> None:
    start, first = night_garden()
    project, plan = start, first
    while plan.layouts:
        after = mark_run_done(project, plan, plan.layouts[-1].id, len(plan.layouts[-1].runs) - 1)
        project, plan = after.project, after.plan
    for record in reversed(project.done.runs):
        after = mark_undone(project, plan, record.id)
        project, plan = after.project, after.plan
    assert {s.id: s for s in project.scraps} == {s.id: s for s in start.scraps}
    assert replace(project, scraps=()) == replace(start, scraps=())
    assert check(project, plan) == []
    assert (plan.passes, plan.lower_bound) == (first.passes, first.lower_bound)


def test_a_mark_carried_out_again_from_its_record_gives_the_same() -> None:
    project, plan = simple_project(), simple_plan()
    after = mark_run_done(project, plan, "A", 0)
    again = redo(project, plan, after.record)
    assert (again.project, again.plan) == (after.project, after.plan)


def test_only_the_sheets_used_change() -> None:
    # By hand: 100 mm square less a 20 mm and a 30 mm square.
    after = mark_run_done(simple_project(), simple_plan(), "A", 0)
    assert [(s.id, s.count) for s in after.project.scraps] == [("s", 2), ("s left", 1), ("t", 1)]
    assert after.record.cut_area == pytest.approx(20 * 20 + 30 * 30)
    assert after.record.trimmed == 0.0
    assert after.project.scraps[1].outline.area == pytest.approx(100 * 100 - 400 - 900)
    assert after.record.made == {"w-leaf": 1, "w-star": 1}
    # The punched dot still to be made was on sheet 0: it is on what is left of that sheet now.
    assert [(p.scrap, p.copy) for p in after.plan.punched] == [("s left", 0)]


def frame_plan() -> Plan:
    run = Run((LaidScrap("s", Pose(20, 50)),), (Cut(0, 0, "w"),))
    return Plan(layouts=(Layout("A", (PlacedDie("frame", Pose(70, 100)),), (run,)),))


def test_a_window_that_falls_out_is_a_scrap_where_it_is_worth_keeping() -> None:
    project = simple_project(wanted=(Wanted("w", "frame"),))
    # The frame's cut is 66 mm square with a window of 54 mm; the sheet 100 mm square.
    kept = mark_run_done(project, frame_plan(), "A", 0, 50.0)
    areas = sorted(k.scrap.outline.area for k in kept.record.left)
    assert areas == pytest.approx([54 * 54])
    assert kept.record.trimmed == pytest.approx(100 * 100 - 66 * 66)
    all_kept = mark_run_done(project, frame_plan(), "A", 0, 10.0)
    assert sorted(k.scrap.outline.area for k in all_kept.record.left) == pytest.approx([54 * 54, 100 * 100 - 66 * 66])


def test_stains_images_and_the_print_stay_on_what_remains() -> None:
    in_window, on_frame = Outline.rectangle(4, 4, x=48, y=48), Outline.rectangle(4, 4, x=1, y=1)
    images = (Image("moth", Pose(50, 50), Outline.rectangle(9, 9, x=46, y=40)), Image("owl", Pose(3, 9)))
    scrap = Scrap("s", "moss", Outline.rectangle(100, 100), 1, 30.0, (in_window, on_frame), images)
    project = simple_project(scraps=(scrap,), wanted=(Wanted("w", "frame"),))
    border, window = (k.scrap for k in mark_run_done(project, frame_plan(), "A", 0, 10.0).record.left)
    assert (window.up, border.up) == (30.0, 30.0)
    assert (window.spoiled, border.spoiled) == ((in_window,), (on_frame,))
    assert ([i.image for i in window.images], [i.image for i in border.images]) == (["moth"], ["owl"])


def test_surplus_goes_to_the_tin() -> None:
    project = simple_project(spares={"w-leaf": 1})
    record = mark_run_done(project, simple_plan(), "A", 0).record
    assert record.made == {"w-star": 1}
    assert [(s.wanted, s.name, s.paper, s.count) for s in record.spares] == [("w-leaf", "fern leaf", "moss", 1)]


def test_what_is_cut_from_what_another_pass_left_is_taken_back_first() -> None:
    plan = simple_plan()
    second = Run((LaidScrap("s", Pose(0, 0)),), (Cut(0, 0, "w-leaf"),))
    more = Layout("B", (PlacedDie("leaf", Pose(30, 15)),), (second,))
    plan = replace(plan, layouts=(*plan.layouts, more), punched=())
    project = simple_project(kits=2)
    first = mark_run_done(project, plan, "A", 0)
    both = mark_run_done(first.project, first.plan, "B", 0)
    with pytest.raises(WorkshopError, match="pass B 1 was cut from what pass A 1 left; take pass B 1 back first"):
        mark_undone(both.project, both.plan, first.record.id)


def test_a_cut_down_sheet_becomes_its_parts() -> None:
    cuts = (StraightCut(0, ((50.0, 0.0), (50.0, 100.0))),)
    run = Run((LaidScrap("s", Pose(0, 0), part=0),), (Cut(0, 0, "w-leaf"),))
    plan = Plan(layouts=(Layout("A", (PlacedDie("leaf", Pose(25, 50)),), (run,)),), cut_downs=(CutDown("s", cuts),))
    project = simple_project(wanted=(Wanted("w-leaf", "leaf"),))
    after = mark_run_done(project, plan, "A", 0)
    assert sorted(k.scrap.outline.area for k in after.record.left) == pytest.approx([4600.0, 5000.0])
    assert after.plan.cut_downs == ()
    back = mark_undone(after.project, after.plan, after.record.id)
    assert (back.project, back.plan) == (project, plan)


def test_the_file_keeps_the_contract_whole() -> None:
    """A reader that knows only the contract takes what is made off what is due, by `spares`."""
    import json

    after = mark_run_done(simple_project(spares={"w-dot": 1}), simple_plan(), "A", 0).project
    tree = json.loads(project_bytes(after))
    assert tree["spares"] == {"w-dot": 1, "w-leaf": 1, "w-star": 1}
    assert parse_project(project_bytes(after), "again").spares == {"w-dot": 1}


def test_the_web_and_not_the_edge_counts_beside_what_the_same_plan_cut() -> None:
    dies = (replace(simple_project().dies[0], id="a"), replace(simple_project().dies[0], id="b"))
    runs = [Run((LaidScrap("s", Pose(0, 0)),), (Cut(0, 0, f"w-{k}"),)) for k in "ab"]
    places = {"a": Pose(30, 50), "b": Pose(30 + 20 + 1.5, 50)}  # the pieces are 20 mm wide, the web 1.5
    plan = Plan(layouts=tuple(Layout(k, (PlacedDie(k, places[k]),), (runs[i],)) for i, k in enumerate("ab")))
    project = simple_project(dies=dies, punches=(), wanted=(Wanted("w-a", "a"), Wanted("w-b", "b")))
    assert check(project, plan) == []
    after = mark_run_done(project, plan, "a", 0)
    assert check(after.project, after.plan) == []
    blind = replace(after.project, scraps=tuple(replace(s, uncut=None) for s in after.project.scraps))
    assert [f.rule for f in check(blind, after.plan)] == ["margins"]


def test_the_planner_plans_only_the_rest() -> None:
    after = mark_run_done(simple_project(), simple_plan(), "A", 0).project
    assert [after.due(w) for w in after.wanted] == [0, 0, 1]


def test_areas_of_a_pass_that_cuts_nothing_are_never_below_nothing() -> None:
    """A difference of areas rounds: a record with an area below nothing could not be read again."""
    dice = random.Random(1)
    below = 0
    for _ in range(200):
        x, y = dice.uniform(-200, 200), dice.uniform(-200, 200)
        sheet = Point(x, y).buffer(dice.uniform(20, 60)).difference(Point(x + 9, y).buffer(dice.uniform(5, 11)))
        beside = from_polygon(Point(x + 9, y).buffer(4.9))
        scrap = Scrap("s", "cream", from_polygon(sheet))
        below += sheet.area < sheet.difference(beside.polygon).area
        left = remains_of(scrap, sheet, [beside], 5.0)
        assert left.cut >= 0
        assert left.trimmed >= 0
    assert below > 0  # it does happen


def test_a_record_whose_area_was_rounded_below_nothing_is_read() -> None:
    told = {"id": "r", "taken": [], "cut_area": -4.54747e-13, "trimmed": -1e-12}
    record = read_run(Fields(told), read_scrap)
    assert (record.cut_area, record.trimmed) == (0.0, 0.0)
    with pytest.raises(FieldError, match="cut_area"):
        read_run(Fields({**told, "cut_area": -0.5}), read_scrap)
