"""The row of passes shows each pass as it is."""

import pytest
from PySide6.QtCore import QRect, Qt
from PySide6.QtTest import QTest

from app.look.tokens import LIGHT
from app.panels.passdelegate import PassDelegate


def test_a_picture_begun_before_a_change_is_no_picture_of_what_came(planned):
    delegate = planned.passes.itemDelegate()
    assert isinstance(delegate, PassDelegate)
    work, before = delegate.make_picture((0, 0)), planned.document.plan.layouts[0]
    next(work)
    planned.selection.pick(dies=frozenset({0}))
    planned.hands.nudge(1.0, 0.0, fine=False)
    for _ in work:
        pass
    assert delegate._pictures[0, 0][1] == before != planned.document.plan.layouts[0]


@pytest.mark.parametrize("low", [False, True])
def test_the_box_of_a_pass_ticks_it_off_with_or_without_its_small_plate(planned, low):
    passes, asked = planned.passes, []
    passes._delegate.fit(400 if low else 1000)
    passes.reread()
    passes.tick_asked.disconnect()
    passes.tick_asked.connect(lambda *place: asked.append(place))
    room: QRect = passes.visualRect(passes.model().index(0, 0))
    box = passes.itemDelegate().box(room)
    assert room.contains(box.toAlignedRect())
    QTest.mouseClick(passes.viewport(), Qt.MouseButton.LeftButton, pos=box.center().toPoint())
    assert asked == [(0, 0)]


def test_words_alone_are_lower_than_small_plates(planned):
    high = planned.passes.height()
    planned.resize(1340, 440)
    QTest.qWait(0)
    assert planned.passes.height() < high / 2
    planned.resize(1340, 860)
    QTest.qWait(0)
    assert planned.passes.height() == high


def test_small_plates_grow_with_the_text_as_far_as_the_window_allows(planned):
    passes = planned.passes
    planned.resize(1340, 1400)
    usual = passes._delegate.room.plate_size
    passes.set_look(LIGHT, 2.0)
    assert passes._delegate.room.plate_size == usual * 2
    tall = passes.height()
    passes._delegate.fit(1000)
    assert passes._delegate.room.plate_size.height() <= 0.16 * 1000
    assert passes._delegate.room.plate_size.height() > usual.height()
    passes.set_look(LIGHT, 2.0)
    passes.window().resize(1340, 768)
    QTest.qWait(0)
    assert passes.height() < tall
    passes.set_look(LIGHT, 1.0)
    assert passes._delegate.room.plate_size == usual
