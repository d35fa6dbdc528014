"""What is learnt from searches that came nowhere near: only that, and only where none ever came nearer."""

from layout.geometry.outline import Outline
from layout.geometry.pose import Pose
from layout.nesting.bed import lay
from layout.nesting.hopeless import ENOUGH, GREAT, Hopeless, key_of
from layout.nesting.job import BedJob, DieJob, Effort, SheetJob

SLIP, SHEET, OTHER = Outline.rectangle(40, 30), Outline.rectangle(60, 40), Outline.rectangle(50, 50)
ROOMY = (0.0, 0.0, 300.0, 300.0)


def on(host, outline=SLIP):
    return DieJob(outline, outline, (host,))


def two_sheets(*dies):
    return BedJob(ROOMY, ROOMY, 1.0, dies, (SheetJob(SHEET, 2.0), SheetJob(OTHER, 2.0)))


def test_dies_too_large_for_their_sheet_are_soon_not_tried_again():
    hopeless, job = Hopeless(), two_sheets(on(0), on(0), on(1, Outline.rectangle(20, 20)))
    key = key_of(job.sheets[0], job.dies[:2])
    for seed in range(ENOUGH):
        assert not hopeless.knows(key)
        assert lay(job, Effort(1, 24, seed, hopeless=hopeless)) is None
    assert hopeless.knows(key)
    assert lay(two_sheets(on(0), on(0)), Effort(1, 24, hopeless=hopeless)) is None
    assert lay(two_sheets(on(0), on(1)), Effort(2, 24, hopeless=hopeless)) is not None


def test_one_search_that_comes_near_clears_its_dies_for_good():
    hopeless, key = Hopeless(), key_of(SheetJob(SHEET, 2.0), [on(0)])
    hopeless.take([(key, GREAT / 2)])
    hopeless.take([(key, 2 * GREAT)] * 50)
    assert not hopeless.knows(key)


def test_the_order_of_dies_and_where_a_sheet_lies_make_no_difference():
    one, other = on(0), on(0, Outline.rectangle(20, 20))
    sheet = SheetJob(SHEET, 2.0)
    assert key_of(sheet, [one, other]) == key_of(SheetJob(SHEET, 2.0, held=Pose(5, 5)), [other, one])
    assert key_of(sheet, [one, other]) != key_of(sheet, [one, one])
    assert key_of(sheet, [one]) != key_of(SheetJob(SHEET, 2.0, ((OTHER, 0.0),)), [one])
