"""What marked passes teach."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.rules.effort import HOWS, Limit, Mark, learnt

marks = st.lists(st.builds(Mark, st.floats(1.0, 500.0), st.sampled_from(HOWS)), max_size=30)


def test_nothing_marked_says_nothing() -> None:
    assert learnt([]) == Limit()
    assert "marked yet" in Limit().says(100.0)


@pytest.mark.parametrize(
    ("peak", "words"),
    [
        (80.0, "100 mm went easily"),
        (100.0, "easily"),
        (130.0, "marked yet"),
        (160.0, "150 mm went hard"),
        (250.0, "200 mm stalled"),
    ],
)
def test_what_is_expected(peak: float, words: str) -> None:
    limit = learnt([Mark(100.0, "easy"), Mark(60.0, "easy"), Mark(150.0, "hard"), Mark(200.0, "stalled")])
    assert words in limit.says(peak)


@given(marks)
def test_what_went_easily_is_shorter_than_all_that_did_not(found: list[Mark]) -> None:
    limit = learnt(found)
    for worse in (limit.hard, limit.stalled):
        assert limit.easy is None or worse is None or limit.easy < worse


@given(marks, st.floats(1.0, 500.0))
def test_a_stall_is_never_told_as_easy(found: list[Mark], peak: float) -> None:
    limit = learnt([*found, Mark(peak, "stalled")])
    assert "stalled" in limit.says(peak)
