"""Equal gaps: beside two neighbours or between them, across and along, never nearer than dies may lie."""

import pytest

from app.canvas.equal_gaps import equal_gaps

ROW = [(0.0, 0.0, 10.0, 10.0), (14.0, 0.0, 24.0, 10.0)]  # 4 mm apart


def moved(box, by):
    return (box[0] + by, box[1], box[2] + by, box[3])


def turned(box):
    return box[1], box[0], box[3], box[2]


@pytest.mark.parametrize("along", [False, True])
@pytest.mark.parametrize(("left", "gap"), [(27.0, 4.0), (-13.0, 4.0)])
def test_beside_two_neighbours_the_gap_is_theirs(left, gap, along):
    mine = (left, 1.0, left + 10.0, 11.0)
    turn = turned if along else tuple
    (even,) = equal_gaps(turn(mine), [turn(b) for b in ROW], 2.0, 1.0, along=along)
    assert even.gap == pytest.approx(gap)
    there = moved(mine, even.move)
    apart = there[0] - 24.0 if left > 0 else 0.0 - there[2]
    assert apart == pytest.approx(gap)
    for (ax, ay), (bx, by) in even.bars:
        assert (abs(bx - ax), abs(by - ay)) == pytest.approx((0.0, gap) if along else (gap, 0.0))


def test_between_two_neighbours_it_is_as_far_from_either():
    apart = [(0.0, 0.0, 10.0, 10.0), (40.0, 0.0, 50.0, 10.0)]
    (even,) = equal_gaps((18.5, 0.0, 28.5, 10.0), apart, 2.0, 1.0, along=False)
    assert (even.move, even.gap) == pytest.approx((1.5, 10.0))
    assert [bar[0][0] for bar in even.bars] == pytest.approx([10.0, 30.0])


def test_out_of_reach_out_of_the_row_or_too_near_nothing_draws():
    assert equal_gaps((32.0, 0.0, 42.0, 10.0), ROW, 2.0, 1.0, along=False) == []
    assert equal_gaps((27.0, 8.0, 37.0, 18.0), ROW, 2.0, 1.0, along=False) == []
    assert equal_gaps((27.0, 0.0, 37.0, 10.0), ROW, 2.0, 4.5, along=False) == []
    assert equal_gaps((27.0, 0.0, 37.0, 10.0), ROW[:1], 2.0, 1.0, along=False) == []


def test_the_nearest_two_of_the_row_count():
    far = (-30.0, 0.0, -20.0, 10.0)
    assert [e.gap for e in equal_gaps((27.0, 0.0, 37.0, 10.0), [far, *ROW], 2.0, 1.0, along=False)] == [4.0]
