"""Tape holds a die where no blade is, of this die or of any other."""

from __future__ import annotations

from itertools import pairwise

import pytest
from shapely import unary_union
from shapely.geometry import Point, Polygon, box

from app.guide.tape import BLADE, LEAST_METAL, tape_spots
from tests.support.shared import CASES, load, need
from tests.unit.layout.planning.test_export_command import posed


def dies_of(name: str) -> tuple[list[Polygon], list[Polygon]]:
    """Bodies and cuts as they lie, y downward as on a page."""
    case = need(CASES / f"{name}.json")
    project, plan = load(case), load(case.with_name(f"{name}.known.json"))
    dies = {die["id"]: die for die in project["dies"]}
    placed = plan["layouts"][0]["dies"]
    return tuple([posed(dies[p["die"]][part], p["pose"]) for p in placed] for part in ("body", "cut"))


@pytest.mark.parametrize("name", ["scraps-12-3-11", "frames-07-12", "onepass-14-12-12", "images-07-11"])
def test_no_strip_comes_near_a_blade_or_another_die(name: str) -> None:
    bodies, cuts = dies_of(name)
    blades = unary_union([cut.boundary for cut in cuts])
    found = tape_spots(bodies, cuts)
    assert len(found) == len(bodies)
    assert any(found)
    for number, spots in enumerate(found):
        others = [Polygon(body.exterior) for n, body in enumerate(bodies) if n != number]
        for spot in spots:
            assert spot.distance(blades) >= BLADE - 0.1  # the blades are simplified by 0.05 mm for speed
            assert spot.intersection(bodies[number]).area >= LEAST_METAL
            assert all(spot.intersection(other).area < 0.1 for other in others)


def test_a_die_with_room_all_round_gets_three_strips_apart() -> None:
    body = Point(0, 0).buffer(30, quad_segs=32).difference(Point(0, 0).buffer(20))
    cut = Point(0, 0).buffer(26, quad_segs=32)
    (spots,) = tape_spots([body], [cut])
    assert len(spots) == 3
    assert min(a.distance(b) for a, b in pairwise(spots)) > 8.0


def test_a_die_whose_metal_is_too_narrow_gets_none() -> None:
    body = box(0, 0, 40, 30).difference(box(1, 1, 39, 29))
    assert tape_spots([body], [box(0.5, 0.5, 39.5, 29.5)]) == [[]]
