"""Blanks drawn freely: they fold where they can, say where they cannot, and come back from a file as they went in."""

from __future__ import annotations

import random
from itertools import combinations

import pytest

from layout.geometry.blanks.drawn import Drawn, corners
from layout.geometry.blanks.faces import Blank, BlankError
from layout.geometry.blanks.folding import faults, folded
from layout.geometry.blanks.kinds import read_blank
from layout.geometry.blanks.trays import tray

Dice = random.Random


def open_tray(dice: Dice) -> tuple[Drawn, float]:
    """Draw a tray: four walls about a base, its corners snipped."""
    w, h, high = dice.uniform(8, 150), dice.uniform(8, 150), dice.uniform(4, 60)
    drawn = Drawn(w + 2 * high, h + 2 * high, (high, high + w), (high, high + h))
    return Drawn(drawn.width, drawn.length, drawn.across, drawn.along, corners(drawn, high, high)), high


def ring_of_walls(dice: Dice) -> Drawn:
    """Draw a tube: four walls and a tab in a row, flaps below all of them with slits of 2 mm between."""
    tab, w, d = 10.0, dice.uniform(20, 90), dice.uniform(12, 40)
    high, flap = dice.uniform(20, 90), dice.uniform(4, 6)
    xs = [tab, tab + w, tab + w + d, tab + 2 * w + d]
    slits = [((x - 1, 0.0), (x + 1, 0.0), (x + 1, flap), (x - 1, flap)) for x in xs]
    return Drawn(tab + 2 * w + 2 * d, flap + high, tuple(xs), (flap,), tuple(slits))


def walls_meet(blank: Blank) -> float:
    """Return the widest gap (mm) between the upper corners of neighbouring walls of a folded tray."""
    places = folded(blank)
    walls = blank.faces[1:]
    assert len(walls) == 4
    corners_of = {f.name: [places[f.name].at(p) for p in f.ring] for f in walls}
    gaps = []
    for a, b in combinations(walls, 2):
        near = sorted(float(((p - q) @ (p - q)) ** 0.5) for p in corners_of[a.name] for q in corners_of[b.name])
        gaps.append(near[1])  # two corners in common: the edge between two walls
    return sorted(gaps)[3]  # four pairs of neighbours; opposite walls do not meet


def test_200_drawn_trays_fold_shut_and_are_trays() -> None:
    for seed in range(200):
        drawn, high = open_tray(Dice(seed))
        blank = drawn.blank()
        assert faults(blank) == [], seed
        assert walls_meet(blank) < 0.1, seed
        assert blank.outline.area == pytest.approx(blank.area, abs=0.01)
        w, h = drawn.width - 2 * high, drawn.length - 2 * high
        walls = [f for f in tray(w, h, high).faces if "tab" not in f.name]
        assert blank.area == pytest.approx(sum(Blank((f,)).area for f in walls), abs=0.01)


def test_200_drawn_rings_fold_and_their_areas_add_up() -> None:
    for seed in range(200):
        blank = ring_of_walls(Dice(seed)).blank()
        assert faults(blank) == [], seed
        assert blank.outline.area == pytest.approx(blank.area, abs=0.01)
        places = folded(blank)
        walls = [f for f in blank.faces if max(p[1] for p in f.ring) > 10]
        first = min(walls, key=lambda f: max(p[0] for p in f.ring))
        last = max(walls, key=lambda f: max(p[0] for p in f.ring))
        edge = [places[last.name].at(p) for p in last.ring if p[0] == max(q[0] for q in last.ring)]
        hinge = [places[first.name].at(p) for p in first.ring if p[0] == max(q[0] for q in first.ring)]
        assert min(float(((p - q) @ (p - q)) ** 0.5) for p in edge for q in hinge) < 0.1, seed


def test_a_corner_that_is_not_snipped_is_found_out() -> None:
    for seed in range(20):
        drawn, _ = open_tray(Dice(seed))
        whole = Drawn(drawn.width, drawn.length, drawn.across, drawn.along)
        assert any("does not meet" in f.what for f in faults(whole.blank())), seed
        assert len(whole.blank().scores) == 4


def test_scores_and_slanting_corners() -> None:
    drawn = Drawn(100, 80, (50.0,), ())
    blank = Drawn(100, 80, (50.0,), (), corners(drawn, 10, 6, aslant=True)).blank()
    assert blank.scores == (((50.0, 0.0), (50.0, 80.0)),)
    assert blank.area == pytest.approx(8000 - 4 * 30)
    assert len(Drawn(100, 80).blank().faces) == 1


def test_it_is_kept() -> None:
    drawn, _ = open_tray(Dice(1))
    assert read_blank(drawn.kept()) == drawn
    for kept in (
        {"kind": "drawn"},
        {"kind": "drawn", "width": 3, "length": 4, "snips": 5},
        {"kind": "drawn", "width": "w"},
    ):
        assert read_blank(kept) is None


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(BlankError, match="does not lie on a sheet"):
        Drawn(100, 80, (120.0,)).blank()
    with pytest.raises(BlankError, match="less than"):
        Drawn(100, 80, (50.0, 50.2)).blank()
    with pytest.raises(BlankError, match="width must be more"):
        Drawn(0, 80).blank()
    with pytest.raises(BlankError, match="reach the edge"):
        Drawn(100, 80, snips=(((40, 40), (50, 40), (50, 50)),)).blank()
    with pytest.raises(BlankError, match="in pieces"):
        Drawn(100, 80, snips=(((40, 0), (50, 0), (50, 80), (40, 80)),)).blank()
