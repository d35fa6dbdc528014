"""Messages: an offer to take a step back stands only while that step is the last one."""

from app.document.state import State
from tests.support.desk import grid


def tick_off(window):
    window.actions_by_id["tick"].trigger()
    assert "Pass done" in window.bar.text


def test_undoing_a_tick_takes_its_message_away(planned):
    tick_off(planned)
    planned.document.undo.undo()
    assert planned.bar.text == ""


def test_another_project_leaves_no_offer_to_undo_in_the_last_one(planned):
    tick_off(planned)
    planned.document.start_with(State(*grid(2, 2, corners=12, sheets=1)), None)
    assert planned.bar.text == ""


def test_the_offer_takes_back_what_it_says(planned):
    before = planned.document.state
    tick_off(planned)
    planned.bar.buttons[0].click()
    assert planned.document.state == before


def test_a_later_message_stays_when_the_step_is_undone(planned):
    tick_off(planned)
    planned.messages.fault("The scrap is gone.")
    planned.document.undo.undo()
    assert planned.bar.text == "The scrap is gone."
