"""Beside the plate: where height is short, list and forms take turns; where width is, titles stand on several rows."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.panels.leaf import Leaf, LeafTitles


@pytest.fixture
def leaf(qtbot):
    lines, form = QWidget(), QWidget()
    lines.setMinimumHeight(200)
    form.setMinimumHeight(100)
    made = Leaf([lines, [QPushButton("Remove")], form], 2, "Add…")
    qtbot.addWidget(made)
    made.resize(300, 500)
    made.show()
    return made, lines, form


def test_a_high_leaf_shows_list_and_form(leaf):
    made, lines, form = leaf
    assert lines.isVisible()
    assert form.isVisible()
    assert not made.more.isVisible()


def test_a_low_leaf_shows_one_of_them_at_a_time_and_the_other_at_a_press(leaf, qtbot):
    made, lines, form = leaf
    made.resize(300, 280)
    qtbot.waitUntil(lambda: (lines.isVisible(), form.isVisible()) == (True, False))
    assert made.verticalScrollBar().maximum() == 0
    made.more.click()
    assert (lines.isVisible(), form.isVisible()) == (False, True)
    made.back.click()
    assert (lines.isVisible(), form.isVisible()) == (True, False)
    made.resize(300, 500)
    qtbot.waitUntil(lambda: lines.isVisible() and form.isVisible())


def test_titles_that_find_no_room_side_by_side_stand_on_rows(planned, qtbot):
    needs = planned.needs
    around = QWidget()
    qtbot.addWidget(around)
    box = QVBoxLayout(around)
    titles = LeafTitles(needs)
    box.addWidget(titles)
    box.addWidget(needs)
    around.resize(needs.tabBar().sizeHint().width() + 60, 400)
    around.show()
    qtbot.waitUntil(lambda: (needs.tabBar().isVisible(), titles.isVisible()) == (True, False))
    around.resize(240, 400)
    qtbot.waitUntil(lambda: (needs.tabBar().isVisible(), titles.isVisible()) == (False, True))
    titles.buttons[2].click()
    assert needs.currentIndex() == 2
    titles.buttons[2].setFocus()
    QTest.keyClick(titles.buttons[2], Qt.Key.Key_Right)
    assert needs.currentIndex() == 3
    stops = [b.focusPolicy() != Qt.FocusPolicy.NoFocus for b in titles.buttons]
    assert stops == [False, False, False, True, False, False]
    needs.setCurrentIndex(4)
    assert [b.isChecked() for b in titles.buttons] == [False, False, False, False, True, False]
    assert [b.accessibleName() for b in titles.buttons] == [needs.tabText(k) for k in range(6)]
