"""Reasons for what is not made: the nearest thing that would help, with numbers."""

from __future__ import annotations

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.project import Die, Image, Machine, Panel, Paper, Project, Punch, Scrap, Wanted
from layout.planning.reasons import reason

MOTH = Die("moth", "moth", Outline.rectangle(64, 41), Outline.rectangle(60, 37))
WANTED = Wanted("moths", "moth", 8, "cream")
PROJECT = Project(
    machine=Machine("", 152, 214),
    dies=(MOTH,),
    papers=(Paper("cream", "cream"), Paper("moss", "moss")),
    scraps=(Scrap("a", "cream", Outline.rectangle(200, 60)),),
    wanted=(WANTED,),
)


def test_no_such_paper() -> None:
    assert reason(PROJECT, replace(WANTED, paper="moss"), 8) == "no moss paper is among the scraps"


def test_no_scrap_is_large_enough() -> None:
    small = replace(
        PROJECT, scraps=(Scrap("a", "cream", Outline.rectangle(58, 40)), Scrap("b", "cream", Outline.rectangle(9, 9)))
    )
    assert reason(small, WANTED, 8) == "no cream scrap is large enough: it needs 64 × 41 mm, the nearest is 58 × 40 mm"
    narrow = replace(PROJECT, scraps=(Scrap("a", "cream", Outline.rectangle(90, 40)),))
    assert reason(narrow, WANTED, 8) == "no cream scrap is wide enough: it needs 64 × 41 mm, the nearest is 90 × 40 mm"


def test_a_bound_turn_is_measured_along_the_print() -> None:
    upright = replace(WANTED, turn="upright")
    narrow = replace(PROJECT, scraps=(Scrap("a", "cream", Outline.rectangle(58, 90)),))
    assert reason(narrow, WANTED, 8).startswith("only") is False
    assert reason(narrow, upright, 8) == "no cream scrap is wide enough: it needs 64 × 41 mm, the nearest is 58 × 90 mm"
    lying = replace(PROJECT, scraps=(Scrap("a", "cream", Outline.rectangle(58, 90), up=0.0),))
    assert "found a place" in reason(lying, upright, 8)


def test_the_die_is_too_long_for_the_bed() -> None:
    frame = replace(PROJECT, dies=(replace(MOTH, name="frame die", body=Outline.rectangle(231, 150)),))
    assert reason(frame, WANTED, 8) == "the frame die is 231 mm long, the bed offers 214 mm"


def test_images() -> None:
    round_image = replace(WANTED, image="stamped moth")
    assert reason(PROJECT, round_image, 8) == "no cream scrap carries the image stamped moth"
    stamped = replace(PROJECT.scraps[0], count=2, images=(Image("stamped moth", Pose(50, 50)),))
    few = reason(replace(PROJECT, scraps=(stamped,)), round_image, 6)
    assert few == "the cream scraps carry the image stamped moth twice, 8 are due"


def test_the_punch_does_not_reach() -> None:
    punch = Punch("oval", "oval punch", Outline.rectangle(24, 16, x=-12, y=-8), reach=9)
    asked = replace(PROJECT, punches=(punch,))
    assert reason(asked, Wanted("ovals", "oval"), 1) == (
        "the oval punch reaches 9 mm, it takes 10 mm to stay 2 mm inside the paper's edge"
    )


def test_too_few_scraps() -> None:
    assert reason(PROJECT, WANTED, 5) == (
        "only three of eight found a place on the cream scraps beside the other pieces; "
        "five more pieces of 64 × 41 mm would do"
    )
    assert reason(PROJECT, replace(WANTED, count=1), 1) == (
        "it found no place on the cream scraps beside the other pieces; one more piece of 64 × 41 mm would do"
    )


def test_stains_in_the_way() -> None:
    stained = replace(
        PROJECT.scraps[0], outline=Outline.rectangle(70, 50), spoiled=(Outline.rectangle(9, 9, x=30, y=20),)
    )
    assert reason(replace(PROJECT, scraps=(stained,)), WANTED, 8).endswith("70 × 50 mm but has stains in the way")


def test_a_panel_needs_no_edge() -> None:
    asked = replace(PROJECT, panels=(Panel("side", "side", Outline.rectangle(201, 30)),))
    assert "it needs 201 × 30 mm" in reason(asked, Wanted("sides", "side", 1, "cream"), 1)
