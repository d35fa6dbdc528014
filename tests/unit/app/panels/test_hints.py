"""Hints are read once."""

from PySide6.QtCore import Qt

from app.panels.hints import HINTS, Hints


def test_a_hint_that_was_read_never_comes_back(qtbot, settings):
    hints = Hints(settings)
    qtbot.addWidget(hints)
    assert len(hints.left) == len(HINTS) == 3
    hints.next.click()
    again = Hints(settings)
    qtbot.addWidget(again)
    assert again.left == [1, 2]
    again.no_more.click()
    assert again.left == []
    assert again.isHidden()


def test_a_hint_put_away_by_a_click_leaves_the_keyboard_where_it_was(window, qtbot):
    hints = window.findChild(Hints)
    window.canvas.setFocus()
    qtbot.mouseClick(hints.no_more, Qt.MouseButton.LeftButton)
    assert hints.isHidden()
    assert window.canvas.hasFocus()
