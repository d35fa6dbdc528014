"""In a small window, or with large text, the plate keeps its room and what stands round it says less."""

import pytest
from PySide6.QtTest import QTest

from app.document.state import State
from app.panels.lengths import LengthField
from tests.support.desk import grid


@pytest.fixture
def small(planned):
    planned.settings.text_scale = 2.0
    planned.resize(1366, 768)
    QTest.qWait(50)
    yield planned
    planned.settings.text_scale = 1.0


def test_the_plate_keeps_more_than_half_of_the_height(small):
    assert small.canvas.height() > small.height() / 2


def test_the_bar_stays_one_row_and_keeps_its_names(small):
    header = small.header
    assert header.height() < 2 * header.plan_button.height()
    assert header.guide_button.text() == "Guide"
    assert header.guide_button.accessibleName() == "Placement guide"
    small.settings.text_scale = 1.0
    QTest.qWait(50)
    assert header.guide_button.text() == "Placement guide"


def test_passes_become_a_line_of_numbers_that_can_be_ticked(small):
    passes = small.passes
    assert passes._delegate.room.line
    assert passes.height() < 100
    rect = passes.visualRect(passes.model().index(0))
    assert rect.contains(passes._delegate.box(rect).toRect())


def test_all_three_answers_are_in_sight(small):
    QTest.qWait(50)
    assert small.answers.verticalScrollBar().maximum() == 0


def test_lengths_of_the_machine_are_read_whole(small):
    small.needs.setCurrentIndex(4)
    QTest.qWait(50)
    for field in small.needs.widget(4).findChildren(LengthField):
        assert field.width() > field.fontMetrics().horizontalAdvance(field.text()) + 12, field.accessibleName()


def test_hints_give_way_and_come_back(small):
    assert small._hints.left
    assert not small._hints.isVisible()
    small.settings.text_scale = 1.0
    QTest.qWait(0)
    assert small._hints.isVisible()


def test_every_leaf_scrolls_in_one_place_only(small):
    for at in range(4):
        small.needs.setCurrentIndex(at)
        QTest.qWait(20)
        leaf = small.needs.widget(at).layout().itemAt(0).widget()
        assert leaf.verticalScrollBar().maximum() == 0, small.needs.tabText(at)


def test_names_of_dies_never_lie_over_other_words(small):
    small.document.start_with(State(*grid(6, 10, corners=60, sheets=5)), None)
    canvas = small.canvas
    shot = canvas.grab()
    assert not shot.isNull()
    with_painter(canvas, lambda plate: check(plate, canvas.scene.dies))


def with_painter(canvas, do):
    from PySide6.QtGui import QPainter, QPixmap

    pixmap = QPixmap(canvas.size())
    painter = QPainter(pixmap)
    try:
        do(canvas.plate_painter(painter))
    finally:
        painter.end()


def check(plate, dies):
    told = [plate._plaque(plate._label_middle(die), lines) for die, lines in plate.lines_on(dies) if lines]
    assert not any(a.intersects(b) for k, a in enumerate(told) for b in told[:k])
