"""Hand punches: within reach, beside what is cut already, off stains and images."""

from __future__ import annotations

import math

import pytest
from shapely.geometry import Polygon, box

from layout.formats.project_file import read_project
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.plan import Plan, Punched, Unplaced
from layout.model.project import Clearances, Image, Paper, Project, Punch, Scrap, Wanted
from layout.planning.punching import punch_pieces
from tests.support.checked import assert_good
from tests.support.random_projects import random_project
from tests.support.shared import CASES, need

DOT = Outline.of([(5 * math.cos(k * math.pi / 32), 5 * math.sin(k * math.pi / 32)) for k in range(64)])


def dots(reach: float, count: int, *scraps: Scrap, mouth: float = math.inf) -> Project:
    return Project(
        clearances=Clearances(paper_edge=2.0, web=1.5),
        punches=(Punch("dot", "dot", DOT, reach, mouth),),
        papers=(Paper("moss", "moss"),),
        scraps=scraps,
        wanted=(Wanted("dots", "dot", count, "moss"),),
    )


def sheet(name: str, width: float, length: float) -> Scrap:
    return Scrap(name, "moss", Outline.rectangle(width, length))


def checked(project: Project, made: list[Punched], left: dict[str, int]) -> None:
    """Put the pieces into a plan that names everything else as unplaced, and hold it against the rules."""
    tools = {p.id for p in project.punches}
    rest = {w.id: left.get(w.id, 0) if w.shape in tools else project.due(w) for w in project.wanted}
    told = tuple(Unplaced(w, n, "not asked for here") for w, n in rest.items() if n)
    assert_good(project, Plan(punched=tuple(made), unplaced=told))


def needs(project: Project) -> dict[str, int]:
    tools = {p.id for p in project.punches}
    return {w.id: project.due(w) for w in project.wanted if w.shape in tools}


def test_a_row_along_the_edge_as_many_as_go_in() -> None:
    # nine dots of 10 mm with webs of 1.5 take 9 x 10 + 8 x 1.5 = 102 mm of the 104 mm inside the edges
    asked = dots(8, 20, sheet("slip", 108, 14))
    made, left = punch_pieces(asked, {"dots": 20}, {})
    assert (len(made), left) == (9, {"dots": 11})
    checked(asked, made, left)


def test_reach_keeps_the_dots_near_an_edge() -> None:
    asked = dots(9, 40, sheet("wide", 100, 100))
    made, left = punch_pieces(asked, {"dots": 40}, {})
    inner = box(9.02, 9.02, 90.98, 90.98)
    assert not any(inner.contains(Polygon(p.pose.outline(DOT).outer).centroid) for p in made)
    assert len(made) >= 28  # four rows of eight less the corners shared
    checked(asked, made, left)


def test_too_short_a_reach_makes_nothing() -> None:
    assert punch_pieces(dots(6.9, 1, sheet("wide", 100, 100)), {"dots": 1}, {}) == ([], {"dots": 1})


def test_a_narrow_mouth_reaches_into_a_notch() -> None:
    notched = Outline.of([(0, 0), (60, 0), (60, 60), (45, 60), (45, 30), (15, 30), (15, 60), (0, 60)])
    bound = Wanted("dots", "dot", 1, "moss", turn=(0.0,))
    asked = replace(dots(9, 1, Scrap("u", "moss", notched), mouth=12), wanted=(bound,))
    made, left = punch_pieces(asked, {"dots": 1}, {})
    assert len(made) == 1
    checked(asked, made, left)
    towers = replace(asked, punches=(Punch("dot", "dot", DOT, 9, 40),), scraps=(Scrap("u", "moss", notched),))
    fewer = punch_pieces(towers, {"dots": 9}, {})[0]
    assert all(p.pose.y > 40 for p in fewer)  # a wide throat strikes the arms before it gets into the notch


def test_the_touched_and_the_small_sheets_come_first() -> None:
    asked = dots(20, 1, sheet("whole", 200, 200), sheet("bit", 20, 20))
    assert punch_pieces(asked, {"dots": 1}, {})[0][0].scrap == "bit"
    lying = {("whole", 0): [("w", box(0, 0, 50, 50))]}
    assert punch_pieces(asked, {"dots": 1}, lying)[0][0].scrap == "whole"


def test_pieces_that_lie_there_already_keep_their_web() -> None:
    asked = dots(40, 9, sheet("a", 34, 34))
    taken = box(2, 2, 20, 32)
    made, _ = punch_pieces(asked, {"dots": 9}, {("a", 0): [("w", taken)]})
    assert len(made) == 2
    assert all(p.pose.outline(DOT).polygon.distance(taken) >= 1.5 for p in made)


def test_a_piece_round_an_image() -> None:
    stamped = replace(sheet("a", 60, 60), images=(Image("moth", Pose(20, 50, 15), Pose(20, 50).outline(DOT)),))
    asked = dots(16, 2, stamped)
    asked = replace(asked, wanted=(Wanted("moths", "dot", 2, "moss", image="moth"), Wanted("dots", "dot", 4, "moss")))
    made, left = punch_pieces(asked, {"moths": 2, "dots": 4}, {})
    assert [p.pose for p in made if p.wanted == "moths"] == [Pose(20, 50, 15)]
    assert left == {"moths": 1}
    checked(asked, made, left)


@pytest.mark.parametrize("name", ["punches-11", "punches-12"])
def test_the_cases_with_punches_are_done(name: str) -> None:
    asked = read_project(need(CASES / f"{name}.json"))
    made, left = punch_pieces(asked, needs(asked), {})
    assert left == {}
    checked(asked, made, left)


def test_300_random_projects_break_no_rule() -> None:
    punched = 0
    for seed in range(300):
        asked = random_project(seed)
        made, left = punch_pieces(asked, needs(asked), {})
        checked(asked, made, left)
        punched += len(made)
    assert punched > 300


def test_parts_are_punched_and_sheets_that_are_gone_are_not() -> None:
    asked = dots(20, 9, replace(sheet("a", 60, 60), count=3))
    made, left = punch_pieces(asked, {"dots": 9}, {("a", 1): []}, {("a", 0): [(2, box(0, 0, 16, 16))]})
    assert {(p.copy, p.part) for p in made} == {(0, 2), (1, None)}
    assert punch_pieces(asked, {"dots": 9}, {}, {}) == ([], {"dots": 9})
    assert left == {}


def test_the_same_question_gives_the_same_answer() -> None:
    asked = random_project(8)
    assert punch_pieces(asked, needs(asked), {}) == punch_pieces(asked, needs(asked), {})
