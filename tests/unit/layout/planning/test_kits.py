"""Kits in figures: every number below is counted by hand from the few passes it speaks of."""

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.done import DoneRun
from layout.model.plan import Cut, LaidScrap, Layout, PlacedDie, Plan, Punched, Run
from layout.model.project import Die, Done, Paper, Project, Punch, Scrap, Wanted
from layout.planning.kits import Gap, gaps, lines, pack_list, seconds_left, to_fetch, whole_kits

SQUARE = Outline.rectangle(40.0, 40.0)
STAR, LEAF = PlacedDie("star", Pose(5, 5)), PlacedDie("leaf", Pose(60, 5))
PROJECT = Project(
    dies=(Die("star", "star", SQUARE, SQUARE), Die("leaf", "leaf", SQUARE, SQUARE)),
    punches=(Punch("dot", "dot", Outline.rectangle(5.0, 5.0), 30.0),),
    papers=(Paper("cream", "cream", layers=2),),
    scraps=(Scrap("big", "cream", Outline.rectangle(100.0, 100.0), 5),),
    wanted=(Wanted("stars", "star", 2), Wanted("leaves", "leaf", 1), Wanted("dots", "dot", 3)),
    kits=4,
    spares={"stars": 1},
)


def one_pass(*copies: int) -> Run:
    return Run((LaidScrap("big", Pose(0, 0), copies),), (Cut(0, 0, "stars"), Cut(1, 0, "leaves")))


PLAN = Plan(
    (Layout("A", (STAR, LEAF), (one_pass(0, 1), one_pass(2))), Layout("B", (STAR,), (one_pass(3),))),
    punched=(Punched("dots", "dot", "big", Pose(0, 0), 3),),
)


def done(when: str, *dies: PlacedDie, **made: int) -> DoneRun:
    return DoneRun(when, when, (), made=made, layout=Layout("A", dies, (Run((), ()),)))


def test_every_piece_is_ready_or_left_and_what_is_left_is_planned_or_missing() -> None:
    project = replace(PROJECT, done=Done("p", (done("2026-01-01T10:00:00", STAR, stars=3, leaves=1),)))
    plan = replace(PLAN, layouts=PLAN.layouts[:1])
    stars, leaves, dots = lines(project, plan)
    assert (stars.asked, stars.ready, stars.left, stars.planned, stars.missing) == (8, 4, 4, 3, 1)
    assert (leaves.asked, leaves.ready, leaves.left, leaves.planned, leaves.missing) == (4, 1, 3, 3, 0)
    assert (dots.asked, dots.ready, dots.left, dots.missing) == (12, 0, 12, 11)


def test_a_kit_is_whole_when_each_of_its_pieces_is_there() -> None:
    assert whole_kits(PROJECT) == 0
    made = done("2026-01-01T10:00:00", STAR, stars=4, leaves=3, dots=8)
    assert whole_kits(replace(PROJECT, done=Done("p", (made,)))) == 2  # 5 stars: 2, 3 leaves: 3, 8 dots: 2
    assert whole_kits(Project()) == 0


def test_the_pack_list_names_what_goes_into_one_kit() -> None:
    assert [(w.id, n) for w, n in pack_list(PROJECT)] == [("stars", 2), ("leaves", 1), ("dots", 3)]


def test_each_sheet_is_fetched_once_and_a_die_as_often_as_one_layout_needs_it() -> None:
    fetch = to_fetch(PLAN)
    assert fetch.sheets == (("big", 4),)  # sheets 0, 1, 2, 3; the third is punched as well
    assert fetch.dies == (("leaf", 1), ("star", 1))
    assert fetch.punches == ("dot",)
    assert to_fetch(Plan()).sheets == ()


def test_the_pace_leaves_out_breaks_and_passes_ticked_off_at_once() -> None:
    runs = (
        done("2026-01-01T10:00:00", STAR),
        done("2026-01-01T10:01:00", STAR),  # again: 60 s
        done("2026-01-01T10:01:01", STAR),  # ticked off at once
        done("2026-01-01T10:06:01", LEAF),  # taped anew: 300 s
        done("2026-01-01T15:00:00", LEAF),  # after lunch
        done("written by somebody else", LEAF),
    )
    assert gaps(runs) == (Gap(60.0, False), Gap(300.0, True))


def test_the_time_left_counts_taping_down_apart() -> None:
    pace = (Gap(60.0, False), Gap(80.0, False), Gap(70.0, False), Gap(300.0, True))
    assert seconds_left(PROJECT, PLAN, pace) == 300 + 70 + 300  # A taped, A again, B taped
    taped = replace(PROJECT, done=Done("p", (done("2026-01-01T10:00:00", STAR, LEAF),)))
    assert seconds_left(taped, PLAN, pace) == 70 + 70 + 300  # A lies on the plate already
    assert seconds_left(PROJECT, PLAN, ()) is None
