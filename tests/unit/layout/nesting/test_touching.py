"""The exact fit: from a heap that is a little too close to one in which every clearance holds, if there is one."""

import math
import random

import pytest
from shapely.geometry import Point, box

from layout.geometry.outline import Outline, from_polygon
from layout.geometry.pose import Pose, angle_between
from layout.nesting.job import BedAnswer, BedJob, DieJob, SheetJob
from layout.nesting.touching import fitted

ROUNDING = 0.001  # mm


def bare(outline, **more):
    return DieJob(outline, outline, (), **more)


def lain(*poses):
    return BedAnswer(tuple(poses), (), (-1,) * len(poses))


def least_gap(job, answer):
    """The least distance of two dies, below zero by the root of what they share of the bed."""
    lying = [p.outline(d.metal).polygon for p, d in zip(answer.dies, job.dies, strict=True)]
    pairs = [(a, b) for k, a in enumerate(lying) for b in lying[:k]]
    return min(a.distance(b) if a.disjoint(b) else -math.sqrt(a.intersection(b).area) for a, b in pairs)


def in_bed(job, answer):
    x0, y0, x1, y1 = job.bed
    bounds = [p.outline(d.metal).bounds for p, d in zip(answer.dies, job.dies, strict=True)]
    return all(
        b[0] >= x0 - ROUNDING and b[1] >= y0 - ROUNDING and b[2] <= x1 + ROUNDING and b[3] <= y1 + ROUNDING
        for b in bounds
    )


@pytest.mark.parametrize("seed", range(6))
def test_five_squares_close_in_on_the_least_side(seed):
    """Göbel 1979: the least square that holds five unit squares has the side 2 + 1/sqrt(2)."""
    shake = random.Random(seed)
    side = 20 * (2 + 1 / math.sqrt(2)) + 0.001
    square, far = Outline.rectangle(20, 20), side - 20
    bed = (0.0, 0.0, side, side)
    job = BedJob(bed, bed, 0.0, (bare(square),) * 5)
    middle = Pose(side / 2, side / 2, 45).after(Pose(-10, -10))
    right = [Pose(0, 0), Pose(far, 0), Pose(0, far), Pose(far, far), middle]
    near = [
        Pose(p.x + shake.uniform(-0.1, 0.1), p.y + shake.uniform(-0.1, 0.1), p.turn + shake.uniform(-1, 1))
        for p in right
    ]
    answer = fitted(job, lain(*near))
    assert answer is not None
    assert in_bed(job, answer)
    assert least_gap(job, answer) > -0.2  # the root of an area: a hundredth of a millimetre over four
    assert not in_bed(job, lain(*near)) or least_gap(job, lain(*near)) < -0.2


def test_what_cannot_fit_is_not_said_to():
    square = Outline.rectangle(20, 20)
    bed = (0.0, 0.0, 39.9, 20.0)
    job = BedJob(bed, bed, 0.0, (bare(square), bare(square)))
    assert fitted(job, lain(Pose(0, 0), Pose(19.9, 0))) is None


@pytest.mark.parametrize("gap", [0.0, 1.0, 2.5])
def test_round_things_keep_their_clearance_from_each_other(gap):
    round_die = from_polygon(Point(0, 0).buffer(10, 24))
    bed = (0.0, 0.0, 200.0, 200.0)
    job = BedJob(bed, bed, gap, (bare(round_die),) * 3)
    answer = fitted(job, lain(Pose(50, 50), Pose(69.8 + gap, 50), Pose(60, 67 + gap)))
    assert answer is not None
    assert least_gap(job, answer) >= gap - ROUNDING


def test_a_slip_is_freed_within_a_frames_opening():
    frame = Outline(((0, 0), (90, 0), (90, 60), (0, 60)), (((8, 8), (8, 52), (82, 52), (82, 8)),))
    slip = Outline.rectangle(71, 41)
    bed = (0.0, 0.0, 90.0, 60.0)
    job = BedJob(bed, bed, 1.0, (bare(frame, held=Pose()), bare(slip)))
    answer = fitted(job, lain(Pose(), Pose(8.6, 9.1, 0.4)))
    assert answer is not None
    assert answer.dies[0] == Pose()
    assert least_gap(job, answer) >= 1.0 - ROUNDING


def test_what_is_held_and_what_may_not_turn_stays_so():
    square = Outline.rectangle(20, 20)
    bed = (0.0, 0.0, 100.0, 100.0)
    job = BedJob(bed, bed, 0.0, (bare(square, held=Pose(40, 40)), bare(square, turns=(7.0,))))
    answer = fitted(job, lain(Pose(40, 40), Pose(62.2, 38, 7.0)))
    assert answer is not None
    assert answer.dies[0] == Pose(40, 40)
    assert answer.dies[1].turn == pytest.approx(7.0, abs=1e-12)
    assert least_gap(job, answer) > -0.1


def test_a_cut_is_drawn_off_the_edge_and_off_a_stain():
    stain = Outline.rectangle(20, 40)
    sheet = SheetJob(Outline.rectangle(60, 40), 2.0, ((stain, 1.0),), held=Pose(30, 30))
    slip, bed = Outline.rectangle(34.9, 20), (0.0, 0.0, 150.0, 150.0)
    job = BedJob(bed, bed, 0.0, (DieJob(slip, slip, (0,)),), (sheet,))
    answer = fitted(job, BedAnswer((Pose(30 + 20.7, 30 + 1.8),), (Pose(30, 30),), (0,)))
    assert answer is not None
    cut = answer.dies[0].seen_from(Pose(30, 30)).outline(slip).polygon
    assert box(2, 2, 58, 38).buffer(ROUNDING).covers(cut)
    assert cut.distance(stain.polygon) >= 1.0 - ROUNDING


def test_sheets_give_way_and_take_along_what_is_stuck_to_them():
    sheet, stuck = Outline.rectangle(60, 40), Outline.rectangle(20, 20)
    bed = (0.0, 0.0, 121.0, 40.0)
    sheets = (SheetJob(sheet, 2.0), SheetJob(sheet, 2.0))
    job = BedJob(bed, bed, 0.0, (DieJob(stuck, stuck, (1,), on_sheet=Pose(5, 5)),), sheets)
    near = BedAnswer((Pose(65, 5),), (Pose(0.2, 0), Pose(60.0, 0.0)), (1,))
    answer = fitted(job, near)
    assert answer is not None
    lying = [p.outline(sheet).polygon for p in answer.sheets]
    assert lying[0].intersection(lying[1]).area < 0.1
    assert all(-ROUNDING <= x <= 121 + ROUNDING for polygon in lying for x in polygon.bounds[::2])
    at = answer.dies[0].seen_from(answer.sheets[1])
    assert (at.x, at.y) == (pytest.approx(5, abs=1e-9), pytest.approx(5, abs=1e-9))


def test_a_sheet_with_an_upright_print_on_it_is_not_turned_under_its_die():
    sheet, slip = Outline.rectangle(60, 40), Outline.rectangle(20, 20)
    bed = (0.0, 0.0, 80.0, 80.0)
    dies = (DieJob(slip, slip, (0,), turns=(0.0,)), DieJob(slip, slip, (0,)))
    job = BedJob(bed, bed, 1.0, dies, (SheetJob(sheet, 1.0),))
    answer = fitted(job, BedAnswer((Pose(13, 13, 3.0), Pose(34.1, 14.8, 3.0)), (Pose(10, 10, 3.0),), (0, 0)))
    assert answer is not None
    assert angle_between(answer.dies[0].turn, answer.sheets[0].turn) < 1e-9
    assert least_gap(job, answer) >= 1.0 - ROUNDING
