"""Work that may wait: in slices, in order, each piece of work once."""

from time import perf_counter

import pytest

from app.chores import SLICE_S, Chores

pytestmark = pytest.mark.usefixtures("qapp")


def slow(told, name, steps, seconds=0.004):
    for k in range(steps):
        end = perf_counter() + seconds
        while perf_counter() < end:
            pass
        told.append((name, k))
        yield


def test_what_is_long_leaves_room_for_events():
    chores, told, between = Chores(), [], []
    chores.add("long", slow(told, "long", 12))
    while chores.waits("long"):
        before = len(told)
        chores._slice()
        between.append(len(told) - before)
    assert len(told) == 12
    assert max(between) <= SLICE_S / 0.004 + 1


def test_the_event_loop_does_it_all(qtbot):
    chores, told = Chores(), []
    chores.add("a", slow(told, "a", 4))
    chores.call("b", lambda: told.append("b"))
    qtbot.waitUntil(lambda: not chores.waits("b"), timeout=10000)
    assert told == [("a", 0), ("a", 1), ("a", 2), ("a", 3), "b"]


def test_what_is_asked_again_is_done_once_and_anew():
    chores, told = Chores(), []
    chores.add("a", slow(told, "old", 3, 0.0))
    chores.add("a", slow(told, "new", 2, 0.0))
    chores.finish()
    assert told == [("new", 0), ("new", 1)]


def test_what_comes_first_goes_before_what_is_half_done():
    chores, told = Chores(), []

    def half():
        told.append("half")
        chores.add("urgent", slow(told, "urgent", 1, 0.0), first=True)
        yield
        told.append("rest")
        yield

    chores.add("long", half())
    chores.finish()
    assert told == ["half", ("urgent", 0), "rest"]


def test_what_is_left_undone_cleans_up_after_itself():
    chores, told = Chores(), []

    def painting():
        try:
            yield
            yield
        finally:
            told.append("put down")

    chores.add("a", painting())
    chores._do("a", 0.0)
    chores.drop("a")
    assert told == ["put down"]
    assert not chores.waits("a")


def test_what_fails_is_not_tried_for_ever():
    chores = Chores()

    def broken():
        yield
        raise ValueError("no")

    chores.add("a", broken())
    with pytest.raises(ValueError, match="no"):
        chores.finish()
    assert not chores.waits("a")


def test_a_piece_of_work_may_put_another_in_its_own_place():
    chores, told = Chores(), []

    def first():
        chores.call("a", lambda: told.append("second"))
        yield
        told.append("never")

    chores.add("a", first())
    chores.finish()
    assert told == ["second"]


def test_after_a_call_the_window_may_lay_out_what_it_changed():
    chores, told = Chores(), []
    chores.call("a", lambda: told.append("a"))
    chores.call("b", lambda: told.append("b"))
    chores._slice()
    assert told == ["a"]
    chores._slice()
    assert told == ["a", "b"]
    assert not chores.waits("b")
