"""The grid of free room against exact geometry: what is found is free and as deep as it can be."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon, box
from shapely.affinity import rotate

from app.guide.ink import path_of
from app.guide.labels import Labels
from app.guide.room import CELL, CLEAR, MOST_MARGIN, Canvas, Ground, Room, deepest, summed
from app.guide.sheet import Box

pytestmark = pytest.mark.usefixtures("qapp")
PAGE = Box(7.0, 20.0, 160.0, 200.0)
HALF = CELL * 0.71
"""From a cell's middle to its corner."""


def turned_box(seed: int) -> Polygon:
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(10, 120), rng.uniform(25, 170)
    return rotate(box(x, y, x + rng.uniform(20, 40), y + rng.uniform(15, 40)), float(rng.uniform(0, 90)))


def drawn(shape: Polygon) -> tuple[Room, Ground]:
    lines, areas = Canvas(PAGE), Canvas(PAGE)
    lines.line(path_of(shape))
    areas.area(path_of(shape), 7)
    return Room(PAGE, lines.numbers() > 0), Ground(areas.numbers(), 7)


@pytest.mark.parametrize("seed", range(12))
def test_words_lie_inside_and_off_the_border(seed: int) -> None:
    shape = turned_box(seed)
    room, ground = drawn(shape)
    x0, y0, x1, y1 = shape.bounds
    found = room.fit(ground, Box(x0, y0, x1 - x0, y1 - y0), [(8.0, 5.0)])
    assert found is not None
    which, place = found
    assert which == 0
    words = box(place.x, place.y, place.right, place.bottom)
    assert shape.contains(words)
    assert shape.exterior.distance(words) >= CLEAR - HALF


def test_nothing_is_found_where_nothing_fits() -> None:
    room, ground = drawn(box(20, 30, 40, 36))
    assert room.fit(ground, PAGE, [(30.0, 5.0)]) is None
    assert room.fit(ground, PAGE, [(8.0, 5.6)]) is None  # 5 mm are left between the margins
    assert room.fit(Ground(ground.numbers, 8), PAGE, [(1.0, 1.0)]) is None
    assert room.fit(ground, Box(500.0, 500.0, 10.0, 10.0), [(1.0, 1.0)]) is None


def test_the_deepest_place_of_a_free_field_is_its_middle() -> None:
    assert deepest(summed(np.ones((21, 31), dtype=bool)), 5, 3) == (9, 13)


@pytest.mark.parametrize("seed", range(8))
def test_no_other_place_has_a_wider_margin(seed: int) -> None:
    free = np.random.default_rng(seed).random((24, 40)) > 0.03

    def margin(row: int, column: int) -> int:
        best = -1
        for m in range(MOST_MARGIN + 1):
            top, left = row - m, column - m
            part = free[max(top, 0) : row + 2 + m, max(left, 0) : column + 3 + m]
            if top < 0 or left < 0 or part.shape != (2 + 2 * m, 3 + 2 * m) or not part.all():
                break
            best = m
        return best

    found = deepest(summed(free), 3, 2)
    margins = [margin(row, column) for row in range(23) for column in range(38)]
    assert (found is None) == (max(margins) < 0)
    if found is not None:
        assert margin(*found) == max(margins)


def test_inner_areas_and_taken_boxes_are_kept_free() -> None:
    outer, inner = box(20, 30, 80, 90), box(35, 45, 65, 75)
    canvas = Canvas(PAGE)
    canvas.area(path_of(outer), 1)
    canvas.area(path_of(inner), 2)
    room, ground = Room(PAGE, np.zeros((500, 400), dtype=bool)), Ground(canvas.numbers(), 1)
    labels = Labels("page", room, room.copy(), {})
    boxes = [labels.place(n, ground, PAGE, (10.0, 8.0)) for n in range(30)]
    found = [box(one[1].x, one[1].y, one[1].right, one[1].bottom) for one in boxes if one]
    assert 8 <= len(found) < 30  # a ring 15 mm wide holds one row of boxes all round
    assert shapely.area(shapely.union_all(found)) == pytest.approx(sum(one.area for one in found))
    assert not any(one.intersects(inner) for one in found)
    assert MultiPolygon([outer]).covers(MultiPolygon(found[:1]))


def test_words_stay_from_page_to_page_and_grow_where_they_can() -> None:
    shape, kept = box(20, 30, 80, 90), {}
    room, ground = drawn(shape)
    crowded = room.copy()
    crowded.take(Box(20, 30, 60, 42))
    small = Labels(1, crowded, room, kept).place("a", ground, PAGE, (30.0, 20.0), (10.0, 5.0))
    assert small is not None
    assert small[0] == 1
    large = Labels(2, room.copy(), room, kept).place("a", ground, PAGE, (30.0, 20.0), (10.0, 5.0))
    assert large is not None
    assert large[0] == 0
    assert Labels(3, room.copy(), room, kept).place("a", ground, PAGE, (30.0, 20.0), (10.0, 5.0)) == large
    assert Labels(1, room.copy(), room, kept).place("a", ground, PAGE, (30.0, 20.0), (10.0, 5.0)) == small


def test_words_too_large_for_a_die_are_passed_over_on_every_page() -> None:
    kept: dict[object, object] = {}
    room, ground = drawn(box(20, 30, 80, 90))
    sizes = ((70.0, 20.0), (30.0, 20.0), (10.0, 5.0))
    found = Labels(1, room.copy(), room, kept).place_on_die(0, ground, PAGE, *sizes)
    assert found is not None
    assert found[0] == 1
    crowded = room.copy()
    crowded.take(Box(20, 30, 60, 42))
    small = Labels(2, crowded, room, kept).place_on_die(0, ground, PAGE, *sizes)
    assert small is not None
    assert small[0] == 2
    assert Labels(3, room.copy(), room, {}).place_on_die(0, ground, PAGE, (70.0, 20.0)) is None
