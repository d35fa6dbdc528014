"""Bounds on passes: the highest that hold, never above what can be done."""

from __future__ import annotations

import math

import pytest

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.geometry.value import replace
from layout.model.project import Clearances, Die, Image, Machine, Paper, Project, Punch, Scrap, Wanted
from layout.planning.bounds import bed_area, lower_bound
from tests.support.small_beds import fewest_passes, small_project

SQUARE = Outline.rectangle(40, 40)
CUT = Outline.rectangle(36, 36, x=2, y=2)
SHEET = Scrap("sheet", "cream", Outline.rectangle(300, 300), count=40)


def project(
    *dies: Die, counts: tuple[int, ...] = (), layers: int = 1, bed: tuple[float, float] = (152, 220)
) -> Project:
    wanted = tuple(Wanted(f"w-{d.id}", d.id, n, "cream") for d, n in zip(dies, counts or (1,) * len(dies), strict=True))
    return Project(
        machine=Machine("", *bed),
        dies=dies,
        papers=(Paper("cream", "cream", layers=layers),),
        scraps=(SHEET,),
        wanted=wanted,
    )


def die(name: str, width: float, length: float, copies: int = 1) -> Die:
    body = Outline.rectangle(width, length)
    return Die(name, name, body, Outline.rectangle(width - 4, length - 4, x=2, y=2), copies)


def test_one_moth_die_and_eight_moths_need_eight_passes() -> None:
    bound = lower_bound(project(die("moth", 40, 40), counts=(8,)))
    assert bound.passes == 8
    assert bound.because == "you own one moth die and need eight moth pieces"


def test_layers_and_copies_divide_the_passes() -> None:
    assert lower_bound(project(die("moth", 40, 40), counts=(8,), layers=2)).passes == 4
    assert lower_bound(project(die("moth", 40, 40, copies=2), counts=(9,), layers=2)).passes == 3


def test_a_stack_is_no_higher_than_the_scrap_has_sheets() -> None:
    asked = project(die("moth", 40, 40), counts=(8,), layers=4)
    alone = tuple(Scrap(f"s{k}", "cream", Outline.rectangle(50, 50)) for k in range(8))
    assert lower_bound(replace(asked, scraps=alone)).passes == 8
    two = (Scrap("a", "cream", Outline.rectangle(50, 50), count=4), *alone[:4])
    assert lower_bound(replace(asked, scraps=two)).passes == 1 + 4


def test_a_die_for_two_papers_is_used_for_each() -> None:
    moth = die("moth", 40, 40)
    asked = replace(
        project(moth),
        papers=(Paper("cream", "cream", layers=2), Paper("moss", "moss")),
        scraps=(SHEET, replace(SHEET, id="moss", paper="moss")),
        wanted=(Wanted("a", "moth", 3, "cream"), Wanted("b", "moth", 2, "moss")),
    )
    assert lower_bound(asked).passes == 2 + 2


def test_missing_pieces_lower_the_bound() -> None:
    asked = project(die("moth", 40, 40), counts=(8,))
    assert lower_bound(asked, missing=3).passes == 5
    assert lower_bound(project(die("moth", 40, 40), counts=(8,), layers=2), missing=2).passes == 3


def test_what_cannot_be_made_does_not_count() -> None:
    long = die("frame", 231, 20)
    asked = project(long, die("moth", 40, 40), counts=(9, 2), bed=(152, 214))
    assert lower_bound(asked).passes == 9  # it goes in across the bed's corner
    assert lower_bound(replace(asked, machine=Machine("", 60, 214))).passes == 2
    assert lower_bound(replace(asked, scraps=(Scrap("bit", "cream", Outline.rectangle(39, 30)),))).passes == 0


def test_images_limit_what_can_be_made() -> None:
    stamped = replace(
        SHEET, count=2, images=(Image("stamped moth", Pose(50, 50)), Image("stamped moth", Pose(150, 50)))
    )
    asked = replace(
        project(die("moth", 40, 40)), scraps=(stamped,), wanted=(Wanted("w", "moth", 8, None, image="stamped moth"),)
    )
    assert lower_bound(asked).passes == 4
    assert lower_bound(replace(asked, wanted=(Wanted("w", "moth", 8, image="other"),))).passes == 0


def test_punches_need_no_pass() -> None:
    asked = replace(project(), punches=(Punch("dot", "dot", CUT, 30),), wanted=(Wanted("w", "dot", 5),))
    assert lower_bound(asked).passes == 0


def test_area_counts_half_the_gap_round_each_die() -> None:
    # Steiner: a rectangle a x b grown by d has the area ab + 2(a + b)d + pi d^2
    assert bed_area(project()) == pytest.approx(152 * 220 + 2 * (152 + 220) * 0.5 + math.pi * 0.25, rel=1e-3)
    four = [die(f"d{k}", 51, 51) for k in range(4)]
    assert lower_bound(project(*four, bed=(102, 102))).passes == 2
    touching = replace(project(*four, bed=(102, 102)), clearances=Clearances(body_gap=0.0))
    assert lower_bound(touching).passes == 1


def test_two_dies_that_each_fill_more_than_half_need_a_pass_each() -> None:
    bound = lower_bound(project(die("a", 100, 80), die("b", 100, 80), die("c", 100, 80), bed=(152, 100)))
    assert bound.passes == 3
    assert "a die, b die and c die" in bound.because or "need" in bound.because


def test_a_small_die_goes_into_an_opening() -> None:
    frame = Die(
        "frame",
        "frame",
        Outline.of(Outline.rectangle(100, 100).outer, [Outline.rectangle(80, 80, x=10, y=10).outer]),
        CUT,
    )
    assert lower_bound(project(frame, die("moth", 70, 70), bed=(105, 105))).passes == 1
    assert lower_bound(project(frame, die("moth", 79, 79), bed=(105, 105))).passes == 2


def test_five_unit_squares_lie_in_a_square_that_quarter_turns_do_not_fill() -> None:
    # Goebel 1979: 5 unit squares fit in a square of side 2 + 1/sqrt(2) = 2.7072 when turned by 45 degrees
    side = 27.072
    squares = [Die(f"q{k}", f"q{k}", Outline.rectangle(10, 10), Outline.rectangle(4, 4, x=3, y=3)) for k in range(5)]
    asked = replace(project(*squares, bed=(side, side)), clearances=Clearances(body_gap=0.0))
    assert lower_bound(asked).passes == 1


def test_no_bound_is_above_the_optimum_of_500_small_projects() -> None:
    reached = 0
    for seed in range(500):
        asked, needs, bed = small_project(seed)
        best, bound = fewest_passes(needs, bed), lower_bound(asked)
        assert bound.passes <= best, (seed, bound)
        reached += bound.passes == best
    assert reached > 300  # a bound that says nothing would pass the check above


def test_a_name_with_a_comma_is_set_off_in_the_sentence() -> None:
    bound = lower_bound(project(die("moth, lower wings", 40, 40), counts=(8,)))
    assert bound.because == "you own one “moth, lower wings” die and need eight “moth, lower wings” pieces"
