"""Making the loops ready: a plan that follows has nothing left to compile."""

from __future__ import annotations

from layout.nesting.search import separate
from layout.nesting.warming import warm_up


def test_the_search_is_ready_for_the_kinds_of_arrays_that_a_plan_hands_it() -> None:
    warm_up()
    ready = list(separate.signatures)
    assert ready
    warm_up()
    assert separate.signatures == ready
