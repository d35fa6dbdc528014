"""A sheet in hand lies under the dies, and stays cheap to move however many there are."""

from time import thread_time

import numpy as np
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage

from app.canvas.gestures import Move
from app.canvas.upper import PAINTING
from app.chores import Chores
from app.document.state import State
from tests.support.desk import grid

ROUNDING = 4  # of 255: half-clear strokes laid on a clear picture first are rounded once more
NO_KEYS = Qt.KeyboardModifier.NoModifier


def picture(canvas) -> QImage:
    return canvas.grab().toImage()


def furthest(one, other) -> int:
    """Return by how much the colours of two pictures differ at most, of 255."""
    pixels = (np.frombuffer(i.constBits(), np.uint8).astype(int) for i in (one, other))
    return int(np.abs(np.subtract(*pixels)).max())


def begin(canvas, window, sheet=0):
    window.selection.pick(scraps=frozenset({sheet}))
    return Move(canvas, QPointF(100.0, 100.0))


def test_the_kept_picture_of_the_dies_shows_what_painting_them_shows(planned):
    canvas = planned.canvas
    begin(canvas, planned).move(QPointF(112.0, 100.0), NO_KEYS)
    kept = picture(canvas)
    canvas.upper._of = ()
    assert furthest(kept, picture(canvas)) <= ROUNDING


def test_it_is_painted_between_events_and_the_sheet_follows_once_it_is(planned):
    canvas, chores = planned.canvas, Chores()
    canvas.upper.chores = chores
    gesture = begin(canvas, planned)
    assert chores.waits(PAINTING)
    assert canvas.upper.coming
    gesture.move(QPointF(130.0, 100.0), NO_KEYS)
    before = picture(canvas)
    chores.finish()
    assert not canvas.upper.coming
    assert picture(canvas) != before


def test_another_view_asks_for_another_picture(planned):
    canvas = planned.canvas
    begin(canvas, planned)
    of = canvas.upper._of
    canvas.zoom(1.2)
    begin(canvas, planned)
    assert canvas.upper._of != of


def test_moving_a_sheet_costs_little_more_than_its_own_strokes(window):
    window.document.start_with(State(*grid(8, 5, corners=300, sheets=12)), None)
    canvas = window.canvas
    gesture = begin(canvas, window)
    times = []
    for k in range(12):
        gesture.move(QPointF(112.0 + 3 * k, 100.0), NO_KEYS)
        began = thread_time()
        canvas.repaint()
        times.append(thread_time() - began)
    canvas.upper._of = ()
    began = thread_time()
    canvas.repaint()  # die by die, as it would be without the kept picture
    assert min(times[2:]) < 0.8 * (thread_time() - began)


# ---- outlines of what is wrong --------------------------------------------------------------------------------------


def test_kept_outlines_of_faults_look_like_strokes_and_follow_the_view(planned, monkeypatch):
    canvas = planned.canvas
    monkeypatch.setattr(type(canvas), "faulty", lambda _: (frozenset({0, 3}), frozenset({1})))
    monkeypatch.setattr(type(canvas), "_marked", True)
    first = picture(canvas)
    assert {key[0] for key in canvas.outlines._kept} == {("die", 0), ("die", 3), ("scrap", 1)}
    assert picture(canvas) == first
    canvas.zoom(1.3)
    assert picture(canvas) != first
