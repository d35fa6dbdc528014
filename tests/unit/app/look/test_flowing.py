"""Rows break where the width ends: nothing is cut off, nothing is pushed wider, nothing overlaps."""

import pytest
from PySide6.QtCore import QRect
from PySide6.QtWidgets import QLabel, QSizePolicy, QWidget

from app.look.eliding import ShortLabel
from app.look.flowing import Flow

GAP = 4


@pytest.fixture
def room(qtbot):
    made = QWidget()
    qtbot.addWidget(made)
    return made


def filled(room, widths, *, centred=False):
    flow = Flow(room, gap=GAP, centred=centred)
    for width in widths:
        part = QWidget()
        part.setFixedSize(width, 20)
        flow.addWidget(part)
    return flow


def places(flow, width):
    flow.setGeometry(QRect(0, 0, width, flow.heightForWidth(width)))
    return [flow.itemAt(k).geometry().getRect() for k in range(flow.count())]


def test_what_fits_stands_side_by_side_and_the_rest_begins_another_row(room):
    flow = filled(room, [50, 60, 70])
    assert places(flow, 188) == [(0, 0, 50, 20), (54, 0, 60, 20), (118, 0, 70, 20)]
    assert places(flow, 187) == [(0, 0, 50, 20), (54, 0, 60, 20), (0, 24, 70, 20)]
    assert flow.heightForWidth(60) == 3 * 20 + 2 * GAP
    assert flow.minimumSize().width() == 70


def test_a_centred_row_has_as_much_room_on_either_side(room):
    assert places(filled(room, [50, 50], centred=True), 204)[0][0] == 50


def test_what_may_grow_takes_what_a_row_leaves_over_up_to_its_most(room):
    flow = filled(room, [50])
    line = ShortLabel(2)
    flow.addWidget(line)
    assert places(flow, 300)[1][2] == 300 - 50 - GAP
    line.setMaximumWidth(90)
    assert places(flow, 300)[1][2] == 90


def test_a_wrapped_text_gets_the_height_that_it_needs(room):
    flow = Flow(room, gap=GAP)
    text = QLabel("so many words that they need more than one line where there is little room for them")
    text.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
    text.setWordWrap(True)  # last: a new policy forgets that the height hangs on the width
    flow.addWidget(text)
    assert flow.heightForWidth(120) == text.heightForWidth(120) > flow.heightForWidth(2000)


def test_a_short_line_gives_way_and_keeps_its_words_for_a_screen_reader(qtbot):
    line = ShortLabel(5)
    qtbot.addWidget(line)
    line.show()
    line.resize(400, 20)
    line.setText("moth, lower wings")
    assert line.text() == "moth, lower wings"
    line.resize(40, 20)
    assert line.text().endswith("…")
    assert line.accessibleName() == line.whole == "moth, lower wings"
