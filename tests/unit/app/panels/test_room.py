"""What a row or a pass is about can be read at any size of text: names get their room before anything beside them."""

import pytest
from PySide6.QtGui import QFontMetricsF
from PySide6.QtWidgets import QStyleOptionViewItem

from app.look.fonts import font
from app.look.tokens import LIGHT, SMALL
from app.panels.passdelegate import PassDelegate
from app.panels.tables import Column, ItemTable, ItemView
from app.panels.ticked import done_caption

NAMES = ["moth, lower wings", "mat for the front"]


def view_of(qtbot, width):
    columns = [Column("Piece", str), *(Column(f"Beside {k}", lambda _: "as wide as this") for k in range(3))]
    view = ItemView(ItemTable(columns, lambda: NAMES, lambda *_: None, lambda _: None), "Needed")
    qtbot.addWidget(view)
    view.resize(width, 200)
    view.show()
    return view


def fills(view):
    rim = 4  # px at most that a style leaves between the head of a table and its edge
    left = view.viewport().width() - sum(view.columnWidth(k) for k in range(4))
    return 0 <= left <= rim and view.horizontalScrollBar().maximum() == 0


@pytest.mark.parametrize("width", [120, 300, 900])
def test_the_first_column_keeps_room_for_a_name_however_narrow_the_table_is(qtbot, width):
    view = view_of(qtbot, width)
    assert view.columnWidth(0) >= view.fontMetrics().averageCharWidth() * 12
    assert fills(view) if width == 900 else view.horizontalScrollBar().maximum() > 0


def test_a_table_that_grows_again_fills_its_width(qtbot):
    view = view_of(qtbot, 120)
    view.resize(1000, 200)
    assert fills(view)


def test_a_pass_is_as_wide_as_its_words_when_it_is_chosen_or_done(planned):
    passes = planned.passes
    delegate, model = passes.itemDelegate(), passes.model()
    assert isinstance(delegate, PassDelegate)
    assert model.rowCount() > 0
    for scale in (1.0, 2.0):
        delegate.set_look(LIGHT, scale)
        made = font(SMALL, bold=True, text_scale=scale)
        for row in range(model.rowCount()):
            for words in (done_caption(row), str(model.index(row).data())):
                wide = delegate.sizeHint(QStyleOptionViewItem(), model.index(row)).width()
                assert wide >= QFontMetricsF(made).horizontalAdvance(words)
