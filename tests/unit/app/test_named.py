"""Every control of the window tells a screen reader what it does, and the Tab key goes through them as one reads."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QToolButton, QWidget

from app.tabbing import next_stop


def controls(window):
    """All that the keyboard or a click may go to, but for what Qt puts inside its own widgets."""
    for widget in window.findChildren(QWidget):
        inner = widget.objectName().startswith("qt_") or isinstance(widget.parent(), QComboBox)
        # The popup of a choice, and the buttons that scroll tabs, belong to named things.
        inner = inner or widget.window() is not window or type(widget.parent()).__name__ == "QTabBar"
        takes = widget.focusPolicy() != Qt.FocusPolicy.NoFocus and widget.focusProxy() is None
        if (takes or isinstance(widget, QAbstractButton)) and not inner and type(widget) is not QLabel:
            yield widget


def nameless(window):
    return [w for w in controls(window) if not (w.accessibleName() or (isinstance(w, QAbstractButton) and w.text()))]


@pytest.fixture
def whole(planned):
    """A window with every leaf made, a die picked, a fault and a message shown."""
    for leaf in range(planned.needs.count()):
        planned.needs.setCurrentIndex(leaf)
    planned.hands.place({5: planned.document.plan.layouts[0].dies[4].pose}, {}, "Move")
    planned.selection.pick(dies=frozenset({0}))
    assert planned.faults.findings
    planned.messages.fault("One sentence.")
    QTest.qWait(0)
    return planned


def test_no_control_is_without_a_name(whole):
    ignored = ("QTableCornerButton", "CloseButton")
    assert [(type(w).__name__, w.parent()) for w in nameless(whole) if type(w).__name__ not in ignored] == []
    assert len(list(controls(whole))) > 40


def test_a_new_control_without_a_name_is_found(whole):
    made = QToolButton(whole.header)
    assert made in nameless(whole)
    made.setAccessibleName("Turn the page")
    assert made not in nameless(whole)


def test_no_two_buttons_of_a_part_have_one_name(whole):
    for part in (whole.header, whole.below, *(whole.needs.widget(k) for k in range(whole.needs.count()))):
        names = [w.accessibleName() or w.text() for w in controls(part.window()) if part.isAncestorOf(w)]
        assert len(names) == len(set(names)), names


def test_tab_goes_through_every_control_in_sight_and_comes_back(whole):
    whole.canvas.setFocus()
    seen = []
    while QApplication.focusWidget() not in seen:
        seen.append(QApplication.focusWidget())
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    assert QApplication.focusWidget() is whole.canvas
    parts = (whole.canvas, whole.picked.x_field, whole.answers, whole.passes, whole.needs.tabBar())
    places = [seen.index(part) for part in parts]
    assert places == sorted(places)
    reachable = {w for w in controls(whole) if w.isVisible() and w.isEnabled()}
    reachable = {w for w in reachable if w.focusPolicy().value & Qt.FocusPolicy.TabFocus.value}
    assert reachable <= set(seen)
    QTest.keyClick(whole.canvas, Qt.Key.Key_Backtab)
    assert QApplication.focusWidget() is seen[-1]


def test_after_turning_to_another_leaf_the_tab_key_goes_on_there(planned):
    table = planned.needs.view("wanted")
    table.setFocus()
    QTest.keyClick(table, Qt.Key.Key_Tab, Qt.KeyboardModifier.ControlModifier)
    assert planned.needs.currentIndex() == 1
    QTest.qWait(0)
    assert planned.needs.view("dies").hasFocus()
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
    assert planned.needs.isAncestorOf(QApplication.focusWidget())


def test_what_is_made_late_has_its_place_in_the_way_of_the_tab_key(planned):
    late = QToolButton(planned.header)
    late.setFocusPolicy(Qt.FocusPolicy.TabFocus)
    late.move(planned.header.width() - 4, 4)
    late.show()
    before = next_stop((planned.header, planned.left), late, on=False)
    after = next_stop((planned.header, planned.left), late, on=True)
    assert planned.header.isAncestorOf(before)
    assert planned.left.isAncestorOf(after)
