"""What is picked is told under the plate without moving anything else, at any size of text."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget

from app.panels.picked import EMPTY_HINT, HINT, Picked

SCALES = (1.0, 2.0)


@pytest.fixture(params=SCALES)
def scaled(request, settings, planned):
    settings.text_scale = request.param
    planned.resize(1340, 860)
    settle()
    return planned


def settle():
    for _ in range(3):
        QApplication.processEvents()


def test_picking_and_holding_move_neither_plate_nor_window(scaled):
    before = scaled.size(), scaled.canvas.geometry()
    scaled.selection.pick(dies=frozenset({0}))
    settle()
    assert (scaled.size(), scaled.canvas.geometry()) == before
    scaled.actions_by_id["hold"].trigger()
    settle()
    assert (scaled.size(), scaled.canvas.geometry()) == before
    assert scaled.width() == 1340


def test_the_hint_is_read_whole_however_narrow_the_window_is(scaled):
    hint = scaled.findChild(Picked).hint
    for width in (1340, 600):
        scaled.resize(width, 860)
        settle()
        assert hint.isVisible()
        assert hint.height() >= hint.heightForWidth(hint.width())
        assert hint.fontMetrics().horizontalAdvance("handle") < hint.width()


def test_everything_about_what_is_picked_is_in_sight(scaled):
    picked = scaled.findChild(Picked)
    for width in (1340, 600):
        scaled.resize(width, 860)
        scaled.selection.pick(dies=frozenset({0}))
        settle()
        for part in (picked.x_field, picked.y_field, picked.angle_field, picked.hold_tool, picked.back_tool):
            spot = part.rect().translated(part.mapTo(picked, part.rect().topLeft()))
            assert picked.rect().contains(spot)
            assert part.width() >= part.minimumSizeHint().width()


def test_planning_makes_the_window_no_wider(scaled, monkeypatch):
    before, header = scaled.width(), scaled.header
    monkeypatch.setattr(type(scaled.planning), "running", property(lambda _: True))
    monkeypatch.setattr(type(scaled.planning), "share", property(lambda _: 0.5))
    monkeypatch.setattr(type(scaled.planning), "words", property(lambda _: "Looking for the fewest passes…"))
    header.refresh()
    settle()
    assert scaled.width() == before
    monkeypatch.undo()


def test_large_text_asks_for_no_more_than_a_small_screen(scaled):
    for leaf in range(scaled.needs.count()):
        scaled.needs.setCurrentIndex(leaf)
        settle()
    assert scaled.minimumSizeHint().width() <= 1024
    assert scaled.minimumSizeHint().height() <= 768


def test_making_it_opens_no_window(planned):
    tops = [w for w in QApplication.topLevelWidgets() if w.isVisible()]
    assert tops == [planned]
    assert isinstance(planned.picked, QWidget)
    assert planned.isActiveWindow()


def test_the_short_names_are_said_in_full_to_a_screen_reader(planned):
    planned.selection.pick(dies=frozenset({0}))
    assert planned.findChild(Picked).back_tool.accessibleName() == "Put back in the drawer"


def test_dies_go_back_in_the_drawer_and_scraps_on_the_heap(planned):
    action = planned.actions_by_id["put_back"]
    said = []
    for dies, scraps in (({0}, ()), ((), {0}), ({0}, {1})):
        planned.selection.pick(dies=frozenset(dies), scraps=frozenset(scraps))
        said.append(action.text())
    assert said == ["Put back in the drawer", "Put back on the heap", "Put back in drawer and heap"]
    assert planned.findChild(Picked).back_tool.accessibleName() == said[-1]


def test_what_is_held_says_so_and_the_fields_keep_telling_the_truth(planned, qtbot):
    planned.selection.pick(dies=frozenset({0}))
    planned.actions_by_id["hold"].trigger()
    picked, steps = planned.picked, planned.document.undo.count()
    for field, text in ((picked.angle_field, "30"), (picked.x_field, "70")):
        planned.messages.clear()
        shown = field.text()
        field.setFocus()
        field.selectAll()
        qtbot.keyClicks(field, text)
        qtbot.keyClick(field, Qt.Key.Key_Return)
        assert "held in place" in planned.bar.text
        assert field.text() == shown
    assert planned.document.undo.count() == steps


def test_an_empty_plate_says_how_something_comes_onto_it(window):
    assert window.picked.hint.text() == EMPTY_HINT
    assert HINT != EMPTY_HINT
