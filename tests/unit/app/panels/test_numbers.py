"""What a die is called on the plate is found again: its number stands in every list, and its name in a tool tip."""

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.document.files import open_into

DEMO = Path(__file__).parents[4] / "resources" / "demo" / "night-garden.json"


@pytest.fixture
def garden(window):
    open_into(window.document, DEMO)
    QTest.qWait(50)
    return window


def column_of(view, title):
    model = view.model()
    titles = [model.headerData(k, Qt.Orientation.Horizontal) for k in range(model.columnCount())]
    return titles.index(title)


def numbers_in(view):
    model, at = view.model(), column_of(view, "No.")
    return {model.index(row, 0).data(): model.index(row, at).data() for row in range(model.rowCount())}


def test_every_list_has_the_number_that_stands_on_the_plate(garden):
    on_plate = {die.name: str(die.number) for die in garden.canvas.scene.dies}
    garden.needs.setCurrentIndex(5)
    lying = garden.needs.widget(5).findChild(type(garden.needs.view("dies")))
    for view in (garden.needs.view("wanted"), garden.needs.view("dies"), lying):
        listed = numbers_in(view)
        assert on_plate.items() <= listed.items()
    assert numbers_in(garden.needs.view("wanted"))["favour box"] == ""  # a panel has no die


def test_the_tool_tip_of_a_die_says_name_and_number(garden):
    canvas = garden.canvas
    star = next(die for die in canvas.scene.dies if die.name == "five-point star")
    at = canvas.viewing.to_screen(star.body.boundingRect().center())
    assert canvas._name_at(at) == f"five-point star: number {star.number} in drawer and guide"


def test_the_pieces_of_the_demo_are_named_in_full_at_the_usual_size(garden):
    view = garden.needs.view("wanted")
    room = view.columnWidth(0) - view.iconSize().width()
    for row in range(view.model().rowCount()):
        name = view.model().index(row, 0).data()
        assert view.fontMetrics().horizontalAdvance(name) < room, name
    assert view.horizontalScrollBar().maximum() == 0
