"""The stack adds up, in any order, and its advice is what the sum says."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.rules.stack import Layer, Recipe, advice, with_paper

layers = st.lists(st.builds(Layer, st.just("layer"), st.floats(0.0, 20.0), st.integers(0, 5)), max_size=8)


@given(layers.flatmap(lambda made: st.tuples(st.just(made), st.permutations(made))))
def test_order_does_not_matter(both: tuple[list[Layer], list[Layer]]) -> None:
    made, mixed = both
    assert Recipe("a", tuple(made)).height == pytest.approx(Recipe("a", tuple(mixed)).height)


@given(layers, st.floats(0.0, 10.0), st.floats(0.0, 60.0))
def test_one_more_layer_is_its_own_thickness_more(made: list[Layer], thickness: float, opening: float) -> None:
    before, after = Recipe("a", tuple(made)), Recipe("a", (*made, Layer("shim", thickness)))
    assert after.over(opening) - before.over(opening) == pytest.approx(thickness, abs=1e-9)


@given(st.floats(0.05, 0.6), st.integers(1, 4))
def test_paper_counts_by_caliper_and_layers(caliper: float, sheets: int) -> None:
    recipe = Recipe("cut", (Layer("plate", 3.0, 2), Layer("paper", 0.3), Layer("die", 1.0)))
    assert with_paper(recipe, "paper", caliper, sheets).height == pytest.approx(7.0 + caliper * sheets)


def test_counted_on_the_fingers() -> None:
    recipe = Recipe("cut", (Layer("plate", 3.0, 2), Layer("paper", 0.3), Layer("die", 1.0)), press=0.2)
    assert recipe.height == pytest.approx(7.3)
    assert recipe.over(7.0) == pytest.approx(0.1)
    assert "0.10 mm too high" in advice(recipe, 7.0)
    assert "0.40 mm too low" in advice(recipe, 7.5)
    assert "fits" in advice(recipe, 7.105)


@pytest.mark.parametrize("thickness", [-0.1, float("nan"), float("inf"), 1000.0])
def test_impossible_layers_are_refused(thickness: float) -> None:
    with pytest.raises(ValueError, match="plate"):
        Layer("plate", thickness)
