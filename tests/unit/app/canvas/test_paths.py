"""Paths are made once for an outline, however often it is drawn."""

from PySide6.QtCore import QPointF

from app.canvas import paths
from app.canvas.draft import Draft
from layout.geometry.outline import Outline
from layout.geometry.pose import Pose


def test_an_opening_is_filled_in_the_solid_path_alone():
    ring = Outline(((0, 0), (10, 0), (10, 10), (0, 10)), (((3, 3), (3, 7), (7, 7), (7, 3)),))
    middle = QPointF(25, 5)
    assert paths.posed_solid(ring, Pose(20, 0)).contains(middle)
    assert not paths.posed_path(ring, Pose(20, 0)).contains(middle)


def test_a_long_drag_keeps_no_more_paths_than_a_short_one(planned):
    """Every picture of a ring in hand kept a path of its filled border for ever: 50 kB each."""
    canvas = planned.canvas
    planned.selection.pick(dies=frozenset({1}))
    held = canvas.in_hand()

    def carry(times):
        for k in range(times):
            canvas.take_draft(Draft(held.dies).shifted(0.1 * k, 0.0))
            canvas.grab()
        return len(paths._kept) + len(paths._kept_solid)

    assert carry(3) == carry(30)
    canvas.drop_gesture()
