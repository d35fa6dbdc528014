"""The stack in the window: it adds up, takes the pass's own paper, and is remembered for the machine."""

import pytest
import shiboken6

from app.document.state import State
from app.panels.stacking import open_stack, parse_caliper_long, read, recipe_from
from layout.geometry.paper_weight import WeightError
from layout.geometry.value import replace


@pytest.fixture
def dialog(planned):
    document = planned.document
    papers = tuple(replace(paper, caliper=0.25) for paper in document.project.papers)
    document.start_with(State(replace(document.project, papers=papers), document.plan), None)
    made = open_stack(planned)
    yield made
    if shiboken6.isValid(made):
        made.close()


def test_the_paper_of_the_pass_counts(dialog):
    # 3 + 1 + 0.25 + 3 mm
    assert "7.25 mm high" in dialog.told.text()
    assert "0.25 mm each" in dialog.told.text()


def test_an_unmeasured_paper_is_guessed_and_said_to_be(dialog, planned):
    document = planned.document
    papers = tuple(replace(paper, caliper=0.0, grammage=320.0) for paper in document.project.papers)
    document.start_with(State(replace(document.project, papers=papers), document.plan), None)
    dialog.refresh()
    assert "0.4 mm each" in dialog.told.text()  # 320 g/m2 at 1.25 cm3/g
    assert "measuring beats" in dialog.told.text()


def test_too_high_and_too_low_are_told(dialog):
    for opening, words in (("7.05", "0.20 mm too high"), ("7,45", "0.20 mm too low"), ("7.25", "fits the opening")):
        dialog.opening.setText(opening)
        dialog.refresh()
        assert words in dialog.told.text()


def test_a_shim_is_added_and_taken_out(dialog):
    dialog.add_shim()
    assert "7.35 mm high" in dialog.told.text()
    dialog.table.setCurrentCell(dialog.table.rowCount() - 1, 0)
    dialog.remove()
    assert "7.25 mm high" in dialog.told.text()


@pytest.mark.parametrize(("column", "words"), [(1, "thick"), (2, "many"), (1, "-3"), (1, "5000")])
def test_what_is_no_thickness_is_told(dialog, column, words):
    dialog.table.item(0, column).setText(words)
    assert words in dialog.told.text()


def test_recipes_are_remembered_for_the_machine(dialog, planned):
    dialog.recipe.setEditText("Embossing")
    dialog.add_shim()
    machine = planned.document.project.machine.name
    kept = read(planned.settings, machine)["recipes"]
    assert set(kept) >= {"Cutting", "Embossing"}
    assert len(recipe_from("Embossing", kept["Embossing"]).layers) == len(recipe_from("x", kept["Cutting"]).layers) + 1
    assert read(planned.settings, "another")["recipes"] == {"Cutting": {}}


def test_spoiled_settings_are_let_be(planned):
    planned.settings.set_value("stack/recipes", "[1, 2")
    assert read(planned.settings, "any")["opening"] == 0.0
    assert len(recipe_from("x", {"layers": [["plate", "thick", 1]]}).layers) == 4


def test_thicknesses_up_to_a_whole_stack():
    assert parse_caliper_long("17.5 mm") == 17.5
    assert parse_caliper_long("12 pt") == pytest.approx(0.3048)
    with pytest.raises(WeightError):
        parse_caliper_long("1 banana")
