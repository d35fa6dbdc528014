"""What the program says never moves the plate: messages lie over its edge, hints in room that is free anyway."""

import pytest
import shiboken6
from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtTest import QTest

from app.window import Window

LONG = "Pass done: 1 × window frame; 1 × moth, lower wings; 1 × label; 1 × moth, upper wings; 1 × fern leaf. " * 2


def place_of(window):
    """Return where the plate lies on the screen, and how it is looked at."""
    QTest.qWait(20)
    return window.canvas.mapTo(window, QPoint()), window.canvas.size(), window.canvas.viewing


def on_window(window, widget):
    return QRect(widget.mapTo(window, QPoint()), widget.size())


@pytest.mark.parametrize("scale", [1.0, 2.0])
def test_a_message_leaves_the_plate_where_it_is(planned, scale):
    planned.settings.text_scale = scale
    before = place_of(planned)
    for text, actions in (("Saved.", ()), (LONG, (("Not done after all", lambda: None),))):
        planned.messages.news(text, *actions)
        assert place_of(planned) == before
        bar, plate = on_window(planned, planned.bar), on_window(planned, planned.canvas)
        assert planned.rect().contains(bar)
        assert bar.top() >= plate.top()
        assert bar.height() < plate.height() / 2
        assert planned.bar._text.height() >= planned.bar._text.heightForWidth(planned.bar._text.width())
    planned.settings.text_scale = 1.0


def test_a_message_follows_the_plate_when_the_window_is_drawn_smaller(planned):
    planned.messages.fault("It does not fit.")
    planned.resize(1000, 700)
    QTest.qWait(50)
    bar, plate = on_window(planned, planned.bar), on_window(planned, planned.canvas)
    assert plate.contains(bar)


def test_escape_puts_a_message_away_once_nothing_is_picked(planned):
    planned.messages.news("Saved.")
    planned.selection.pick(frozenset({0}))
    planned.canvas.setFocus()
    QTest.keyClick(planned.canvas, Qt.Key.Key_Escape)
    assert planned.selection.empty
    assert planned.bar.text
    QTest.keyClick(planned.canvas, Qt.Key.Key_Escape)
    assert not planned.bar.text


@pytest.fixture
def fresh(qapp, settings):  # noqa: ARG001
    """Return a window as it is first seen."""
    made = Window(settings)
    made.resize(1340, 860)
    made.show()
    assert QTest.qWaitForWindowExposed(made, 10_000)
    yield made
    made.planning.drop()
    made.keeping.drop()
    made.close()
    shiboken6.delete(made)


def test_hints_come_after_the_first_picture_without_moving_it(fresh):
    before = place_of(fresh)
    fresh.finish()
    assert fresh._hints.isVisible()
    assert place_of(fresh) == before
    fresh._hints.no_more.click()
    assert place_of(fresh) == before
