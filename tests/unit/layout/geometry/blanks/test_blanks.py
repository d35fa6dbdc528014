"""Box blanks by size: they fold shut in space, their areas add up, their score numbers are those of the trade."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from layout.geometry.blanks.faces import Blank, BlankError
from layout.geometry.blanks.flat import envelope, tag_folder
from layout.geometry.blanks.folding import faults, folded
from layout.geometry.blanks.pillow import pillow
from layout.geometry.blanks.scoring import mats, score_table, tube_from_scores
from layout.geometry.blanks.trays import lid, tray
from layout.geometry.blanks.tubes import Tube, sleeve

INCH = 25.4
Dice = random.Random


def tube(dice: Dice, top: str, bottom: str = "flaps") -> Blank:
    width = dice.uniform(8, 150)
    depth = dice.uniform(8, width if top in ("pinched", "gable") else 120)
    sizes = (width, depth, dice.uniform(15, 200))
    return Tube(*sizes, top, bottom, dice.uniform(0, 0.6), dice.uniform(4, depth), rise=dice.uniform(1, 60)).blank()


def any_pillow(dice: Dice) -> Blank:
    width = dice.uniform(20, 150)
    depth = dice.uniform(4, 0.4 * width)
    return pillow(width, depth, depth + dice.uniform(5, 150), dice.uniform(0, 0.5), dice.uniform(4, 20))


KINDS: dict[str, Callable[[Dice], Blank]] = {
    "straight": lambda dice: tube(dice, "flaps"),
    "pinched": lambda dice: tube(dice, "pinched"),
    "clipped": lambda dice: tube(dice, "clipped"),
    "tuck end": lambda dice: tube(dice, "tuck", "tuck"),
    "gable": lambda dice: tube(dice, "gable"),
    "sleeve": lambda dice: sleeve(
        dice.uniform(8, 150), dice.uniform(8, 99), dice.uniform(8, 150), dice.uniform(0, 0.5)
    ),
    "tray": lambda dice: tray(dice.uniform(8, 150), dice.uniform(8, 150), dice.uniform(4, 80), dice.uniform(0, 0.5)),
    "lid": lambda dice: lid(dice.uniform(8, 150), dice.uniform(8, 150), dice.uniform(4, 80), dice.uniform(0, 0.5)),
    "envelope": lambda dice: envelope(dice.uniform(40, 200), dice.uniform(50, 150), dice.uniform(10, 50)),
    "pillow": any_pillow,
    "tag folder": lambda dice: tag_folder(dice.uniform(20, 90), dice.uniform(20, 90), dice.choice((0.0, 3.0))),
}


@pytest.mark.parametrize("kind", KINDS)
def test_200_random_sizes_fold_shut(kind: str) -> None:
    for seed in range(200):
        blank = KINDS[kind](Dice(seed))
        assert faults(blank) == [], seed


@pytest.mark.parametrize("kind", KINDS)
def test_the_developed_area_is_the_sum_of_the_faces(kind: str) -> None:
    for seed in range(40):
        blank = KINDS[kind](Dice(seed))
        assert blank.outline.area == pytest.approx(blank.area, abs=0.01)
        assert blank.outline.holes == ()


def test_a_pillow_box_has_the_inner_size_and_arcs_of_one_radius() -> None:
    blank = pillow(70, 26, 110)
    places = folded(blank)
    corners = [
        places[f.name].at(p) for f in blank.faces if "flap" not in f.name and "tab" not in f.name for p in f.ring
    ]
    # The first strip stays put: its slope, taken off again, leaves the box lying flat.
    front = blank.face("front strip 1")
    middle = next(f for f in blank.faces if f.name == f"front strip {_count(blank) // 2}")
    far = places[f"front strip {_count(blank)}"].at(blank.face(f"front strip {_count(blank)}").ring[1])
    near, top = places[front.name].at(front.ring[0]), places[middle.name].at(middle.ring[1])
    across = far - near
    assert float((across @ across) ** 0.5) == pytest.approx(70, abs=0.01)
    assert abs(float((top - near) @ _square_to(across))) == pytest.approx(13, abs=0.01)
    assert max(float(abs((c - near) @ _square_to(across))) for c in corners) == pytest.approx(13, abs=0.01)
    table = score_table(blank)
    assert len(table.arcs) == 4
    assert table.aslant == 0
    assert [arc.deep for arc in table.arcs] == pytest.approx([13] * 4, abs=0.01)
    half = (table.arcs[0].end[0] - table.arcs[0].start[0]) / 2
    assert [arc.radius for arc in table.arcs] == pytest.approx([(half**2 + 169) / 26] * 4, abs=0.02)


def _count(blank: Blank) -> int:
    return sum(f.name.startswith("front strip") for f in blank.faces)


def _square_to(across: Any) -> Any:
    """Return the upright of the folded box: square to its width and to its height, which lies along y."""
    up = np.cross(across, (0.0, 1.0, 0.0))
    return up / (up @ up) ** 0.5


def test_a_wrong_size_or_fold_is_found_out() -> None:
    box = Tube(60, 30, 90, "gable").blank()
    for spoiled in ("right", "front top roof", "right top first wing", "left top second strip", "back bottom flap"):
        faces = tuple(replace(f, fold=f.fold * 0.97) if f.name == spoiled else f for f in box.faces)
        assert faults(replace(box, faces=faces)), spoiled
    bent = tuple(replace(f, fold=150.0) if f.name == "right" else f for f in box.faces)
    assert any("through" in f.what for f in faults(replace(box, faces=bent)))


def test_the_folded_box_has_the_inner_size() -> None:
    box = Tube(60, 30, 90, thickness=0.4).blank()
    places = folded(box)
    front, back = places["front"], places["back"]
    x = box.face("front").ring[0]
    apart = abs(float((back.at(box.face("back").ring[0]) - front.at(x)) @ front.turn[:, 2]))
    assert apart - 0.4 == pytest.approx(30)  # from the middle of one wall to the middle of the other, less a wall


def test_the_worked_example_of_the_trade() -> None:
    # Common practice in the trade: a 4 x 4 3/4 in blank scored at 1/2, 1 3/4, 2 1/4, 3 1/2 on its 4 in side and at
    # 1/2, 4, 4 1/4 on the long one is a 1 1/4 x 1/2 x 3 1/2 in box with a 1/2 in tab; its mats are 1 1/8 x 3 3/8 in.
    box = Tube(1.25 * INCH, 0.5 * INCH, 3.5 * INCH, "pinched", "flaps", tab=0.5 * INCH, seam=0.5 * INCH)
    table = score_table(box.blank())
    assert [d / INCH for d in (table.width, table.length)] == pytest.approx([4, 4.75])
    assert [d / INCH for d in table.across] == pytest.approx([0.5, 1.75, 2.25, 3.5])
    assert [d / INCH for d in table.along] == pytest.approx([0.5, 4, 4.25])
    assert table.aslant == 4
    sizes = [(m.wall, m.width / INCH, m.length / INCH) for m in mats(box.blank(), INCH / 16, ("front", "back"))]
    assert sizes == [
        ("front", pytest.approx(1.125), pytest.approx(3.375)),
        ("back", pytest.approx(1.125), pytest.approx(3.375)),
    ]
    found = tube_from_scores(table.width, table.length, table.across, table.along)
    assert (found.width, found.depth, found.height) == pytest.approx((box.width, box.depth, box.height))
    assert (found.tab, found.seam) == pytest.approx((box.tab, box.seam))


def test_numbers_that_make_no_box_are_refused() -> None:
    with pytest.raises(BlankError, match="front and back differ by 6"):
        tube_from_scores(110, 120, (12, 44, 57, 83), (13, 100, 106.5))
    with pytest.raises(BlankError, match="four times"):
        tube_from_scores(100, 100, (10,), (10,))
    with pytest.raises(BlankError, match="glue tab"):
        Tube(50, 10, 50).blank()
    with pytest.raises(BlankError, match="deeper than it is wide"):
        Tube(20, 30, 50, "gable").blank()
    with pytest.raises(BlankError, match="leaves nothing"):
        mats(Tube(20, 20, 50).blank(), 11)
    with pytest.raises(BlankError, match="width must be more"):
        tray(0, 10, 10)
    with pytest.raises(BlankError, match="must be wider"):
        pillow(40, 30, 90)
    with pytest.raises(BlankError, match="must be taller"):
        pillow(90, 30, 30)


def test_all_walls_get_their_mats() -> None:
    found = [(m.wall, round(m.width, 6), round(m.length, 6)) for m in mats(Tube(60, 30, 90).blank(), 2)]
    assert found == [("front", 56, 86), ("right", 26, 86), ("back", 56, 86), ("left", 26, 86)]
